"""Today's session on the screen."""

from collections.abc import Mapping, Sequence
from datetime import date

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import MARKS
from scheduler.plan.cautions import NOTHING_RECORDED
from scheduler.plan.session import Block, Reason, Session
from scheduler.show.dates import day_words
from scheduler.show.words import (
    FAULT_ADVICE,
    REASON_WORDS,
    block_words,
    clock_words,
    count,
    duration,
    tempo_words,
)

ROUND_DONE = "The round is finished: upneck round looks back at it and says how to go on."
WITHOUT_A_BEAT = (
    "Play it without the click for now, as slowly as it needs, one group of notes at a time; or "
    "take fewer notes to a beat: upneck setup --notes-per-beat 2"
)
REASON_STYLES = {
    Reason.WARM_UP: "cyan",
    Reason.REPAIR: "yellow",
    Reason.ONWARD: "green",
    Reason.REFRESH: "magenta",
    Reason.FIND_WAY: "blue",
}


def session_screen(
    session: Session,
    left: Mapping[int, tuple[Item, ...]],
    floor_tempo: float,
    guitar: str = "",
    assigned: Sequence[str] = (),
) -> RenderableType:
    """A session, block by block, with what was recorded of it.

    Args:
        session: The session.
        left: The items of each block that were not recorded yet, by the block's number.
        floor_tempo: The round's floor tempo.
        guitar: The name of the guitar that is played; "" for the main one.
        assigned: Lines about what a teacher assigned.
    """
    today = date.fromordinal(session.day)
    on = f", guitar {guitar}" if guitar else ""
    parts: list[RenderableType] = [Text(f"{today:%A} {day_words(today)}{on}", style="bold")]
    parts += [Text(line) for line in assigned]
    begun = _is_begun(session, left)
    parts += [
        Text(f"Caution: {caution}", style="bold red")
        for caution in session.cautions
        if not (begun and caution == NOTHING_RECORDED)
    ]
    if not session.blocks:
        parts.append(Text(ROUND_DONE if session.is_round_done else _nothing(session)))
        return Group(*parts)
    parts += [Text(_summary(session, left)), _table(session, left), Text(_tempos(session))]
    parts += [
        Text(
            f"After block {pause.after_block} rest for {duration(pause.seconds)}; your minutes "
            "don't include it."
        )
        for pause in session.breaks
    ]
    if session.fitting_floor is not None:
        parts.append(Text(_floor_advice(session.fitting_floor, floor_tempo)))
    if session.is_round_done:
        parts.append(Text(ROUND_DONE))
    return Group(*parts)


def _is_begun(session: Session, left: Mapping[int, tuple[Item, ...]]) -> bool:
    """Whether anything of it was recorded."""
    return any(len(left[block.number]) < len(block.items) for block in session.blocks)


def _floor_advice(fitting: float, floor_tempo: float) -> str:
    missed = f"At {tempo_words(floor_tempo)} you would miss much of what is left"
    if fitting >= floor_tempo or fitting <= MARKS[0]:
        return f"{missed}. {WITHOUT_A_BEAT}"
    floor = tempo_words(fitting)
    return f"{missed}. Try a floor of {floor}: upneck round --floor-tempo {floor}"


def _nothing(session: Session) -> str:
    return (
        f"Nothing fits into {duration(session.budget_seconds)}, or nothing needs playing: "
        "upneck round says where the round stands."
    )


def _summary(session: Session, left: Mapping[int, tuple[Item, ...]]) -> str:
    blocks = count(len(session.blocks), "block")
    planned = duration(session.planned_seconds)
    text = f"{planned} planned of {duration(session.budget_seconds)}, in {blocks}"
    if session.planned_seconds > session.budget_seconds:
        text = f"{planned} in all, in {blocks}, with what you added"
    finished = sum(not left[block.number] for block in session.blocks)
    if finished == len(session.blocks):
        return f"{text}; all of it is recorded. For more: upneck today --more --minutes 10."
    if _is_begun(session, left):
        total = sum(len(block.items) for block in session.blocks)
        rest = sum(len(items) for items in left.values())
        return f"{text}; {total - rest} of {count(total, 'item')} recorded."
    return f"{text}."


def _tempos(session: Session) -> str:
    """What a tempo means."""
    beats = sorted({block.notes_per_beat for block in session.blocks})
    notes = " or ".join(count(beat, "note") for beat in beats)
    return f"Tempo: beats a minute, {notes} to a beat."


def _table(session: Session, left: Mapping[int, tuple[Item, ...]]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1), show_edge=False, pad_edge=False)
    table.add_column("block", justify="right", no_wrap=True)
    table.add_column("what to play", ratio=1)
    table.add_column("tempo", justify="right", no_wrap=True)
    table.add_column("time", justify="right", no_wrap=True)
    table.add_column("items\nleft", justify="right", no_wrap=True)
    for block in session.blocks:
        table.add_row(
            str(block.number),
            _what(block),
            tempo_words(block.tempo),
            clock_words(block.seconds),
            _left(block, left[block.number]),
        )
    return table


def _what(block: Block) -> Text:
    text = Text()
    text.append(f"{REASON_WORDS[block.reason]}: ", style=REASON_STYLES[block.reason])
    text.append(block_words(block.all_items))
    reasons = list(dict.fromkeys(planned.why for planned in block.items))
    if block.reason in {Reason.REPAIR, Reason.REFRESH, Reason.FIND_WAY}:
        more = f", and {len(reasons) - 1} more" if len(reasons) > 1 else ""
        text.append(f" ({reasons[0]}{more})", style="dim")
    if block.fault is not None:
        text.append(f"\n{FAULT_ADVICE[block.fault]}", style="bold")
    return text


def _left(block: Block, left: tuple[Item, ...]) -> str:
    if not left:
        return "done"
    if len(left) == len(block.items):
        return str(len(left))
    return f"{len(left)} of {len(block.items)}"
