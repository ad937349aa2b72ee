"""Practice gained and lost: passes add by their logarithm, time takes by a power.

Source:
    Loss: Wickelgren's power law m x (1 + h t)^(-f), as given in Wixted & Carpenter 2007,
    Psychological Science 18(2), 133-134, with f = 1/2. The longest time is set so that half
    of the gain is gone after 195 days, the 6.5 months of Tatel & Ackerman's meta-analysis of
    procedural skill (accuracy), Psychological Bulletin, doi 10.1037/bul0000481. The first
    time and its doubling are our choice.
"""

from math import log1p

FIRST_HOLDS_DAYS = 3.0
LONGEST_HOLDS_DAYS = 65.0
LOSS_EXPONENT = 0.5


def holds_days(clean_days: int) -> float:
    """Days for which an item holds, the measure of its loss, after clean passes on that many days.

    Example:
        >>> [holds_days(n) for n in (0, 1, 2, 3, 6, 100)]
        [3.0, 3.0, 6.0, 12.0, 65.0, 65.0]
    """
    doublings = min(max(clean_days - 1, 0), 10)
    return min(FIRST_HOLDS_DAYS * 2.0**doublings, LONGEST_HOLDS_DAYS)


def power_of_time(time: float, rate: float, exponent: float) -> float:
    """Wickelgren's power law of forgetting: (1 + rate x time)^(-exponent).

    Example:
        >>> power_of_time(3, 1, 0.5)
        0.5
    """
    return float((1.0 + rate * time) ** -exponent)


def retained_share(days: float, holds: float) -> float:
    """The share of the practice gained that is still there after so many days.

    Example:
        >>> retained_share(0, 3), retained_share(9, 3), retained_share(195, 65)
        (1.0, 0.5, 0.5)
    """
    return power_of_time(days, 1 / holds, LOSS_EXPONENT)


def half_gone_days(holds: float) -> float:
    """After how many days half of the practice gained is gone.

    Example:
        >>> half_gone_days(3), half_gone_days(65)
        (9.0, 195.0)
    """
    return float(holds * (0.5 ** (-1 / LOSS_EXPONENT) - 1))


def practice_retained(passes: int, days: float, holds: float) -> float:
    """The feature of the belief: ln(1 + passes) x retained share."""
    return log1p(passes) * retained_share(days, holds)
