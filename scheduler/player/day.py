"""A day of the record: what was recorded on it, and how long that took."""

from dataclasses import dataclass


@dataclass(slots=True)
class Day:
    """What was recorded on one local day.

    Attributes:
        passes: Passes played.
        clean: Clean ones among them.
        work_seconds: Seconds that the passes and the ways between them take.
        clock_seconds: Seconds from the first pass to the last by the clock, without long gaps.
        last_ms: The last pass (UTC, ms).
        new_clean: Items of the round that were done in it that day.
        new_seconds: The seconds of `work_seconds` spent on items of the round not yet done in it.
        told_seconds: How long it took, as the player said; 0 where nothing was said.
        told_work_seconds: The seconds of `work_seconds` that this was said of.
        entry_seconds: Those of the passes that were entered last, at one instant.
    """

    passes: int = 0
    clean: int = 0
    work_seconds: float = 0.0
    clock_seconds: float = 0.0
    last_ms: int = 0
    new_clean: int = 0
    new_seconds: float = 0.0
    told_seconds: float = 0.0
    told_work_seconds: float = 0.0
    entry_seconds: float = 0.0

    @property
    def practised_seconds(self) -> float:
        """Time practised: as was told, else by the clock where passes were recorded as played."""
        if self.told_seconds:
            return self.told_seconds + max(self.work_seconds - self.told_work_seconds, 0.0)
        return max(self.work_seconds, self.clock_seconds)

    def add_told(self, at_ms: int, seconds: float) -> None:
        """Take in how long what was entered at an instant took."""
        self.told_seconds += seconds
        if at_ms == self.last_ms:
            self.told_work_seconds += self.entry_seconds
