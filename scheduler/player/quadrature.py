"""Two integrals over a Gaussian log error rate: the chance of a clean pass, what a pass teaches.

Errors in a pass are Poisson with mean notes x exp(eta); a pass is clean with chance
exp(-notes x exp(eta)). Both integrals use the trapezoid rule on the whole line, which for such
smooth, fast-decaying integrands converges faster than any power of the step (Trefethen &
Weideman 2014, SIAM Review 56(3), 385-458; from memory). With the steps below both are right to
about 1e-9.
"""

from collections.abc import Callable
from functools import cache
from math import erfc, exp, expm1, log, pi, sqrt
from typing import NamedTuple

WIDEST_STEP = 0.3
"""At height y above the line the integrand for k errors grows by (cos y)^(-k), y < pi/2, while the
rule errs by exp(-2 pi y / step): for k = 3 and y = 1.2 that is 3e-10."""

STEP_IN_SD = 0.75
"""For a Gaussian of sd s: exp(-2 pi^2 / 0.75^2) = 6e-16."""

TAIL = 24.0
"""Log density below the peak at which the sum stops: exp(-24) = 4e-11."""

LARGEST_LOG_MEAN = 30.0
"""Beyond exp(30) expected errors nothing changes; it keeps exp from overflowing."""

SMALLEST_VARIANCE = 1e-9
SMALLEST_RATE = 1e-12
"""Below it the chance of an error is the rate itself, to the last bit that counts."""

LARGEST_EXPONENT = 6.5
"""exp(exp(6.5)) is near the largest number there is."""

MOST_STEPS, LONGEST_STEP, NEAR_ENOUGH = 100, 2.0, 1e-3


class Gaussian(NamedTuple):
    """A belief about one number."""

    mean: float
    variance: float


@cache
def _nodes(step_class: int) -> tuple[tuple[float, float], ...]:
    """Standard normal nodes and weights, the step halved `step_class` times from 0.75."""
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


def chance_below(eta: Gaussian, notes: int, clean: float) -> float:
    """How likely it is that the chance of a clean pass, exp(-notes x exp(eta)), is under a value.

    Example:
        >>> [round(chance_below(Gaussian(mean, 1.0), 24, 0.5), 3) for mean in (-9.0, -4.0, 0.0)]
        [0.0, 0.324, 1.0]
    """
    at = log(-log(clean) / notes)
    return 0.5 * erfc((at - eta.mean) / sqrt(2 * max(eta.variance, SMALLEST_VARIANCE)))


class Likelihood(NamedTuple):
    """How likely an outcome is, as a function of a number x that is believed to be Gaussian.

    Attributes:
        log: The log likelihood at x; it must be concave.
        slopes: Its first derivative, and minus its second.
    """

    log: Callable[[float], float]
    slopes: Callable[[float], tuple[float, float]]


def counted(errors: int) -> Likelihood:
    """The likelihood of so many errors, x being the log of the expected errors."""

    def log_likelihood(x: float) -> float:
        return errors * x - exp(min(x, LARGEST_LOG_MEAN))

    def slopes(x: float) -> tuple[float, float]:
        rate = exp(min(x, LARGEST_LOG_MEAN))
        return errors - rate, rate

    return Likelihood(log_likelihood, slopes)


def _log_not_none(x: float) -> float:
    rate = exp(min(x, LARGEST_LOG_MEAN))
    return log(-expm1(-rate)) if rate > SMALLEST_RATE else x


def _slopes_not_none(x: float) -> tuple[float, float]:
    rate = exp(min(x, LARGEST_LOG_MEAN))
    if rate < SMALLEST_RATE:
        return 1.0, 0.0
    ratio = rate / expm1(rate) if x < LARGEST_EXPONENT else 0.0
    return ratio, ratio * (rate + ratio - 1.0)


NOT_NONE = Likelihood(_log_not_none, _slopes_not_none)
"""The likelihood of one error or more: sloppy, not counted."""


def _peak(prior: Gaussian, likelihood: Likelihood) -> tuple[float, float]:
    """Where the posterior peaks, and its standard deviation there, by damped Newton steps."""
    x = min(prior.mean, LARGEST_LOG_MEAN)
    precision = 1.0 / prior.variance
    curvature = 0.0
    for _ in range(MOST_STEPS):
        slope, curvature = likelihood.slopes(x)
        step = (slope - (x - prior.mean) * precision) / (curvature + precision)
        x += min(max(step, -LONGEST_STEP), LONGEST_STEP)
        if abs(step) < NEAR_ENOUGH:
            break
    return x, 1.0 / sqrt(max(curvature, 0.0) + precision)


def posterior(prior: Gaussian, likelihood: Likelihood) -> Gaussian:
    """Mean and variance of a number after an outcome.

    Source:
        The moments of the exact posterior (assumed-density filtering, as in Graepel, Quinonero
        Candela, Borchert & Herbrich 2010, ICML 27, 13-20).
    """
    top, sd = _peak(prior, likelihood)
    step = min(STEP_IN_SD * sd, WIDEST_STEP)
    half_precision = 0.5 / prior.variance
    log_likelihood, centre = likelihood.log, prior.mean
    highest = log_likelihood(top) - (top - centre) ** 2 * half_precision
    total, first, second = 1.0, 0.0, 0.0
    for direction in (step, -step):
        offset = direction
        while True:
            x = top + offset
            value = log_likelihood(x) - (x - centre) ** 2 * half_precision - highest
            if value < -TAIL:
                break
            weight = exp(value)
            total += weight
            first += weight * offset
            second += weight * offset * offset
            offset += direction
    mean = first / total
    return Gaussian(top + mean, max(second / total - mean * mean, SMALLEST_VARIANCE))


def learn(eta: Gaussian, notes: int, errors: int | None) -> Gaussian:
    """Mean and variance of the log error rate per note after a pass.

    Args:
        eta: The belief before it.
        notes: The notes of the pass.
        errors: The errors counted, 0 for a clean pass, None for sloppy and not counted.
    """
    shift = log(notes)
    prior = Gaussian(eta.mean + shift, max(eta.variance, SMALLEST_VARIANCE))
    after = posterior(prior, NOT_NONE if errors is None else counted(errors))
    return Gaussian(after.mean - shift, after.variance)
