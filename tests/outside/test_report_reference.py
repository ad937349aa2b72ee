"""The report's figures against reference libraries and the published formula of contrast."""

import re
from random import Random
from statistics import NormalDist

import pytest

from scheduler.player.chronicle import FIFTHS, Chronicle, middle_and_slowest
from scheduler.show.pages import page_source
from scheduler.show.report.chart import Scale, ticks

COLOUR = re.compile(r"--([\w-]+): (#[0-9a-f]{6})")


def test_the_fifths_are_those_of_a_calibration_curve() -> None:
    """scikit-learn, `calibration.calibration_curve` with uniform bins: the reliability diagram."""
    calibration = pytest.importorskip("sklearn.calibration", reason="no scikit-learn")
    random = Random(11)
    chances = [random.random() ** 0.5 for _ in range(4_000)]
    clean = [random.random() < chance**1.2 for chance in chances]
    chronicle = Chronicle()
    for chance, was_clean in zip(chances, clean, strict=True):
        chronicle.add_told(chance, 1, clean=was_clean)
    came, told = calibration.calibration_curve(clean, chances, n_bins=FIFTHS, strategy="uniform")

    assert [each.clean / each.passes for each in chronicle.told] == pytest.approx(list(came))
    assert [each.chances / each.passes for each in chronicle.told] == pytest.approx(list(told))


@pytest.mark.parametrize("count", [1, 2, 9, 10, 11, 400])
def test_median_and_slowest_tenth_are_numpys(count: int) -> None:
    """numpy's median, and its quantile by the method `higher` of Hyndman and Fan's family."""
    numpy = pytest.importorskip("numpy", reason="no numpy")
    random = Random(count)
    speeds = [NormalDist(3, 0.5).inv_cdf(random.random()) for _ in range(count)]
    middle, slowest = middle_and_slowest(speeds)

    assert middle == pytest.approx(numpy.median(speeds))
    # No more than a tenth is slower, and a little more than a tenth is as slow or slower.
    assert sum(speed < slowest for speed in speeds) <= 0.1 * count
    assert sum(speed <= slowest for speed in speeds) > 0.1 * count


def luminance(colour: str) -> float:
    """Relative luminance (W3C, WCAG 2.2, definitions)."""
    parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """The contrast of two colours (W3C, WCAG 2.2, definitions), 1 to 21.

    Example:
        >>> contrast("#000000", "#ffffff")
        21.0
    """
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def as_seen_without_red(colour: str) -> str:
    """A colour as it is seen without the cones for long waves (protanopia).

    The matrix is that of Vienot, Brettel and Mollon 1999, for linear light; it is quoted from
    memory.
    """
    linear = [(int(colour[n : n + 2], 16) / 255) ** 2.2 for n in (1, 3, 5)]
    red, green, blue = linear
    mixed = 0.11238 * red + 0.88762 * green
    seen = (mixed, mixed, 0.00401 * red - 0.00401 * green + blue)
    return "#" + "".join(f"{round(255 * min(max(part, 0), 1) ** (1 / 2.2)):02x}" for part in seen)


def palettes() -> list[dict[str, str]]:
    """The colours of the light page and of the dark one."""
    light, dark = page_source("show/report.css").split("prefers-color-scheme: dark")
    return [dict(COLOUR.findall(part)) for part in (light, dark)]


@pytest.mark.parametrize("dark", [False, True])
def test_colours_have_the_contrast_that_is_asked_for(*, dark: bool) -> None:
    """WCAG 2.2, 1.4.3: text 4.5 to 1; 1.4.11: what a picture needs to be understood 3 to 1."""
    colours = palettes()[dark]
    for text in ("ink", "soft"):
        assert contrast(colours[text], colours["paper"]) >= 4.5
    for drawn in ("first", "second", "soft"):
        assert contrast(colours[drawn], colours["paper"]) >= 3
    # Signs on filled places are in the colour of the paper, those on pale ones in that of ink.
    for ground in ("first", "second", "shade-3"):
        assert contrast(colours["paper"], colours[ground]) >= 4.5
    for ground in ("shade-0", "shade-1", "shade-2", "band"):
        assert contrast(colours["ink"], colours[ground]) >= 4.5


@pytest.mark.parametrize("dark", [False, True])
def test_the_two_colours_are_told_apart_by_those_who_see_few(*, dark: bool) -> None:
    colours = palettes()[dark]
    first, second = (as_seen_without_red(colours[name]) for name in ("first", "second"))
    blue = [int(colour[5:7], 16) for colour in (first, second)]

    assert abs(blue[0] - blue[1]) > 60
    # The shades of tempos go one way, also without any colour.
    shades = [luminance(colours[f"shade-{n}"]) for n in range(4)]
    assert shades == sorted(shades, reverse=not dark)


def test_ticks_are_round_and_few() -> None:
    random = Random(3)
    for _ in range(500):
        low = random.uniform(-10, 1000)
        high = low + random.uniform(0.5, 5000)
        found = ticks(low, high)

        assert 1 <= len(found) <= 6
        assert low - 1e-6 <= found[0]
        assert found[-1] <= high + 1e-6
        scale = Scale(low, high, 0, 100)
        assert [scale(each) for each in found] == sorted(scale(each) for each in found)


def test_the_stylesheet_names_every_kind_that_is_drawn() -> None:
    style = page_source("show/report.css")
    drawn = page_source("show/report.html")
    for kind in ("first", "second", "third", "dotted", "empty", "clean", "partly-clean", "ahead",
                 "weak", "stale", "shade-0", "shade-1", "shade-2", "shade-3"):  # fmt: skip
        assert f".{kind} {{" in style or f".{kind}," in style, kind
    for name in re.findall(r"url\(#(\w+)\)", style):
        assert f'id="{name}"' in drawn
