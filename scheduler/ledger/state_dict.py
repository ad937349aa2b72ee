"""A state as lists and dictionaries that JSON keeps to the last bit, and back."""

from dataclasses import astuple
from typing import Any

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.routine import Direction, Stroke
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.ledger.events import item_from, item_row
from scheduler.player.belief import Belief, Weight
from scheduler.player.chronicle import Chronicle, PastRound, Tempos, Told
from scheduler.player.day import Day
from scheduler.player.history import History
from scheduler.player.progress import RoundProgress, Tally
from scheduler.player.replay import State


def state_to_dict(state: State) -> dict[str, Any]:
    """The state as lists and dictionaries that JSON keeps to the last bit."""
    return {
        "weights": {key: astuple(weight) for key, weight in state.belief.weights.items()},
        "histories": [
            [list(item_row(item).values()), *astuple(history)]
            for item, history in state.histories.items()
        ],
        "days": {str(day): astuple(tally) for day, tally in state.days.items()},
        "fastest": [
            [*shape, routine.key, speed] for (*shape, routine), speed in state.fastest.items()
        ],
        "rounds": [[routine.key, *_round(found)] for routine, found in state.rounds.items()],
        "routine": state.routine.key,
        "floor": [state.notes_per_beat, state.both_directions],
        "has_word": state.has_word,
        "chronicle": _chronicle(state.chronicle),
        "last_item": None if state.last_item is None else state.last_item.address,
        "facts": state.facts,
        "last": state.last,
    }


def _chronicle(chronicle: Chronicle) -> list[Any]:
    rounds = [
        [each.routine.key, *each[1:-1], [item.address for item in each.weak]]
        for each in chronicle.rounds
    ]
    told = [astuple(fifth) for fifth in chronicle.told]
    tempos = [[each.routine.key, *each[1:]] for each in chronicle.tempos]
    return [
        told, chronicle.told_since, chronicle.last_day, chronicle.is_noted, tempos, rounds,
    ]  # fmt: skip


def _chronicle_from(plain: list[Any], routines: Routines) -> Chronicle:
    told, told_since, last_day, is_noted, tempos, rounds = plain
    return Chronicle(
        told=[Told(*values) for values in told],
        told_since=told_since,
        last_day=last_day,
        is_noted=is_noted,
        tempos=[
            Tempos(
                routines[key], day, (singles[0], singles[1]), (couplings[0], couplings[1]), floor
            )
            for key, day, singles, couplings, floor in tempos
        ],
        rounds=[
            PastRound._make(
                [routines[key], *values, tuple(parse_address(word, routines) for word in weak)]
            )
            for key, *values, weak in rounds
        ],
    )


def _round(progress: RoundProgress) -> list[Any]:
    return [
        progress.number, progress.started, [item.address for item in progress.only],
        [[*key, *astuple(tally)] for key, tally in progress.trips.items()], progress.floor_tempo,
        progress.days, progress.last_day,
    ]  # fmt: skip


def _round_from(plain: list[Any], routines: Routines) -> RoundProgress:
    number, started, only, trips, floor_tempo, days, last_day = plain
    return RoundProgress(
        number=number,
        started=started,
        only=tuple(parse_address(word, routines) for word in only),
        trips={
            (box, bool(coupling), direction): Tally(*values)
            for box, coupling, direction, *values in trips
        },
        floor_tempo=BeatsPerMinute(floor_tempo),
        days=days,
        last_day=last_day,
    )


def state_from_dict(plain: dict[str, Any], routines: Routines = INSIDE) -> State:
    """The inverse of `state_to_dict`."""
    weights = {key: Weight(*values) for key, values in plain["weights"].items()}
    histories = {}
    for columns, *values in plain["histories"]:
        history = History(*values)
        history.round_best = [(day, speed) for day, speed in history.round_best]
        history.faults = [(day, fault) for day, fault in history.faults]
        histories[item_from(columns, routines)] = history
    last_item = plain["last_item"]
    return State(
        belief=Belief(weights),
        histories=histories,
        days={int(day): Day(*values) for day, values in plain["days"].items()},
        fastest={
            (box, bool(coupling), Direction(direction), Stroke(stroke), routines[routine]): speed
            for box, coupling, direction, stroke, routine, speed in plain["fastest"]
        },
        rounds={routines[key]: _round_from(found, routines) for key, *found in plain["rounds"]},
        routine=routines[plain["routine"]],
        notes_per_beat=plain["floor"][0],
        both_directions=plain["floor"][1],
        has_word=plain["has_word"],
        chronicle=_chronicle_from(plain["chronicle"], routines),
        last_item=None if last_item is None else parse_address(last_item, routines),
        facts=plain["facts"],
        last=(plain["last"][0], plain["last"][1]),
    )
