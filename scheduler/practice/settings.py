"""Settings, changed."""

from collections.abc import Mapping
from types import MappingProxyType

from scheduler.errors import SettingError, UsageError
from scheduler.guitar.metronome import FASTEST, SLOWEST
from scheduler.guitar.neck import Neck
from scheduler.guitar.patterns import nearest
from scheduler.ledger.events import SettingChanged
from scheduler.ledger.plans import kept_plan
from scheduler.ledger.settings_said import setting_changes, setting_words
from scheduler.plan.assignment import ASSIGNED
from scheduler.plan.settings import (
    MAIN_GUITAR,
    OF_GUITAR,
    Settings,
    format_setting,
    in_force,
    kept_name,
    with_values,
)
from scheduler.practice.act import act
from scheduler.practice.practice import Practice

PASSES_SAY_MORE = "what you play clean is asked before the first pass: by now your passes say more"
NOTHING: Mapping[str, str] = MappingProxyType({})
TOLD_ALREADY = (
    "what you play clean is asked once: upneck diary shows how to take back what you said"
)


def change_settings(
    practice: Practice,
    values: dict[str, object],
    what: str = "setup",
    beside: Mapping[str, str] = NOTHING,
) -> None:
    """Record new values of settings; a value that is the same as before is not recorded.

    Args:
        practice: The player's practice.
        values: The values by the name of the setting, as `plan.settings` reads them.
        what: What the act is called.
        beside: What else is recorded in the same act, as the ledger keeps it.

    Raises:
        UsageError: The values don't go together.
        LedgerError: The file can't be written.
    """
    if "plays_clean" in values and not practice.state.knows_nothing:
        raise UsageError(PASSES_SAY_MORE if practice.state.has_passes else TOLD_ALREADY)
    tempo = _same_floor_speed(practice, values)
    if tempo:
        practice.tell(f"floor tempo {tempo['floor_tempo']:g}: as many notes a second as before")
    changes = {**beside, **words_of(practice, values)}
    if not changes:
        return
    today, before_neck = practice.now.day, practice.neck
    plan = kept_plan(practice.ledger, today, practice.basis())
    with act(practice, what) as doing:
        doing.add([
            SettingChanged(doing.ids.next(), doing.moment, name, text)
            for name, text in changes.items()
        ])  # fmt: skip
    _tell_of_neck(practice, before_neck)
    if plan is not None:
        still = kept_plan(practice.ledger, today, practice.basis())
        if still is None:
            practice.tell("a new plan will be made for today: upneck today")
        elif still.number == plan.number:
            practice.tell("today's plan stays as it is: upneck today --afresh makes a new one")
        else:
            practice.tell(
                "today's plan is the one made before: upneck today --afresh makes a new one"
            )


def words_of(practice: Practice, values: dict[str, object]) -> dict[str, str]:
    """The settings that would be recorded for new values, by the names under which they are kept.

    Raises:
        UsageError: The values don't go together.
    """
    before = _with_guitar_and_routine(practice, values)
    values = values | _same_floor_speed(practice, values)
    changes = changed_words(before, with_values(before, values))
    for name in ("guitar", "routine"):
        if getattr(before, name) != getattr(practice.settings, name):
            changes[name] = str(getattr(before, name))
    if "notes_per_beat" in changes:
        changes |= _floors_of_others(practice, int(changes["notes_per_beat"]))
    return changes


def _floors_of_others(practice: Practice, notes_per_beat: int) -> dict[str, str]:
    """The floor tempos of the routines that don't go onward, in other notes per beat."""
    state = practice.state
    share = practice.settings.notes_per_beat / notes_per_beat
    tempos = {
        kept_name("floor_tempo", "", each.key): min(
            max(begun.floor_tempo * share, SLOWEST), FASTEST
        )
        for each, begun in state.rounds.items()
        if each is not state.routine
    }
    return {name: format_setting(float(tempo)) for name, tempo in tempos.items()}


def _tell_of_neck(practice: Practice, before: Neck) -> None:
    """Tell what other strings and another neck mean for what was played and is to be played."""
    now, routine = practice.neck, practice.state.routine
    if before != now and not practice.order:
        practice.tell(
            f"{routine.name}, which you work on, has no place on this neck: upneck routines shows "
            "the others, upneck undo goes back"
        )
    if before.intervals != now.intervals and practice.state.histories:
        practice.tell(
            "the strings are tuned to other intervals: an item has other notes on them, but what "
            "was played of it counts; upneck --ledger FILE keeps a record of their own"
        )


def changed_words(before: Settings, after: Settings) -> dict[str, str]:
    """The settings that differ, as the ledger keeps them."""
    old, new = before._asdict(), after._asdict()
    changed = [name for name in new if new[name] != old[name]]
    if not set(ASSIGNED).isdisjoint(changed):
        # Of two assignments that meet from two machines the later one counts, whole.
        changed = [name for name in changed if name not in ASSIGNED] + list(ASSIGNED)
    # What is played clean is told in the notes per beat that go with it.
    changed.sort(key=lambda name: name == "plays_clean")
    words = {name: format_setting(new[name]) for name in changed}
    return {kept_name(name, after.guitar, after.routine): text for name, text in words.items()}


def take_guitar(practice: Practice, guitar: str) -> None:
    """Play another guitar from now on, "" the main one.

    Raises:
        SettingError: Nothing was ever said of it.
        LedgerError: The file can't be written.
    """
    kept = (name.partition(" ") for name in setting_words(practice.ledger))
    known = {of for plain, _, of in kept if plain in OF_GUITAR and of}
    if guitar and guitar not in known:
        msg = (
            f"no guitar {guitar!r}: upneck setup --guitar {guitar} --tuning NOTES makes one"
            f"{nearest(guitar, [*known, MAIN_GUITAR])}"
        )
        raise SettingError(msg)
    change_settings(practice, {"guitar": guitar})


def _with_guitar_and_routine(practice: Practice, values: dict[str, object]) -> Settings:
    """The settings in force, on another guitar and in another routine if one is named."""
    named: dict[str, str] = {}
    for name in ("guitar", "routine"):
        if name in values:
            named[name] = str(values[name])
    if all(getattr(practice.settings, name) == word for name, word in named.items()):
        return practice.settings
    return in_force([*setting_changes(practice.ledger), named]).settings


def _same_floor_speed(practice: Practice, values: dict[str, object]) -> dict[str, float]:
    """With other notes per beat the floor tempo moves, so that as many notes a second count."""
    settings = practice.settings
    if "notes_per_beat" not in values or "floor_tempo" in values:
        return {}
    new = with_values(settings, {"notes_per_beat": values["notes_per_beat"]})
    if new.notes_per_beat == settings.notes_per_beat:
        return {}
    tempo = settings.floor_tempo * settings.notes_per_beat / new.notes_per_beat
    if not SLOWEST <= tempo <= FASTEST:
        msg = (
            f"with {new.notes_per_beat} notes a beat the floor tempo would be {tempo:g}: "
            "give one with --floor-tempo"
        )
        raise UsageError(msg)
    return {"floor_tempo": float(tempo)}
