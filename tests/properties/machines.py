"""An independent model of a player's machines: sets and counts instead of tables and views.

A machine knows events. It stands by those that it entered itself, and by those that some taking-in
brought which is not undone here. What stands is what it stands by, less what entries that are
undone hold, less what is withdrawn, less what a log told of what stands as it was recorded.
"""

from collections import Counter
from dataclasses import dataclass, field
from typing import NamedTuple

Said = tuple[object, ...]


class Known(NamedTuple):
    """An event as the model sees it."""

    id: str
    kind: str
    entry: str
    at_ms: int
    said: Said
    copy: int = 0
    """Of a pass that comes from a log: the how many-eth pass that says the same."""


@dataclass
class Deed:
    """Something done on a machine: what it entered or brought."""

    ids: frozenset[str]
    is_taking_in: bool
    entry: str = ""


@dataclass
class Machine:
    """What one machine knows and did."""

    known: dict[str, Known] = field(default_factory=dict)
    own: set[str] = field(default_factory=set)
    done: list[Deed] = field(default_factory=list)
    undone: list[Deed] = field(default_factory=list)

    def aside(self) -> set[str]:
        """What only undone takings-in brought."""
        brought = {i for deed in self.done if deed.is_taking_in for i in deed.ids}
        return set(self.known) - self.own - brought

    def standing(self) -> dict[str, Known]:
        """The events that stand."""
        aside = self.aside()
        there = {i: event for i, event in self.known.items() if i not in aside}
        balance: Counter[object] = Counter()
        for event in there.values():
            if event.kind == "undo":
                entry, redone = event.said
                balance[entry] += -1 if redone else 1
        there = {i: event for i, event in there.items() if balance[event.entry] <= 0}
        withdrawn = {event.said[0] for event in there.values() if event.kind == "withdrawal"}
        there = {i: event for i, event in there.items() if i not in withdrawn}
        told_twice = copies([e for e in there.values() if e.kind == "pass"])
        return {i: event for i, event in there.items() if i not in told_twice}

    def passes(self) -> Counter[Said]:
        """What the passes that stand say, each as often as it was played."""
        return Counter(e.said for e in self.standing().values() if e.kind == "pass")

    def settings(self) -> dict[object, object]:
        """The latest value of each setting; what came with a beginning in vain doesn't count."""
        events = sorted(self.standing().values(), key=lambda e: (e.at_ms, e.id))
        vain = self._in_vain()
        return {e.said[0]: e.said[1] for e in events if e.kind == "setting" and e.entry not in vain}

    def _in_vain(self) -> set[str]:
        begun, vain = 1, set()
        events = sorted(self.standing().values(), key=lambda e: (e.at_ms, e.id))
        for event in (e for e in events if e.kind == "round"):
            number = int(str(event.said[0]))
            if number <= begun:
                vain.add(event.entry)
            begun = max(begun, number)
        return vain

    def round_number(self) -> int:
        """The number of the round under way."""
        numbers = [int(str(e.said[0])) for e in self.standing().values() if e.kind == "round"]
        return max([1, *numbers])

    def do(self, events: list[Known]) -> None:
        """Enter events of one's own."""
        self.known |= {event.id: event for event in events}
        ids = frozenset(event.id for event in events)
        self.own |= ids
        self.undone.clear()
        self.done.append(Deed(ids, is_taking_in=False, entry=events[0].entry))

    def take(self, events: list[Known]) -> bool:
        """Take in events; whether any was new here or brought again."""
        before = self.aside()
        news = frozenset(e.id for e in events if e.id not in self.known or e.id in before)
        self.known |= {event.id: event for event in events if event.id not in self.known}
        if news:
            self.undone.clear()
            self.done.append(Deed(news, is_taking_in=True))
        return bool(news)

    def of_log(self, lines: list[Said]) -> list[tuple[Said, int]]:
        """The lines of a log that tell of passes that aren't there, each with its count."""
        have, seen = self.passes(), Counter[Said]()
        new = []
        for said in lines:
            seen[said] += 1
            if seen[said] > have[said]:
                new.append((said, seen[said]))
        return new


def copies(passes: list[Known]) -> set[str]:
    """Passes from logs that stand beside the recorded pass that they tell of, or told twice."""
    recorded = Counter(e.said for e in passes if not e.copy)
    first = {(e.said, e.copy): e.id for e in sorted(passes, key=lambda e: e.id, reverse=True)}
    return {
        e.id
        for e in passes
        if e.copy and (e.copy <= recorded[e.said] or e.id != first[e.said, e.copy])
    }
