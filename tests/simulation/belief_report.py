"""How well the belief knows simulated players: `python -m tests.simulation.belief_report`.

Every pass is played at the suggested tempo, items in the round's order, a sloppy one repeated at
the tempo then suggested, at most three times. The predictions are those made before each pass.
"""

from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from math import exp, log
from statistics import fmean
from typing import NamedTuple

from scheduler.guitar.metronome import BeatsPerMinute, speed_of
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.player.facts import Pass
from scheduler.player.moments import MS_PER_DAY, Moment
from scheduler.player.replay import State, replay
from scheduler.player.tempo import Ability, suggested_tempo
from tests.simulation.players import FAMILIES, Player, chance_of

TARGETS = (0.80, 0.85, 0.90, 0.95)
PLAYERS, DAYS = 20, 20
MINUTES = 20.0
AWAY_DAYS = 30
FIRST_DAY = 740_000
FROM_DAY = 2
"""Log losses are taken from the third day on."""


TRUTH, OVERALL = "the player's own truth", "overall share"
OWN, TEMPO = "item's own share", "logistic on tempo"


class Trial(NamedTuple):
    """A pass: when, at what speed, what was predicted, what was true, what came."""

    day: int
    item: str
    speed: float
    predicted: float
    truth: float
    clean: bool


def trials(target: float, number: int, days: Sequence[int]) -> list[Trial]:
    """The trials of one player on the days given (0 is the first)."""
    player = Player(FAMILIES[number % len(FAMILIES)], 1000 + number)
    order = round_items(parse_neck())
    state = State()
    found: list[Trial] = []
    place = 0
    for day in days:
        clock = 0.0
        while clock < MINUTES * 60:
            item = order[place % len(order)]
            place += 1
            notes = item.notes_on(6)
            for _ in range(PASSES_A_VISIT):
                now = Moment((FIRST_DAY - 719_163 + day) * MS_PER_DAY + int(clock * 1000), 0)
                ability = Ability(state, now, parse_neck(), 3, BeatsPerMinute(20), target)
                outlook = ability.outlook(item)
                tempo = suggested_tempo(ability, item, outlook)
                speed = speed_of(tempo, 3)
                clean, errors, truth = player.play(item, notes, speed, now.day, clock / 60)
                predicted = outlook.clean_chance(speed)
                found.append(Trial(day, item.address, speed, predicted, truth, clean))
                told = chance_of(player.seed, "told", len(found)) < 0.5
                count = 0 if clean else (errors if told else None)
                event_id = f"{len(found):036d}"
                replay(
                    [Pass(event_id, now, item, notes, BeatsPerMinute(tempo), 3, clean, count)],
                    state,
                )
                clock += notes / speed + 3
                if clean:
                    break
    return found


def _job(job: tuple[float, int]) -> list[Trial]:
    return trials(*job, days=[*range(DAYS), DAYS + AWAY_DAYS])


def all_trials(
    targets: Iterable[float] = TARGETS, players: int = PLAYERS
) -> dict[float, list[list[Trial]]]:
    """Trials by target and player: twenty days, a month away, and the first day back."""
    jobs = [(target, number) for target in targets for number in range(players)]
    with ProcessPoolExecutor(2) as pool:
        done = list(pool.map(_job, jobs))
    found: dict[float, list[list[Trial]]] = {}
    for (target, _), result in zip(jobs, done, strict=True):
        found.setdefault(target, []).append(result)
    return found


def clean_share(found: Iterable[Trial]) -> float:
    """The share of clean passes."""
    return fmean(trial.clean for trial in found)


def log_loss(pairs: Iterable[tuple[float, bool]]) -> float:
    """Mean logarithmic loss of predicted chances."""
    return -fmean(log(min(max(p if clean else 1 - p, 1e-9), 1.0)) for p, clean in pairs)


def fifths(found: Sequence[Trial]) -> list[tuple[int, float, float]]:
    """Passes, mean predicted chance and clean share in each fifth of the chances, 0.0 to 1.0."""
    rows = []
    for fifth in range(5):
        inside = [t for t in found if fifth / 5 <= t.predicted < (fifth + 1) / 5 + (fifth == 4)]
        if inside:
            rows.append((len(inside), fmean(t.predicted for t in inside), clean_share(inside)))
    return rows


def overall_share(found: Sequence[Trial]) -> list[float]:
    """The running share of clean passes of the player."""
    clean, predictions = 0, []
    for number, trial in enumerate(found):
        predictions.append((clean + 1) / (number + 2))
        clean += trial.clean
    return predictions


def item_share(found: Sequence[Trial]) -> list[float]:
    """The running share of clean passes of the item, starting from one in two."""
    seen: dict[str, list[int]] = {}
    predictions = []
    for trial in found:
        counts = seen.setdefault(trial.item, [0, 0])
        predictions.append((counts[0] + 1) / (counts[1] + 2))
        counts[0] += trial.clean
        counts[1] += 1
    return predictions


def tempo_logistic(found: Sequence[Trial]) -> list[float]:
    """A logistic fit on the logarithm of the speed alone, refitted before each day."""
    predictions: list[float] = []
    a, b = 2.0, 0.0
    for day in sorted({trial.day for trial in found}):
        past = [(log(t.speed), t.clean) for t in found if t.day < day]
        a, b = _fit(past, a, b)
        predictions += [_logistic(a + b * log(t.speed)) for t in found if t.day == day]
    return predictions


def _logistic(x: float) -> float:
    return 1 / (1 + exp(-max(min(x, 30.0), -30.0)))


def _fit(past: Sequence[tuple[float, bool]], a: float, b: float) -> tuple[float, float]:
    """Newton's method with a weak penalty."""
    for _ in range(25 if past else 0):
        g0, g1, h00, h01, h11 = -0.01 * a, -0.01 * b, 0.01, 0.0, 0.01
        for x, clean in past:
            p = _logistic(a + b * x)
            g0, g1 = g0 + clean - p, g1 + (clean - p) * x
            w = p * (1 - p)
            h00, h01, h11 = h00 + w, h01 + w * x, h11 + w * x * x
        det = h00 * h11 - h01 * h01
        a, b = a + (h11 * g0 - h01 * g1) / det, b + (h00 * g1 - h01 * g0) / det
    return a, b


RIVALS: dict[str, Callable[[Sequence[Trial]], list[float]]] = {
    TRUTH: lambda found: [t.truth for t in found],
    OVERALL: overall_share,
    OWN: item_share,
    TEMPO: tempo_logistic,
}


def losses(players: Sequence[Sequence[Trial]]) -> dict[str, float]:
    """Log loss of the belief and its rivals from the third day on, before the month away."""
    sums: dict[str, list[tuple[float, bool]]] = {"belief": []}
    for found in players:
        before = [t for t in found if t.day < DAYS]
        rated = [t.day >= FROM_DAY for t in before]
        columns = {"belief": [t.predicted for t in before]}
        columns |= {name: rival(before) for name, rival in RIVALS.items()}
        for name, column in columns.items():
            sums.setdefault(name, []).extend(
                (p, t.clean) for p, t, wanted in zip(column, before, rated, strict=True) if wanted
            )
    return {name: log_loss(pairs) for name, pairs in sums.items()}


class Away(NamedTuple):
    """The last day before a month away and the first day after it."""

    share_before: float
    share_after: float
    speed_before: float
    speed_after: float


def away(players: Sequence[Sequence[Trial]]) -> Away:
    """Clean shares, and mean speeds in doublings of 4 notes a second, on both days."""
    before = [t for found in players for t in found if t.day == DAYS - 1]
    after = [t for found in players for t in found if t.day > DAYS]
    return Away(
        clean_share(before),
        clean_share(after),
        exp(fmean(log(t.speed) for t in before)),
        exp(fmean(log(t.speed) for t in after)),
    )


def within_reach(found: Iterable[Trial], target: float) -> list[Trial]:
    """The passes for which some mark gives the target; the others are at the slowest mark."""
    return [trial for trial in found if trial.predicted >= target]


def month(players: Iterable[Sequence[Trial]]) -> list[Trial]:
    """All passes of the twenty days."""
    return [trial for found in players for trial in found if trial.day < DAYS]


def table(head: str, rows: Iterable[Sequence[object]]) -> None:
    """Print a table."""
    print(f"| {head.replace(', ', ' | ')} |")
    print(f"|{' --- |' * len(head.split(', '))}")
    for row in rows:
        print(f"| {' | '.join(map(str, row))} |")
    print()


def target_row(target: float, players: Sequence[Sequence[Trial]]) -> list[str]:
    """Clean shares and log losses at one target."""
    found, loss = month(players), losses(players)
    reached = within_reach(found, target)
    return [
        f"{target:.2f}", f"{len(found)}", f"{clean_share(found):.3f}", f"{len(reached)}",
        f"{clean_share(reached):.3f}", f"{loss['belief']:.4f}",
        f"{loss['belief'] / loss[TRUTH]:.3f}",
        *(f"{loss[name]:.4f}" for name in (OVERALL, OWN, TEMPO)),
    ]  # fmt: skip


def main() -> None:
    """Print the report."""
    found = all_trials()
    table(
        "asked for, passes, clean, passes with a mark that gives it, clean, "
        "log loss, of the truth's, overall share, item's own share, logistic on tempo",
        [target_row(target, players) for target, players in found.items()],
    )
    table(
        "asked for, predicted, passes, clean",
        [
            (f"{target:.2f}", f"{predicted:.3f}", passes, f"{share:.3f}")
            for target, players in found.items()
            for passes, predicted, share in fifths(month(players))
        ],
    )
    table(
        "asked for, clean on the last day, on the first day after a month away, "
        "notes a second before, after",
        [
            (f"{target:.2f}", f"{a.share_before:.3f}", f"{a.share_after:.3f}",
             f"{a.speed_before:.2f}", f"{a.speed_after:.2f}")
            for target, a in ((target, away(players)) for target, players in found.items())
        ],
    )  # fmt: skip
    rows = []
    for place, family in enumerate(FAMILIES):
        players = found[0.90][place :: len(FAMILIES)]
        loss = losses(players)
        reached = within_reach(month(players), 0.90)
        rows.append(
            (family.name, f"{clean_share(reached):.3f}", f"{loss['belief'] / loss[TRUTH]:.3f}")
        )
    table("family, clean at 0.90, log loss of the truth's", rows)


if __name__ == "__main__":
    main()
