"""`report` and `players -o`: where a player stands and where a class does, in pictures."""

import json
import re
from collections import defaultdict
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import html5lib  # type: ignore[import-untyped]
import pytest

from tests.conftest import Run, another

XHTML, SVG = "{http://www.w3.org/1999/xhtml}", "{http://www.w3.org/2000/svg}"
DAYS = 10
NOTHING_ELSE = {"as_of", "routine", "round", "passes"}
TITLES = [
    "What next", "The way to the end", "The neck", "Tempo over time", "Were the forecasts right?",
    "Time",
    "What goes wrong", "Rounds beside each other",
]  # fmt: skip


def page_of(run: Run, home: Path, *before: str, at: str = "") -> str:
    file = home / "report.html"
    words = (*before, "report", "-o", str(file), "--force")
    done = run(*words, at=at) if at else run(*words)
    assert done.code == 0, done.err
    return file.read_text(encoding="utf-8")


def parsed(text: str) -> ET.Element:
    """A page, read by a parser of the HTML standard's that forgives nothing."""
    page: ET.Element = html5lib.HTMLParser(strict=True).parse(text)
    return page


def tables_of(page: ET.Element) -> dict[str, list[dict[str, Any]]]:
    """The numbers of a page: by table, a row each, as the values that the cells bear."""
    found = {}
    for table in page.iter(f"{XHTML}table"):
        keys = [head.get("data-key") or "" for head in table.iter(f"{XHTML}th")]
        rows = []
        for row in table.iter(f"{XHTML}tr"):
            cells = list(row.iter(f"{XHTML}td"))
            values = [next(cell.iter(f"{XHTML}data"), None) for cell in cells]
            if cells:
                told = [None if v is None else json.loads(v.get("value") or "") for v in values]
                rows.append(dict(zip(keys, told, strict=True)))
        found[table.get("data-key") or ""] = rows
    return found


def a_round(run: Run) -> None:
    """A small round, played through with its faults, and the beginning of the next one."""
    run("setup", "--frets", "12", "--lowest-fret", "1", "--plays-clean", "120",
        at="2026-10-01T18:00:00+02:00")  # fmt: skip
    for number, day in enumerate(range(1, 1 + DAYS)):
        at = f"2026-10-{day:02}T18:00:00+02:00"
        box = number % 5 + 1
        run("record", f"{box}:any:any:any", "clean", "--tempo", str(60 + number), at=at)
        run("record", f"{box}:any:down:3", "sloppy", "--tempo", "80", "--fault", "ringing", at=at)
        coupling = f"{box}+{box % 5 + 1}"
        run("record", f"{coupling}:any:any:any", "clean", "--tempo", "60", at=at)
    run("record", "1:any:any:any", "sloppy", "--tempo", "90", at="2026-10-29T18:00:00+01:00")
    run("round", "--next", "--yes", at="2026-10-30T18:00:00+01:00")
    run("record", "1:any:any:any", "clean", "--tempo", "60", at="2026-10-31T18:00:00+01:00")


SECOND_ROUND = pytest.param("second round", marks=pytest.mark.slow)


@pytest.mark.parametrize("what", ["first day", "demo", SECOND_ROUND, "class"])
def test_it_is_valid_html_and_svg_asks_nobody_and_runs_nothing(
    run: Run, home: Path, what: str
) -> None:
    if what == "second round":
        a_round(run)
    if what == "class":
        assert run("--demo", "players", "-o", str(home / "report.html")).code == 0
        text = (home / "report.html").read_text(encoding="utf-8")
    else:
        text = page_of(run, home, *(["--demo"] if what == "demo" else []))
    page = parsed(text)
    drawings = [ET.fromstring(svg) for svg in re.findall(r"<svg.*?</svg>", text, re.DOTALL)]  # noqa: S314

    assert len(drawings) > (1 if what == "first day" else 4)
    if what != "class":
        assert [head.text for head in page.iter(f"{XHTML}h2")] == TITLES
    assert list(page.iter(f"{XHTML}script")) == []
    assert not re.findall(r"https?://(?!www\.w3\.org)", text)
    assert not re.findall(r"\bon\w+=", text)
    ids = [each.get("id") for each in page.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    for svg in page.iter(f"{SVG}svg"):
        assert svg.get("aria-label") or svg.get("aria-hidden")
    # No number of a drawing is none.
    assert "nan" not in text.lower().replace("finance", "")


@pytest.mark.parametrize("what", ["first day", "demo", SECOND_ROUND])
def test_the_numbers_under_the_pictures_are_those_of_the_json(
    run: Run, home: Path, what: str
) -> None:
    if what == "second round":
        a_round(run)
    before = ["--demo"] if what == "demo" else []
    shown = tables_of(parsed(page_of(run, home, *before)))
    told = run(*before, "report", "--json").json

    assert {key: told[key] for key in shown} == shown
    assert set(shown) <= set(told) - NOTHING_ELSE


def test_the_json_has_the_same_lists_from_the_first_day_on(run: Run) -> None:
    first, later = (run(*words, "report", "--json").json for words in ([], ["--demo"]))

    assert list(first) == list(later)
    assert first["faults_by_box"] == first["neck_tempos"] == []


def test_the_numbers_are_those_of_the_other_commands(run: Run) -> None:
    report = run("--demo", "report", "--json").json
    calendar = run("--demo", "calendar", "--json").json
    whole = run("--demo", "round", "--json").json

    assert report["way"][-1]["items_expected"] == whole["items_total"]
    ends = {line["name"]: line for line in report["ends"]}
    for milestone in calendar["milestones"]:
        line = ends[milestone["name"]]
        assert line["finished"] == (milestone["done_on"] or milestone["middle"])
        assert (line["early"] is None) == (milestone["done_on"] is not None)
    practised = sum(day["practised_seconds"] for day in calendar["days"])
    assert sum(week["practised_minutes"] for week in report["minutes"]) == pytest.approx(
        practised / 60, abs=1
    )
    assert sum(fifth["passes"] for fifth in report["told"]) == report["passes"]
    (only,) = report["rounds"]
    assert only["passes"] == report["passes"]


def test_an_earlier_forecast_is_what_the_calendar_said_of_that_day(run: Run) -> None:
    report = run("--demo", "report", "--json").json
    assert report["forecasts_before"]
    for line in report["forecasts_before"]:
        then = run("--demo", "calendar", "--on", line["told_on"], "--json").json["finish"]
        assert [line[name] for name in ("early", "finished", "late")] == [
            then[name] for name in ("early", "middle", "late")
        ]


@pytest.mark.slow
def test_the_sentences_say_how_the_forecasts_held(run: Run, home: Path) -> None:
    text = page_of(run, home, "--demo")
    said = re.findall(r"The forecast of \d+ November was .*", text)

    assert said
    assert all(re.search(r"inside it|sooner than that|later than that", line) for line in said)


@pytest.mark.slow
def test_rounds_lie_beside_each_other(run: Run) -> None:
    a_round(run)
    first, second = run("report", "--json").json["rounds"]

    assert (first["number"], first["started"], first["ended"]) == (1, "2026-10-01", "2026-10-30")
    assert (second["number"], second["started"], second["ended"]) == (2, "2026-10-30", None)
    assert first["days"] == DAYS + 1
    # Box 1 was sloppy last at every fret, in both directions and with both strokes.
    everything = run("items", "1:any:any:any", "--json").json["items"]
    assert first["weak"] >= len(everything) // 2
    # The next round has other directions: what was sloppy is so still.
    assert first["weak_now"] == first["weak"]
    assert (second["weak"], second["weak_now"]) == (None, None)
    weak = run("items", "1:any:any:any", "--weak", "--json").json["items"]
    run("record", weak[0]["item"], "clean", "--tempo", "60")
    assert run("report", "--json").json["rounds"][0]["weak_now"] == first["weak"] - 1
    assert first["tempo"] == 60
    assert second["clean_share"] == 1.0


@pytest.mark.slow
def test_faults_are_told_by_time_box_and_region(run: Run) -> None:
    a_round(run)
    told = run("report", "--json").json
    # The round has one item of a box at fret 3 with a downstroke: sloppy on each day.
    ringing = sum(week["ringing"] for week in told["faults"])
    unsaid = sum(week["not_said"] for week in told["faults"])

    assert ringing == DAYS
    assert sum(line["ringing"] for line in told["faults_by_region"]) == ringing
    by_region = {line["what"]: line["ringing"] for line in told["faults_by_region"]}
    assert by_region["frets 1 to 4"] == ringing
    by_box = {line["what"]: line for line in told["faults_by_box"]}
    assert sum(line["ringing"] for line in by_box.values()) == ringing
    assert by_box["box 1"]["not_said"] == unsaid
    assert len(told["hardest"]) == 10
    shares = [line["clean_share"] for line in told["hardest"]]
    assert shares == sorted(shares)


def test_a_fault_is_told_as_it_was_named_and_goes_with_the_pass_that_is_undone(run: Run) -> None:
    run("record", "1:asc:down:3", "sloppy", "--tempo", "60")
    run("record", "1:asc:down:5", "sloppy", "--tempo", "60", "--fault", "sync")
    (told,) = run("report", "--json").json["faults_by_box"]
    assert (told["not_said"], told["sync"], told["passes"]) == (1, 1, 2)
    run("undo")
    (left,) = run("report", "--json").json["faults_by_box"]
    run("undo")

    assert (left["not_said"], left["sync"], left["passes"]) == (1, 0, 1)
    assert run("report", "--json").json["faults_by_box"] == []


@pytest.mark.slow
def test_time_is_told_by_why_it_was_played(run: Run) -> None:
    run("setup", "--plays-clean", "100")
    blocks = run("today", "--json").json["blocks"]
    minutes: dict[str, float] = defaultdict(float)
    words = {"warm-up": "warm-up", "onward": "new ground"}
    for block in blocks:
        run("record", str(block["number"]), "clean")
        for each in block["items"]:
            notes = run("item", each["item"], "--json").json["notes"]
            minutes[words[block["reason"]]] += notes / (block["tempo"] * 3)
    told = {line["what"]: line["minutes"] for line in run("report", "--json").json["reasons"]}

    assert told == pytest.approx({key: round(value, 1) for key, value in minutes.items()})


def test_what_was_repeated_was_played_for_what_it_ended(run: Run) -> None:
    run("setup", "--plays-clean", "100")
    block = run("today", "--json").json["blocks"][0]
    assert block["reason"] == "warm-up"
    fret = block["items"][0]["item"].rpartition(":")[2]
    run("record", "1", "clean", "--second-try", fret)
    minutes = {line["what"]: line["minutes"] for line in run("report", "--json").json["reasons"]}
    notes = sum(run("item", each["item"], "--json").json["notes"] for each in block["items"])

    assert list(minutes) == ["warm-up"]
    repeated = run("item", block["items"][0]["item"], "--json").json["notes"]
    assert minutes["warm-up"] == pytest.approx((notes + repeated) / (3 * block["tempo"]), abs=0.06)


@pytest.mark.slow
def test_rounds_of_another_routine_are_not_beside_it(run: Run) -> None:
    run("routine", "fours", "--begin", at="2026-11-20T12:00:00+01:00")
    run("record", "fours/1:any:down:1-3", "clean", "--tempo", "60", at="2026-11-20T13:00:00+01:00")
    run("round", "--next", "--yes", at="2026-11-21T12:00:00+01:00")
    assert [line["number"] for line in run("report", "--json").json["rounds"]] == [1, 2]
    run("routine", "pentatonic", "--begin")
    run("record", "1:asc:down:1", "clean", "--tempo", "60")

    (only,) = run("report", "--json").json["rounds"]
    assert (only["number"], only["passes"]) == (1, 1)


def test_words_of_a_players_own_are_never_markup(run: Run, home: Path) -> None:
    routine = home / "mine.toml"
    assert run("routine", "--example").code in {0, 2}
    evil = "<b onclick=alert(1)>&\"'x</b>"
    run("record", "1:asc:down:1", "sloppy", "--tempo", "60", "--note", evil)
    name = "Mia & <i>Bo"
    made = run("players", "--add", name)
    before = ["--player", name] if made.code == 0 else []
    text = page_of(run, home, *before)

    assert "<b onclick" not in text
    assert "<i>" not in text
    if before:
        title = next(parsed(text).iter(f"{XHTML}title")).text
        assert name in (title or "")
    assert not routine.exists()


def test_it_says_what_it_wants_and_writes_over_nothing(run: Run, home: Path) -> None:
    none = run("report")
    assert (none.code, none.out) == (2, "")
    assert "upneck report -o report.html" in none.err
    file = home / "report.html"
    file.write_text("mine")
    assert run("report", "-o", str(file)).code == 1
    assert file.read_text() == "mine"
    assert run("report", "-o", str(home / "none" / "x.html")).code == 1
    assert run("players", "Mia", "-o", str(file)).code in {1, 2}
    assert file.read_text() == "mine"


@pytest.mark.slow
def test_after_years_weeks_are_told_as_months(run: Run, home: Path) -> None:
    first = date(2021, 3, 1)
    for week in range(0, 290, 24):
        at = f"{first + timedelta(weeks=week)}T12:00:00+01:00"
        run("record", "1:any:any:1-3", "clean", "--tempo", str(40 + week // 24), at=at)
    told = run("report", "--json").json

    assert 55 <= len(told["minutes"]) <= 70
    assert {line["from"][-2:] for line in told["minutes"]} == {"01"}
    tempos = [line["singles"] for line in told["tempos"]]
    assert tempos == sorted(tempos)
    assert tempos[-1] == 52
    parsed(page_of(run, home))


@pytest.mark.parametrize(
    "what",
    [
        pytest.param("a break", marks=pytest.mark.slow),
        pytest.param("two machines", marks=pytest.mark.slow),
        pytest.param("another neck", marks=pytest.mark.slow),
    ],
)
def test_it_holds_in_ordinary_life(run: Run, home: Path, what: str) -> None:
    run("record", "1:any:any:1-5", "clean", "--tempo", "60", at="2026-09-01T12:00:00+02:00")
    if what == "a break":
        run("record", "1:any:any:1-5", "sloppy", "--tempo", "60", at="2026-11-24T12:00:00+01:00")
    if what == "two machines":
        other = another(run, home / "other.db")
        run(*other, "record", "2:any:any:1-5", "clean", "--tempo", "60")
        assert run("merge", str(home / "other.db"), "--same-player").code == 0
    if what == "another neck":
        run("setup", "--frets", "12", "--tuning", "E1 A1 D2 G2")
    told = run("report", "--json").json
    parsed(page_of(run, home))

    assert sum(fifth["passes"] for fifth in told["told"]) == told["passes"]
    run("undo")
    assert run("report", "--json").code == 0
