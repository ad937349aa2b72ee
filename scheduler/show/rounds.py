"""Where the round stands, by part and box."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from scheduler.guitar.rounds import Part, Trip
from scheduler.show.words import PART_WORDS, count, day_words, tempo_words, trip_words

WIDE_BAR, NARROW_BAR = 20, 8
WIDE_FROM_COLUMNS = 72


@dataclass(frozen=True, slots=True)
class TripProgress:
    """How many items of a trip are done."""

    trip: Trip
    clean: int

    @property
    def total(self) -> int:
        """All its items."""
        return len(self.trip.items)


@dataclass(frozen=True, slots=True)
class RoundReport:
    """Where a round stands."""

    number: int
    floor_tempo: float
    started_on: date | None
    trips: tuple[TripProgress, ...]

    @property
    def total(self) -> int:
        """All items."""
        return sum(each.total for each in self.trips)

    @property
    def clean(self) -> int:
        """Those that are done."""
        return sum(each.clean for each in self.trips)

    @property
    def is_finished(self) -> bool:
        """Whether nothing is left."""
        return self.clean == self.total

    def parts(self) -> list[tuple[Part, list[TripProgress]]]:
        """Trips by part, in order."""
        return [(part, list(group)) for part, group in groupby(self.trips, lambda t: t.trip.part)]


def round_screen(report: RoundReport, today: date, width: int) -> RenderableType:
    """A round by part and box."""
    began = (
        f"begun on {day_words(report.started_on, today)}" if report.started_on else "not begun yet"
    )
    parts: list[RenderableType] = [
        Text(f"Round {report.number}, floor tempo {tempo_words(report.floor_tempo)}", style="bold"),
        Text(f"{report.clean} of {count(report.total, 'item')} clean, {began}."),
        Text(""),
        _table(report, WIDE_BAR if width >= WIDE_FROM_COLUMNS else NARROW_BAR),
    ]
    if report.is_finished:
        parts.append(Text("The round is finished: upneck round --next begins another."))
    return Group(*parts)


def _table(report: RoundReport, bar: int) -> Table:
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False)
    table.add_column("part")
    table.add_column("clean", justify="right", no_wrap=True)
    table.add_column("of", justify="right", no_wrap=True)
    table.add_column("", no_wrap=True)
    for part, trips in report.parts():
        table.add_row(*_row(PART_WORDS[part], trips, bar), style="bold")
        for each in trips:
            table.add_row(*_row(f"  {trip_words(each.trip)}", [each], bar))
    return table


def _row(name: str, trips: Sequence[TripProgress], bar: int) -> tuple[str, str, str, str]:
    clean, total = sum(each.clean for each in trips), sum(each.total for each in trips)
    filled = bar * clean // total
    return name, str(clean), str(total), "#" * filled + "." * (bar - filled)
