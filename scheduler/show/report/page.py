"""The report as a page and as JSON: the same pictures, the same numbers."""

from scheduler.practice.report.report import Report
from scheduler.show.dates import day_words
from scheduler.show.pages import page, page_source
from scheduler.show.report.faults import faults_picture
from scheduler.show.report.minutes import minutes_picture
from scheduler.show.report.neck import neck_picture
from scheduler.show.report.next import next_picture
from scheduler.show.report.rounds import rounds_picture
from scheduler.show.report.tempos import tempos_picture
from scheduler.show.report.told import told_picture
from scheduler.show.report.values import Picture
from scheduler.show.report.way import way_picture
from scheduler.show.words import count, round_words

PICTURES = (
    way_picture, neck_picture, tempos_picture, told_picture, minutes_picture, faults_picture,
    rounds_picture,
)  # fmt: skip
BEFORE_THE_FIRST = ("The way to the end", "The neck")
COMES = "This comes with your first passes."
Plain = dict[str, object]


def pictures_of(report: Report) -> list[Picture]:
    """What to play next, and the seven pictures of a report; of the first day only what it has."""
    drawn = [draw(report) for draw in PICTURES]
    if not report.passes:
        # Where nothing was played, a picture without a drawing only says that it will come.
        drawn = [
            each if each.title in BEFORE_THE_FIRST else Picture(each.title, [COMES], [], [])
            for each in drawn
        ]
    return [next_picture(report), *drawn]


def report_page(report: Report, name: str = "", *, back: str = "") -> str:
    """The report as a page.

    Args:
        report: The report.
        name: The player's name; "" for one's own.
        back: The address of the page it was asked for from, where that serves its stylesheet; ""
            for a file that stands by itself.
    """
    of_round = round_words(report.round_number, report.routine)
    whose = f"{name}: where" if name else "Where"
    passes = count(report.passes, "pass", "passes")
    return page(
        "show/report.html",
        title=f"{whose} you stand, {day_words(report.as_of)}",
        lines=[f"{passes} recorded; {of_round}, {report.routine.title}."],
        pictures=pictures_of(report),
        style=None if back else page_source("show/report.css"),
        back=back,
    )  # fmt: skip


def report_json(report: Report) -> Plain:
    """The numbers of a report, a list for each of its tables, also of those not shown yet."""
    told: Plain = {
        "as_of": report.as_of.isoformat(),
        "routine": report.routine.name,
        "round": report.round_number,
        "passes": report.passes,
    }
    for picture in (next_picture(report), *(draw(report) for draw in PICTURES)):
        for table in picture.tables:
            keys = [column.key for column in table.columns]
            told[table.key] = [
                dict(zip(keys, (cell.value for cell in row), strict=True)) for row in table.rows
            ]
    return told
