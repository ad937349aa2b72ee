"""The belief against numerical integration, regression, published tables and real data."""

from collections.abc import Sequence
from math import erf, exp, log, log2, pi, sqrt
from pathlib import Path
from random import Random

import pytest

from scheduler.guitar.metronome import BeatsPerMinute, NotesPerSecond, speed_of
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.plan.cost import expected_passes
from scheduler.player import belief as belief_module
from scheduler.player.belief import (
    BASE,
    PRACTICE,
    SPEED,
    Belief,
    Prior,
    features,
    grown,
    prior_of,
    shared_out,
)
from scheduler.player.forgetting import (
    FIRST_HOLDS_DAYS,
    LONGEST_HOLDS_DAYS,
    holds_days,
    power_of_time,
    retained_share,
)
from scheduler.player.quadrature import Gaussian, Likelihood, clean_chance, learn, posterior
from tests.conftest import reference_rows

scipy_integrate = pytest.importorskip("scipy.integrate", reason="outside check skipped: no scipy")

MEANS = (-9.0, -6.0, -4.7, -2.0, 0.0)
SDS = (0.05, 0.3, 0.9, 1.5, 2.5)
OUTCOMES = (0, None, 1, 3, 20)


def density(x: float, mean: float, sd: float) -> float:
    return exp(-((x - mean) ** 2) / (2 * sd * sd)) / (sd * sqrt(2 * pi))


def pass_likelihood(eta: float, notes: int, errors: int | None) -> float:
    """Up to a constant that doesn't depend on eta, scaled so that its peak is 1."""
    rate = notes * exp(min(eta, 50.0))
    if errors is None:
        return 1 - exp(-rate)
    if errors == 0:
        return exp(-rate)
    return exp(errors * (log(rate) - log(errors)) - rate + errors)


@pytest.mark.parametrize("errors", OUTCOMES)
@pytest.mark.parametrize("notes", [6, 24, 97])
def test_one_weight_one_pass_is_the_exact_posterior(notes: int, errors: int | None) -> None:
    """Source: numerical integration by scipy.integrate.quad (QUADPACK)."""
    for mean in MEANS:
        for sd in SDS:
            after = learn(Gaussian(mean, sd * sd), notes, errors)
            centre, spread = after.mean, sqrt(after.variance)
            ends = (centre - 12 * sd, centre + 12 * sd)
            highest = density(centre, mean, sd) * pass_likelihood(centre, notes, errors)
            points = [centre + n * spread for n in (-8, -3, 0, 3) if n * spread > -12 * sd]

            def moment(power: int) -> float:
                def integrand(x: float) -> float:
                    weight = density(x, mean, sd) * pass_likelihood(x, notes, errors)  # noqa: B023
                    return (x - centre) ** power * weight / highest  # noqa: B023

                found = scipy_integrate.quad(
                    integrand, *ends, points=points,  # noqa: B023
                    epsabs=1e-12, epsrel=1e-10, limit=500,
                )  # fmt: skip
                return float(found[0])

            whole, first, second = moment(0), moment(1), moment(2)
            shift = first / whole

            assert abs(shift) < 1e-6
            assert after.variance == pytest.approx(
                second / whole - shift * shift, rel=1e-6, abs=1e-6
            )


@pytest.mark.parametrize("notes", [6, 24, 97])
def test_the_chance_of_a_clean_pass_is_the_integral(notes: int) -> None:
    """Source: numerical integration by scipy.integrate.quad (QUADPACK)."""
    for mean in MEANS:
        for sd in SDS:
            wanted = scipy_integrate.quad(
                lambda x, mean=mean, sd=sd: density(x, mean, sd) * pass_likelihood(x, notes, 0),
                mean - 12 * sd, mean + 12 * sd, points=[mean], epsabs=1e-12, epsrel=1e-9, limit=400,
            )[0]  # fmt: skip

            assert clean_chance(Gaussian(mean, sd * sd), notes) == pytest.approx(wanted, abs=1e-7)


@pytest.mark.parametrize("row", reference_rows("probit_update_cases.csv"))
def test_with_a_probit_the_update_is_the_published_one(row: dict[str, str]) -> None:
    """Source: reference/SOURCES.md, probit_update_cases.csv (Graepel et al. 2010)."""
    prior = Gaussian(float(row["prior_mean"]), float(row["prior_variance"]))
    sign, beta = int(row["outcome"]), float(row["beta"])
    after = posterior(prior, probit(sign, beta))

    assert after.mean == pytest.approx(float(row["posterior_mean"]), abs=1e-6)
    assert after.variance == pytest.approx(float(row["posterior_variance"]), abs=1e-6)


def probit(sign: int, beta: float) -> Likelihood:
    """The chance of an outcome is the normal distribution's at sign x / beta."""

    def log_likelihood(x: float) -> float:
        return log(max(0.5 * (1 + erf(sign * x / beta / sqrt(2))), 1e-300))

    def slopes(x: float) -> tuple[float, float]:
        t = sign * x / beta
        v = density(t, 0, 1) / max(0.5 * (1 + erf(t / sqrt(2))), 1e-300)
        return sign * v / beta, v * (v + t) / beta**2

    return Likelihood(log_likelihood, slopes)


def logistic(sign: int) -> Likelihood:
    """The chance of an outcome is the logistic function of sign x."""

    def log_likelihood(x: float) -> float:
        t = sign * x
        return -log(1 + exp(-t)) if t > -30 else t

    def slopes(x: float) -> tuple[float, float]:
        p = 1 / (1 + exp(max(min(-sign * x, 30.0), -30.0)))
        return sign * (1 - p), p * (1 - p)

    return Likelihood(log_likelihood, slopes)


def test_many_passes_lead_to_the_weights_of_a_penalised_poisson_regression(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Source: scikit-learn's PoissonRegressor with the same Gaussian priors as its penalty."""
    linear_model = pytest.importorskip("sklearn.linear_model", reason="no scikit-learn")
    still = {key: Prior(p.mean, p.variance, 0.0) for key, p in belief_module.PRIORS.items()}
    monkeypatch.setattr(belief_module, "PRIORS", still)
    monkeypatch.setattr(belief_module, "FACTOR_PRIOR", Prior(0.0, 0.2**2, 0.0))
    random = Random(11)
    items = [i for i in round_items(parse_neck()) if not i.coupling][::3]
    truth: dict[str, float] = {}
    learnt = Belief()
    rows: list[tuple[dict[str, float], int, int]] = []
    for _ in range(4000):
        item = random.choice(items)
        speed = NotesPerSecond(random.uniform(2.0, 8.0))
        practice = random.uniform(0.0, 3.0)
        row = {BASE: 1.0, SPEED: log2(speed / 4), PRACTICE: practice, **dict(features(item))}
        eta = 0.0
        for key, share in row.items():
            prior = prior_of(key)
            if key not in truth:
                truth[key] = random.gauss(prior.mean, sqrt(prior.variance) / 2)
            eta += share * truth[key]
        errors = poisson(random, 24 * exp(eta))
        rows.append((row, 24, errors))
        learnt.update(item, 24, practice, 1, speed, errors)
    keys = sorted(truth)
    sds = {key: sqrt(prior_of(key).variance) for key in keys}
    table = [[row.get(key, 0.0) * sds[key] for key in keys] for row, _, _ in rows]
    exposure = [
        notes * exp(sum(share * prior_of(key).mean for key, share in row.items()))
        for row, notes, _ in rows
    ]
    rates = [errors / e for (_, _, errors), e in zip(rows, exposure, strict=True)]
    model = linear_model.PoissonRegressor(
        alpha=1 / sum(exposure), fit_intercept=False, max_iter=2000, tol=1e-8
    ).fit(table, rates, sample_weight=exposure)
    wanted = {
        key: prior_of(key).mean + sds[key] * float(value)
        for key, value in zip(keys, model.coef_, strict=True)
    }
    near = [
        abs(learnt.weights[key].mean - wanted[key]) <= 2 * sqrt(learnt.weights[key].variance)
        for key in keys
    ]

    assert sum(near) >= 0.95 * len(near)


def poisson(random: Random, mean: float) -> int:
    """Knuth's method; the means here are small."""
    limit, product, count = exp(-mean), random.random(), 0
    while product > limit:
        product *= random.random()
        count += 1
    return count


GROWTH_PER_DAY = 0.004
"""Twenty times the growth of a factor's variance: an animal that learns within weeks."""


def test_on_real_trials_the_growing_belief_predicts_best() -> None:
    """Source: psytrack 2.0.2 (MIT), sampleRatData.npz, 20,000 trials of one animal in 80 days.

    Roy et al. 2021, Neuron, doi 10.1016/j.neuron.2020.12.004.
    """
    numpy = pytest.importorskip("numpy", reason="outside check skipped: no numpy")
    psytrack = pytest.importorskip("psytrack", reason="outside check skipped: no psytrack")
    path = Path(psytrack.__file__).parent / "examples" / "sampleRatData.npz"
    data = numpy.load(path, allow_pickle=True)["D"].item()
    correct = [bool(c) for c in data["correct"]]
    answer = [int(a) for a in data["answer"]]
    lengths = [int(n) for n in data["dayLength"]]
    rows = [
        (1.0, float(s1), float(s2), float(h))
        for s1, s2, h in zip(
            data["inputs"]["s1"][:, 0], data["inputs"]["s2"][:, 0], data["inputs"]["h"][:, 0],
            strict=True,
        )
    ]  # fmt: skip
    assert (len(correct), sum(correct), len(lengths)) == (20_000, 12_890, 80)

    growing = animal_loss(rows, answer, correct, lengths, GROWTH_PER_DAY)
    still = animal_loss(rows, answer, correct, lengths, 0.0)
    share = running_share_loss(correct)
    print(f"\nlog loss: growing {growing:.4f}, not growing {still:.4f}, running share {share:.4f}")

    assert growing < still
    assert growing < share


def animal_loss(
    rows: Sequence[tuple[float, ...]],
    answer: list[int],
    correct: list[bool],
    lengths: list[int],
    growth: float,
) -> float:
    """Log loss of predicting whether the next trial is correct, by the choice that it needs."""
    values = sorted(set(answer))
    prior = Prior(0.0, 1.0, growth)
    weights = [Gaussian(0.0, 1.0)] * len(rows[0])
    total, place = 0.0, 0
    for length in lengths:
        weights = [grown(weight, prior, 1) for weight in weights]
        for row, wanted, was_correct in zip(
            rows[place : place + length], answer[place : place + length],
            correct[place : place + length], strict=True,
        ):  # fmt: skip
            mean = sum(x * w.mean for x, w in zip(row, weights, strict=True))
            variance = sum(x * x * w.variance for x, w in zip(row, weights, strict=True))
            right = wanted == values[-1]
            likelihood = logistic(1 if right == was_correct else -1)
            chance_right = 1 / (1 + exp(-mean / sqrt(1 + pi * variance / 8)))
            chance_correct = chance_right if right else 1 - chance_right
            total -= log(chance_correct if was_correct else 1 - chance_correct)
            parts = list(zip(row, weights, strict=True))
            before = Gaussian(mean, variance)
            weights = shared_out(parts, before, posterior(before, likelihood))
        place += length
    return total / len(correct)


def running_share_loss(correct: list[bool]) -> float:
    """Log loss of the running share of correct trials."""
    total, seen = 0.0, 0
    for number, was_correct in enumerate(correct):
        chance = (seen + 1) / (number + 2)
        total -= log(chance if was_correct else 1 - chance)
        seen += was_correct
    return total / len(correct)


def test_the_longest_time_it_holds_is_the_published_half_life() -> None:
    """Source: Tatel & Ackerman, Psychological Bulletin, doi 10.1037/bul0000481: 6.5 months."""
    month = 365.25 / 12
    half_life = LONGEST_HOLDS_DAYS * 3

    assert retained_share(half_life, LONGEST_HOLDS_DAYS) == pytest.approx(0.5)
    assert half_life == pytest.approx(6.5 * month, rel=0.02)
    assert [holds_days(n) for n in range(1, 8)] == sorted(holds_days(n) for n in range(1, 8))
    assert holds_days(1) == FIRST_HOLDS_DAYS


SECONDS = (1200, 3600, 32400, 86400, 172800, 518400, 2678400)


@pytest.mark.parametrize(
    "row", reference_rows("forgetting_power_fits.csv"), ids=lambda r: r["series"]
)
def test_a_power_of_time_fits_published_forgetting(row: dict[str, str]) -> None:
    """Source: Murre & Dros 2015, PLoS ONE 10(7): e0120644; fits in reference/SOURCES.md.

    Wickelgren's (1 + h t)^(-f), the form used here, is that power of time where h t is large: with
    the published exponent and h of one a second it fits the savings as well, to a hundredth.
    """
    optimize = pytest.importorskip("scipy.optimize")
    numpy = pytest.importorskip("numpy")
    savings = [
        float(each[f"savings_{row['series'].lower()}"])
        for each in reference_rows("murre_dros_2015.csv")
    ]
    wanted_mu, exponent = float(row["mu_refit"]), float(row["a_refit"])
    kept = [power_of_time(float(t), 1.0, exponent) for t in SECONDS]
    (mu,), _ = optimize.curve_fit(lambda _, mu: mu * numpy.array(kept), SECONDS, savings, p0=(1.0,))
    ours = sum((s - mu * share) ** 2 for s, share in zip(savings, kept, strict=True))

    assert mu == pytest.approx(wanted_mu, abs=2e-3)
    assert ours == pytest.approx(float(row["ssd_refit"]), rel=0.01)


@pytest.mark.parametrize(
    "row", [r for r in reference_rows("success_runs.csv") if r["run_length"] == "1"]
)
def test_expected_passes_are_those_of_the_geometric_distribution(row: dict[str, str]) -> None:
    """Source: reference/SOURCES.md, success_runs.csv, and scipy.stats.geom cut at three."""
    stats = pytest.importorskip("scipy.stats")
    chance = float(row["p_success"])

    assert stats.geom.mean(chance) == pytest.approx(float(row["mean_trials"]), abs=1e-6)
    assert stats.geom.var(chance) == pytest.approx(float(row["variance_trials"]), abs=1e-6)
    assert expected_passes(chance) == pytest.approx(
        sum(float(stats.geom.sf(k, chance)) for k in range(3))
    )


def test_a_mark_is_a_speed() -> None:
    assert speed_of(BeatsPerMinute(80), 3) == 4.0
