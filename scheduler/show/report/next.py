"""What to play next: the beginning of the report."""

from collections.abc import Iterator

from scheduler.practice.report.report import Report
from scheduler.show.report.values import Cell, Column, Picture, Table, number, word
from scheduler.show.words import (
    REASON_WORDS,
    block_words,
    count,
    item_words,
    sentence,
    tempo_words,
)


def next_picture(report: Report) -> Picture:
    """Today's session, and what is weak or stale: no drawing, but what to do with the rest."""
    return Picture(
        title="What next",
        sentences=[*_sentences(report)],
        charts=[],
        tables=[_today(report), _needy(report)],
    )


def _sentences(report: Report) -> Iterator[str]:
    found = report.next
    left = sum(items for _, items in found.blocks)
    if not found.blocks:
        yield "Nothing is planned today."
    elif not left:
        yield "Today's session is done."
    elif found.is_kept:
        yield f"Today: {count(left, 'item')} left."
    else:
        yield f"Today's session would be {count(left, 'item')}: upneck today plans it."
    if found.weak or found.stale:
        yield f"{count(found.weak, 'item is', 'items are')} weak, {found.stale} stale."
    elif report.passes:
        yield "Nothing is weak or stale."


def _today(report: Report) -> Table:
    rows = [
        [
            Cell(block.number, str(block.number)),
            word(f"{sentence(REASON_WORDS[block.reason])}: {block_words(block.all_items)}"),
            Cell(block.tempo, tempo_words(block.tempo)), number(block.seconds / 60, 1),
            number(left),
        ]
        for block, left in report.next.blocks
    ]  # fmt: skip
    columns = [
        Column("block", "block"), Column("what", "what to play"), Column("tempo", "tempo"),
        Column("minutes", "minutes"), Column("left", "items left"),
    ]  # fmt: skip
    return Table("today", "Today's session", columns, rows)


def _needy(report: Report) -> Table:
    rows = [
        [word(sentence(item_words(each.item))), word(str(each.standing)), word(each.why)]
        for each in report.next.needy
    ]
    columns = [Column("item", "item"), Column("standing", "is"), Column("why", "why")]
    return Table("needy", "Weak and stale items", columns, rows)
