"""The beginning of the next round."""

from scheduler.errors import RecordError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.ledger.acts import MEANWHILE
from scheduler.ledger.events import Event, SettingChanged
from scheduler.plan.settings import with_values
from scheduler.player.facts import LAST_ROUND, RoundStarted
from scheduler.player.standing import Standing
from scheduler.practice.act import act
from scheduler.practice.practice import Practice
from scheduler.practice.rounds import round_report
from scheduler.practice.settings import changed_words


def weak_or_stale(practice: Practice) -> tuple[Item, ...]:
    """The items of the round that are weak or stale now, in order.

    Raises:
        RecordError: There are none.
    """
    worn = {Standing.WEAK, Standing.STALE}
    judgements = practice.judge_all(practice.order)
    only = tuple(item for item, judged in judgements.items() if judged.standing in worn)
    if not only:
        msg = "nothing is weak or stale: leave --weak out for a whole round"
        raise RecordError(msg)
    return only


def begin_next_round(
    practice: Practice,
    *,
    only_weak: bool,
    floor_tempo: BeatsPerMinute | None,
    although_unfinished: bool,
) -> None:
    """Begin the next round, with its floor tempo if it gets another one: one act.

    Args:
        practice: The player's practice.
        only_weak: Whether it visits only what is weak or stale now.
        floor_tempo: The slowest tempo that counts in it; None for what is proposed after a
            finished round, else as it is.
        although_unfinished: Whether it begins although the one under way isn't finished.

    Raises:
        RecordError: The round isn't finished, or nothing is weak.
        LedgerError: The file can't be written.
    """
    report = round_report(practice)
    if not report.total:
        msg = f"{practice.state.routine.name} has no place on this neck: upneck setup --frets"
        raise RecordError(msg)
    if not report.is_finished and not although_unfinished:
        msg = (
            f"round {report.number} is not finished, {report.clean} of {report.total} items are "
            "clean: --yes begins the next one all the same"
        )
        raise RecordError(msg)
    if report.number >= LAST_ROUND:
        msg = f"round {report.number} is the last that there is: take it back with upneck undo"
        raise RecordError(msg)
    only = weak_or_stale(practice) if only_weak else ()
    proposed = None if report.look_back is None else report.look_back.next_floor
    if floor_tempo is None and not only_weak and proposed is not None:
        floor_tempo = proposed
        practice.tell(
            f"floor tempo {proposed:g}, as proposed: upneck round --floor-tempo changes it"
        )
    values: dict[str, object] = {} if floor_tempo is None else {"floor_tempo": float(floor_tempo)}
    words = changed_words(practice.settings, with_values(practice.settings, values))
    with act(practice, "round") as doing:
        routine = practice.state.routine
        begun = (each for each in practice.ledger.rounds() if each.routine is routine)
        if any(each.number > report.number for each in begun):
            raise RecordError(MEANWHILE)
        events: list[Event] = [
            RoundStarted(doing.ids.next(), doing.moment, report.number + 1, only, routine)
        ]
        events += [
            SettingChanged(doing.ids.next(), doing.moment, name, text)
            for name, text in words.items()
        ]
        doing.add(events)
