"""Where you stand, in a browser: at three widths, light and dark, on paper, and from the stand."""

import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.browser.conftest import Phone, Program
from tests.browser.test_looks import violations
from tests.conftest import Run

MakePhone = Callable[..., Phone]
WIDTHS = (360, 820, 1280)
PICTURES = 7
SMALLEST = 8.5


@pytest.fixture
def report(home: Path, run: Run) -> str:
    file = home / "report.html"
    assert run("--demo", "report", "-o", str(file)).code == 0
    return f"file://{file}"


def shown(phone: MakePhone, address: str, **how: object) -> Phone:
    one = phone(**how)
    one.page.goto(address)
    return one


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_is_cut_off_and_every_picture_is_there(
    report: str, phone: MakePhone, width: int
) -> None:
    one = shown(phone, report, viewport={"width": width, "height": 800})
    aside, drawn, small = one.page.evaluate("""() => {
      const root = document.documentElement;
      const charts = [...document.querySelectorAll("svg.chart")];
      const texts = [...document.querySelectorAll("svg.chart text")].filter((t) => t.textContent);
      const out = texts.filter((text) => {
        const at = text.getBBox(), box = text.ownerSVGElement.viewBox.baseVal;
        return at.x < -1 || at.x + at.width > box.width + 1 || at.y < -1 || at.y + at.height > box.height + 2;
      }).map((text) => text.textContent);
      const tall = texts.map((text) => text.getBoundingClientRect().height);
      return [root.scrollWidth - root.clientWidth, [charts.length, out], Math.min(...tall)];
    }""")

    assert aside <= 0
    assert drawn[0] >= PICTURES
    assert drawn[1] == [], drawn[1]
    # Words in a picture stay large enough to read, whatever the screen's width.
    assert small >= SMALLEST
    assert not one.complaints


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_is_in_the_way_of_who_hears_or_enlarges_it(
    report: str, phone: MakePhone, scheme: str
) -> None:
    one = shown(phone, report, color_scheme=scheme, bypass_csp=True)

    assert violations(one) == []


def test_two_colours_of_paper(report: str, phone: MakePhone) -> None:
    grounds = {
        shown(phone, report, color_scheme=scheme).page.evaluate(
            "getComputedStyle(document.body).backgroundColor"
        )
        for scheme in ("light", "dark")
    }

    assert len(grounds) == 2


def test_it_prints_with_its_numbers(report: str, phone: MakePhone, tmp_path: Path) -> None:
    # Who reads in the dark prints on white paper.
    one = shown(phone, report, color_scheme="dark")
    pdf = tmp_path / "report.pdf"
    one.page.pdf(path=pdf, prefer_css_page_size=True)
    one.page.emulate_media(media="print", color_scheme="dark")

    assert (
        one.page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(251, 250, 246)"
    )
    pages = len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes()))
    assert 4 <= pages <= 12
    if shutil.which("pdftotext"):
        text = subprocess.run(
            ["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True
        ).stdout
        for words in ("The way to the end", "Hardest frets", "boxes 5+1 from the top"):
            assert words in text


def test_the_stand_shows_it_and_leads_back(
    put_up: Callable[..., Program], phone: MakePhone
) -> None:
    one = phone().open(put_up(before=("--demo",)).address)
    one.page.click("#blocks summary")
    one.page.click("text=Where you stand")
    one.page.wait_for_selector("h2:text('The way to the end')")
    assert violations(one) == []
    ground = one.page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert ground == "rgb(251, 250, 246)"
    one.page.click("text=Back to the session")
    one.page.wait_for_selector("#begin")

    assert not one.complaints
