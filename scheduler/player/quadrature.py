"""Two integrals over a Gaussian log error rate: the chance of a clean pass, what a pass teaches.

Errors in a pass are Poisson with mean notes x exp(eta); a pass is clean with chance
exp(-notes x exp(eta)). Both integrals use the trapezoid rule on the whole line, which for such
smooth, fast-decaying integrands converges faster than any power of the step (Trefethen &
Weideman 2014, SIAM Review 56(3), 385-458; from memory). With the steps below both are right to
about 1e-9.
"""

from functools import cache
from math import exp, expm1, log, pi, sqrt
from typing import NamedTuple

WIDEST_STEP = 0.45
"""The integrands are analytic within pi/2 of the line: exp(-2 pi (pi/2) / 0.45) = 3e-10."""

STEP_IN_SD = 0.9
"""For a Gaussian of sd s: exp(-2 pi^2 / 0.9^2) = 3e-11."""

TAIL = 24.0
"""Log density below the peak at which the sum stops: exp(-24) = 4e-11."""

LARGEST_LOG_MEAN = 30.0
"""Beyond exp(30) expected errors nothing changes; it keeps exp from overflowing."""

SMALLEST_VARIANCE = 1e-9


class Gaussian(NamedTuple):
    """A belief about one number."""

    mean: float
    variance: float


@cache
def _nodes(step_class: int) -> tuple[tuple[float, float], ...]:
    """Standard normal nodes and weights, the step halved `step_class` times from 0.9."""
    step = STEP_IN_SD / 2**step_class
    reach = int(sqrt(2 * TAIL) / step) + 1
    points = [step * i for i in range(-reach, reach + 1)]
    return tuple((z, step * exp(-z * z / 2) / sqrt(2 * pi)) for z in points)


def clean_chance(eta: Gaussian, notes: int) -> float:
    """The chance that a pass of so many notes is clean, over all that eta may be.

    Example:
        >>> round(clean_chance(Gaussian(-4.7, 0.0), 24), 4)
        0.8039
    """
    sd = sqrt(max(eta.variance, SMALLEST_VARIANCE))
    step_class = 0
    while STEP_IN_SD / 2**step_class * sd > WIDEST_STEP:
        step_class += 1
    centre = eta.mean + log(notes)
    total = 0.0
    for z, weight in _nodes(step_class):
        x = centre + sd * z
        if x < LARGEST_LOG_MEAN:
            total += weight * exp(-exp(x))
    return min(max(total, 0.0), 1.0)


def _log_likelihood(x: float, errors: int | None) -> float:
    """Log likelihood of a pass at log expected errors x; errors None: sloppy, not counted."""
    rate = exp(min(x, LARGEST_LOG_MEAN))
    if errors is None:
        return log(-expm1(-rate)) if rate > 1e-300 else x  # noqa: PLR2004
    return errors * x - rate


def _slopes(x: float, errors: int | None) -> tuple[float, float]:
    """First derivative of the log likelihood, and minus the second."""
    rate = exp(min(x, LARGEST_LOG_MEAN))
    if errors is not None:
        return errors - rate, rate
    ratio = rate / expm1(rate) if 1e-12 < rate < LARGEST_LOG_MEAN else float(rate <= 1e-12)  # noqa: PLR2004
    return ratio, ratio * (rate + ratio - 1.0)


def _peak(centre: float, variance: float, errors: int | None) -> tuple[float, float]:
    """Where the posterior peaks, and its standard deviation there, by damped Newton steps."""
    x = min(centre, LARGEST_LOG_MEAN)
    for _ in range(100):
        slope, curvature = _slopes(x, errors)
        step = (slope - (x - centre) / variance) / (curvature + 1.0 / variance)
        x += min(max(step, -2.0), 2.0)
        if abs(step) < 1e-3:  # noqa: PLR2004
            break
    return x, 1.0 / sqrt(max(_slopes(x, errors)[1], 0.0) + 1.0 / variance)


def learn(eta: Gaussian, notes: int, errors: int | None) -> Gaussian:
    """Mean and variance of eta after a pass.

    Args:
        eta: The belief before it.
        notes: The notes of the pass.
        errors: The errors counted, 0 for a clean pass, None for sloppy and not counted.

    Source:
        The moments of the exact posterior (assumed-density filtering, as in Graepel, Quinonero
        Candela, Borchert & Herbrich 2010, ICML 27, 13-20, with a Poisson likelihood in place of
        the probit).
    """
    shift = log(notes)
    centre, variance = eta.mean + shift, max(eta.variance, SMALLEST_VARIANCE)
    top, sd = _peak(centre, variance, errors)
    step = min(STEP_IN_SD * sd, WIDEST_STEP)
    peak_value = _log_likelihood(top, errors) - (top - centre) ** 2 / (2 * variance)
    total, first, second = 1.0, 0.0, 0.0
    for direction in (step, -step):
        offset = direction
        while True:
            x = top + offset
            value = _log_likelihood(x, errors) - (x - centre) ** 2 / (2 * variance) - peak_value
            if value < -TAIL:
                break
            weight = exp(value)
            total += weight
            first += weight * offset
            second += weight * offset * offset
            offset += direction
    mean = first / total
    return Gaussian(top + mean - shift, max(second / total - mean * mean, SMALLEST_VARIANCE))
