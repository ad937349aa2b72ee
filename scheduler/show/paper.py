"""A session on paper: blocks with their boxes, a square a fret to tick, and what is typed in."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from scheduler.guitar.routine import Direction
from scheduler.plan.cautions import NOTHING_RECORDED
from scheduler.plan.session import Block
from scheduler.practice.written import WrittenSession
from scheduler.show.assignment import assigned_lines
from scheduler.show.dates import day_words
from scheduler.show.figures import BoxFigure, box_figures
from scheduler.show.pages import page, page_source
from scheduler.show.words import (
    FAULT_ADVICE,
    REASON_WORDS,
    block_words,
    count,
    duration,
    sentence,
    tempo_words,
)

PAPERS = ("a4", "letter")
ARROWS = {Direction.ASC: "\N{NORTH EAST ARROW}", Direction.DESC: "\N{SOUTH EAST ARROW}"}
TO_TYPE = "{command} record {number} clean --sloppy ..... --second-try ....."


class Square(NamedTuple):
    """A square to tick: its fret, which way the item starts, and its key."""

    fret: int
    arrow: str
    key: str


class PaperBlock(NamedTuple):
    """A block on paper.

    Attributes:
        number: Its number in the session.
        title: Why it is played and what it is.
        tempo: In beats per minute.
        notes_per_beat: 1, 2, 3, 4 or 6.
        time: The expected time.
        figures: The boxes of its first item.
        at: The fret at which they are drawn.
        squares: A square for each item that is left.
        advice: What to heed, or "".
        to_type: The line that is typed in afterwards.
        rest: A rest after it, or "".
    """

    number: int
    title: str
    tempo: str
    notes_per_beat: int
    time: str
    figures: Sequence[BoxFigure]
    at: int
    squares: Sequence[Square]
    advice: str
    to_type: str
    rest: str


class Paper(NamedTuple):
    """A session on paper.

    Attributes:
        title: The day and how long it takes.
        lines: What is read before playing: cautions, and what was assigned.
        blocks: Those that have something left.
        is_left_handed: Whether boxes are mirrored.
    """

    title: str
    lines: Sequence[str]
    blocks: Sequence[PaperBlock]
    is_left_handed: bool


def paper_of(written: WrittenSession, command: str) -> Paper:
    """A session as it goes on paper.

    Args:
        written: The session, with all that is written down of it.
        command: What a line to be typed begins with.
    """
    session, left = written.session, written.left
    rests = {pause.after_block: duration(pause.seconds) for pause in session.breaks}
    blocks = [
        _block(block, written, command, rests.get(block.number, ""))
        for block in session.blocks
        if left[block.number]
    ]
    today = date.fromordinal(session.day)
    day = f"{today:%A} {day_words(today)}"
    return Paper(
        title=f"{day}: {duration(session.planned_seconds)}, {count(len(blocks), 'block')}",
        lines=(
            *(
                each
                for each in session.cautions
                if each != NOTHING_RECORDED or not written.is_begun
            ),
            *assigned_lines(written.report, written.routine, written.today),
        ),
        blocks=blocks,
        is_left_handed=written.is_left_handed,
    )


def _block(block: Block, written: WrittenSession, command: str, rest: str) -> PaperBlock:
    left, sheets = written.left[block.number], written.sheets
    first = sheets[left[0]]
    return PaperBlock(
        number=block.number,
        title=f"{sentence(REASON_WORDS[block.reason])}: {block_words(left)}",
        tempo=tempo_words(block.tempo),
        notes_per_beat=block.notes_per_beat,
        time=duration(block.seconds),
        figures=box_figures(first, left_handed=written.is_left_handed),
        at=first.item.fret,
        squares=[
            Square(item.fret, ARROWS[item.direction], sheets[item].short_key) for item in left
        ],
        advice="" if block.fault is None else FAULT_ADVICE[block.fault],
        to_type=TO_TYPE.format(command=command, number=block.number),
        rest=rest,
    )


def paper_page(paper: Paper, size: str) -> str:
    """The page for the printer, as one file.

    Args:
        paper: The session.
        size: The paper, `a4` or `letter`.
    """
    style = page_source("show/paper.css")
    return page("show/sheet.html", paper=paper, size=size, style=style)
