"""Several players on the screen: a line each, who needs a look first, and a week in sentences."""

from collections.abc import Sequence
from datetime import date

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from scheduler.guitar.routine import FIRST_NAME, Direction, Routine
from scheduler.practice.arrivals import News
from scheduler.practice.attention import Attention, Why
from scheduler.practice.look import Look, Place
from scheduler.show.dates import day_words, span_words, window_words
from scheduler.show.words import (
    START_WORDS,
    count,
    fret_words,
    key_words,
    listed,
    round_words,
    sentence,
    share,
)

Line = tuple[str, Look, Attention]
WIDE_FROM_COLUMNS, ROOMY_FROM_COLUMNS = 76, 110
AWAY_MARK, MOST_PLACES, CLEAR_DAYS = "!", 3, 300
LEGEND = "days, min: the last seven days, of what was planned"
WIDE_LEGEND = f"{LEGEND}; passes clean: with the change in points"
NO_PLAYERS = 'There are no players here yet: upneck players --add "NAME" makes one.'


def place_name(place: Place) -> str:
    """A box or coupling, and where a coupling starts.

    Example:
        >>> place_name(Place("2+3", "desc", 40, 2, (), 0, 9, 3, 400.0, (), 0, 0, 2))
        'boxes 2+3 from the top'
    """
    routine, _, boxes = place.box.rpartition("/")
    if not place.direction:
        return f"{routine} box {boxes}".lstrip()
    return f"{routine} boxes {boxes} {START_WORDS[Direction(place.direction)]}".lstrip()


def short_words(place: Place) -> str:
    """The same as a pattern, which other commands take."""
    return f"{place.box}:{place.direction}" if place.direction else place.box


def weakest_words(place: Place) -> str:
    """The same, as it stands by itself."""
    words = short_words(place)
    return words if place.direction else f"box {words}"


def round_name(look: Look) -> str:
    """The round, with its routine's name if that isn't the first."""
    name = "" if look.routine == FIRST_NAME else f"{look.routine} "
    return f"{name}round {look.round}"


def reason_words(look: Look, found: Attention) -> str:
    """Why a player needs a look: every reason that holds, the first one first."""
    return "; ".join(_reason_words(look, each) for each in (found, *found.also))


def _reason_words(look: Look, found: Attention) -> str:
    week = look.week
    words = "all is well"
    match found.why:
        case Why.NOT_BEGUN:
            words = "nothing is recorded yet"
        case Why.AWAY:
            words = f"not heard from for {-found.measure:.0f} days"
        case Why.STUCK if found.place is not None:
            words = _stuck_words(found.place)
        case Why.NOT_DONE if look.assigned is not None:
            asked = f"assigned until {day_words(look.assigned.assignment.until, look.as_of)}"
            words = f"{asked}, {look.assigned.clean} of {look.assigned.total} items clean"
        case Why.LITTLE_TIME:
            planned = f"{minutes_words(week.planned_seconds)} planned minutes"
            words = f"{minutes_words(week.seconds)} of {planned} in seven days"
        case Why.WORSE if look.share_change is not None:
            points = f"{-100 * look.share_change:.0f} points fewer than the week before"
            words = f"{share(week.share)} of passes clean, {points}"
        case Why.FINISHED:
            words = f"{round_name(look)} is finished, the next one isn't begun"
    return words


def _stuck_words(place: Place) -> str:
    where = f"{place_name(place)}, {fret_words(place.stuck_frets)}"
    tried = f"{count(place.stuck_passes, 'pass', 'passes')} on {count(place.stuck_days, 'day')}"
    return f"stuck on {where}: {tried}, not clean at the floor tempo yet"


def players_screen(lines: Sequence[Line], width: int) -> RenderableType:
    """A line for each player, who needs a look first; under them why.

    Args:
        lines: The players in their order.
        width: Columns of the terminal.
    """
    parts: list[RenderableType] = [_table(lines, width)]
    reasons = [
        f"{name}: {reason_words(look, found)}."
        for name, look, found in lines
        if found.why is not Why.FINE
    ]
    if reasons:
        parts += [Text(""), Text("Look first at", style="bold"), *map(Text, reasons)]
    parts += _assigned_line(lines)
    parts += [Text(""), Text(WIDE_LEGEND if width >= WIDE_FROM_COLUMNS else LEGEND, style="dim")]
    if any(found.why is Why.AWAY for _, _, found in lines):
        parts.append(Text(f"{AWAY_MARK}: not heard from for a week or more", style="dim"))
    return Group(*parts)


def _assigned_line(lines: Sequence[Line]) -> list[Text]:
    """How far each is with what was assigned, until its day."""
    done = [
        f"{name} {look.assigned.clean}/{look.assigned.total}"
        for name, look, _ in lines
        if look.assigned is not None and not look.assigned.is_over
    ]
    return [Text(""), Text(f"Assigned, clean: {', '.join(done)}.")] if done else []


def _table(lines: Sequence[Line], width: int) -> Table:
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False, pad_edge=False)
    wide, roomy = width >= WIDE_FROM_COLUMNS, width >= ROOMY_FROM_COLUMNS
    table.add_column("player", min_width=6)
    if roomy:
        table.add_column("round", no_wrap=True)
    for name in ("clean", "days", "min"):
        table.add_column(name, justify="right", no_wrap=True)
    if wide:
        table.add_column("passes\nclean", justify="right", no_wrap=True)
        table.add_column("weakest", no_wrap=True)
    table.add_column("done by", no_wrap=True)
    table.add_column("last", justify="right", no_wrap=True)
    for name, look, found in lines:
        cells = [f"{AWAY_MARK} {name}" if found.why is Why.AWAY else name]
        if roomy:
            cells.append(round_name(look))
        cells += _numbers(look)
        if wide:
            weakest = look.weakest
            cells += [_passes(look), "-" if weakest is None else weakest_words(weakest)]
        table.add_row(*cells, _finish(look), _last(look))
    return table


def _numbers(look: Look) -> list[str]:
    week = look.week
    return [
        f"{look.items_clean}/{look.items_total}",
        f"{week.days}/{week.planned_days}",
        f"{minutes_words(week.seconds)}/{minutes_words(week.planned_seconds)}",
    ]


def _passes(look: Look) -> str:
    change = look.share_change
    moved = "" if change is None or not round(100 * change) else f" {100 * change:+.0f}"
    return f"{share(look.week.share)}{moved}"


def minutes_words(seconds: float) -> str:
    """Whole minutes."""
    return f"{seconds / 60:.0f}"


def _finish(look: Look) -> str:
    early, late = look.finish.early, look.finish.late
    if look.done_on is not None:
        return f"on {_short(look.done_on, look.as_of)}"
    if look.obstacle or early is None:
        return "no end yet"
    if late is None:
        return f"{_short(early, look.as_of)} or later"
    if early == late:
        return _short(early, look.as_of)
    if (late - look.as_of).days < CLEAR_DAYS:
        return f"{_short(early, look.as_of)} to {_short(late, look.as_of)}"
    return _months(early, late)


def _months(early: date, late: date) -> str:
    """A window so far away that its months will do."""
    last = f"{late:%b %Y}"
    if (early.year, early.month) == (late.year, late.month):
        return last
    return f"{early:%b} to {last}" if early.year == late.year else f"{early:%b %Y} to {last}"


def _short(day: date, today: date) -> str:
    """A date in a few letters; the year only where it isn't clear."""
    year = "" if abs((day - today).days) < CLEAR_DAYS else f" {day.year}"
    return f"{day.day} {day:%b}{year}"


def _last(look: Look) -> str:
    return "never" if look.last_played is None else _short(look.last_played, look.as_of)


def week_sentences(name: str, look: Look) -> str:
    """A player's week in sentences, to be sent."""
    week, today = look.week, look.as_of
    of_round = f"{look.items_clean} of {look.items_total} items of {round_name(look)} are clean"
    if not week.passes:
        last = look.last_played
        since = f", the last time on {day_words(last, today)}" if last else ""
        return f"{name}: nothing recorded in the last seven days{since}. {sentence(of_round)}."
    practised = count(round(week.seconds / 60), "minute")
    minutes = f"{practised} ({minutes_words(week.planned_seconds)} planned)"
    said = [
        f"{name}: {count(week.days, 'day')} ({week.planned_days} planned), {minutes}.",
        f"{count(week.passes, 'pass', 'passes')}, {share(week.share)} clean{_change(look)}.",
        f"{_won(look)}{of_round}.",
    ]
    if look.weakest is not None:
        frets = fret_words(look.weakest.weak_frets)
        said.append(f"Weakest: {place_name(look.weakest)}, {frets}.")
    if look.assigned is not None:
        asked = f"Assigned until {day_words(look.assigned.assignment.until, today)}"
        said.append(f"{asked}: {look.assigned.clean} of {look.assigned.total} items clean.")
    said.append(_end(look))
    return " ".join(said)


def news_words(name: str, news: News, routine: Routine, today: date) -> str:
    """What is new of a player since the last time, in one line."""
    if not news:
        last = news.last_played
        since = "" if last is None else f", last played {day_words(date.fromordinal(last), today)}"
        return f"{name}: nothing new{since}"
    passes = count(abs(news.passes), "pass", "passes")
    said = [f"{passes}{' fewer' if news.passes < 0 else ''} on {count(news.days, 'day')}"]
    if news.more_clean:
        more = "more" if news.more_clean > 0 else "fewer"
        said.append(f"{count(abs(news.more_clean), f'{more} item')} clean")
    if news.new_round is not None:
        said.append(f"{round_words(news.new_round, routine)} begun")
    said[-1] += f" ({news.clean} of {news.total})"
    if news.begun:
        begun = [key_words(key, routine) for key in news.begun]
        many = len(begun) > MOST_PLACES
        said.append(f"{len(begun)} boxes and couplings begun" if many else f"{listed(begun)} begun")
    return f"{name}: {', '.join(said)}"


def _change(look: Look) -> str:
    change = look.share_change
    if change is None:
        return ""
    points = round(100 * change)
    if not points:
        return ", as in the week before"
    more = "more" if points > 0 else "fewer"
    return f", {count(abs(points), 'point')} {more} than in the week before"


def _won(look: Look) -> str:
    won = [place_name(place) for place in look.places if place.won]
    if not look.week.new_clean:
        return "Nothing new is clean; "
    if not won:
        # At a floor tempo that has gone up since.
        verb = "was" if look.week.new_clean == 1 else "were"
        return f"{count(look.week.new_clean, 'item')} {verb} clean for the first time; "
    where = listed(won) if len(won) <= MOST_PLACES else f"{len(won)} boxes and couplings"
    verb = "is" if look.week.new_clean == 1 else "are"
    return f"{count(look.week.new_clean, 'more item')} {verb} clean, in {where}; "


def _end(look: Look) -> str:
    if look.done_on is not None:
        return f"The round was finished on {day_words(look.done_on, look.as_of)}."
    if look.obstacle:
        # What stands in the way is for the player's own calendar, not for who gets the week.
        return "At this pace no end is in sight yet."
    early, late = look.finish.early, look.finish.late
    if early is None or late is None or early == late:
        return f"At this pace the round ends {window_words(look.finish, look.as_of)}."
    return f"At this pace the round ends between {span_words(early, late, look.as_of, ' and ')}."
