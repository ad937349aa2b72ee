"""The page of the session, put together: what is played, how it is drawn, where it stands."""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from scheduler.guitar.durations import CHANGEOVER_SECONDS, COUNT_IN_BEATS, SETTLE_SECONDS
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import MARKS
from scheduler.ledger.record_file import player_events
from scheduler.plan.beats import ACCENT_EVERY
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.session import Block
from scheduler.player.tempo import suggested_tempo
from scheduler.practice.report.report import report_of
from scheduler.practice.sheet import Sheet, sheets_of
from scheduler.practice.written import written_session
from scheduler.show.click_wave import (
    ACCENT_HZ,
    BEAT_HZ,
    CLICK_DECAY,
    CLICK_SECONDS,
    PEAK,
    SETTLE_HZ,
    SIGNAL_HZ,
    SIGNAL_SECONDS,
)
from scheduler.show.figures import BeatCell, BoxFigure, box_figures, notes_in_words, tab_rows
from scheduler.show.pages import page
from scheduler.show.paper import paper_of
from scheduler.show.report.page import report_page
from scheduler.show.words import (
    FAULT_ADVICE,
    STROKE_WORDS,
    at_fret_words,
    block_words,
    place_words,
    sentence,
)
from scheduler.stage.beat import LEAST_SHARE, SOON_BEATS
from scheduler.stage.hands_on import steps_of
from scheduler.stage.keys import HELD_SECONDS
from scheduler.stand.session import StandSession
from scheduler.stand.steps import steps_told

CONSTANTS = {
    "marks": MARKS,
    "tries": PASSES_A_VISIT,
    "changeover_seconds": CHANGEOVER_SECONDS,
    "settle_seconds": SETTLE_SECONDS,
    "count_in_beats": COUNT_IN_BEATS,
    "accent_every": ACCENT_EVERY,
    "held_seconds": HELD_SECONDS,
    "soon_beats": SOON_BEATS,
    "least_share": LEAST_SHARE,
    "sounds": {
        "accent": [ACCENT_HZ], "beat": [BEAT_HZ], "settle": [SETTLE_HZ],
        "signal": SIGNAL_HZ, "peak": PEAK, "click_seconds": CLICK_SECONDS,
        "click_decay": CLICK_DECAY, "signal_seconds": SIGNAL_SECONDS,
    },
}  # fmt: skip
"""What the page's scripts reckon with, said in one place: here they come from."""


class Figure(NamedTuple):
    """An item as it is drawn: its address, its boxes, its tablature, and the same in words."""

    address: str
    boxes: Sequence[BoxFigure]
    rows: Sequence[Sequence[BeatCell]]
    words: str


def document_of(session: StandSession, sheets: Mapping[Item, Sheet]) -> dict[str, Any]:
    """Everything that is played, and where the session stands.

    Args:
        session: The session.
        sheets: The notes and fingers of its items.

    Raises:
        LedgerError: The ledger can't be read.
    """
    practice, plan = session.practice, session.plan
    steps = steps_of(plan.session, lambda number: plan.session.blocks[number - 1].all_items)
    ability = practice.ability()
    tempos = {step.item: suggested_tempo(ability, step.item) for step in steps}
    all_steps = [*steps, *(step for step in session.state.steps if step.again_at is not None)]
    return {
        "owners": session.owners,
        "player_events": player_events(practice.ledger),
        # A teacher who is sent several of them sees whose each is.
        "record_name": f"{practice.ledger.path.stem}-{practice.now.date}.json",
        "constants": CONSTANTS,
        "blocks": [_block_told(block) for block in plan.session.blocks],
        "steps": steps_told(all_steps, [tempos[step.item] for step in all_steps]),
        "items": {item.address: _item_told(sheet) for item, sheet in sheets.items()},
        "state": session.told(),
    }


def _block_told(block: Block) -> dict[str, Any]:
    return {
        "number": block.number,
        "words": sentence(block_words(block.all_items)),
        "advice": "" if block.fault is None else FAULT_ADVICE[block.fault],
    }


def _item_told(sheet: Sheet) -> dict[str, Any]:
    return {
        "words": sentence(place_words(sheet.item)),
        "at": at_fret_words(sheet.item),
        "stroke": sentence(STROKE_WORDS[sheet.item.stroke]),
        "key": sheet.key,
        "notes": len(sheet.notes),
    }


def figures_of(sheets: Mapping[Item, Sheet], *, left_handed: bool) -> list[Figure]:
    """The items of some sheets as they are drawn."""
    return [
        Figure(
            item.address, box_figures(sheet, left_handed=left_handed), tab_rows(sheet),
            notes_in_words(sheet),
        )
        for item, sheet in sheets.items()
    ]  # fmt: skip


def report_of_session(session: StandSession) -> str:
    """Where the player stands, as a page of the stand's.

    Raises:
        LedgerError: The ledger can't be read.
    """
    return report_page(report_of(session.practice), back="/session")


def session_page(
    session: StandSession, bundle: object = None, more: Mapping[str, Any] | None = None
) -> str:
    """The page of the session.

    Args:
        session: The session.
        bundle: What a page without a stand brings along; None for one that is served.
        more: What such a page is told beside the rest.

    Raises:
        LedgerError: The ledger can't be read.
    """
    practice, plan = session.practice, session.plan
    sheets = sheets_of(practice, plan.session.blocks)
    return page(
        "stand/session.html",
        document={**document_of(session, sheets), **(more or {})},
        figures=figures_of(sheets, left_handed=practice.settings.left_handed),
        paper=paper_of(written_session(practice, plan, sheets), session.command),
        player=session.player,
        bundle=bundle,
    )
