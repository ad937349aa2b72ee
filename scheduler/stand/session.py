"""The session on the stand: where it stands, and what becomes of what the page sends."""

from contextlib import suppress
from typing import Any, NamedTuple

from scheduler.errors import AddressError, LedgerError, PlanError, RoutineError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.ledger.events import unix_ms_of
from scheduler.ledger.in_place import check_in_place, identity_of
from scheduler.ledger.plans import KeptPlan, as_recorded, plan_numbered
from scheduler.plan.session import Block
from scheduler.player.facts import Pass
from scheduler.player.moments import FIRST_MS, MS_PER_DAY, Moment
from scheduler.player.tempo import suggested_tempo
from scheduler.practice.act import player_ids_known
from scheduler.practice.playing import (
    Playing,
    known_row,
    record_pass,
    say_fault,
    standing_ids,
    take_back,
)
from scheduler.practice.practice import Practice
from scheduler.practice.session import more_of_today, todays_plan
from scheduler.show.words import FAULT_WORDS
from scheduler.stage.hands_on import After, HandsOn, Moved, Step, steps_of
from scheduler.stage.minutes import seconds_left
from scheduler.stand.messages import BackSent, FaultSent, Message, PassSent, TempoSent
from scheduler.stand.steps import step_key

OWN_COMMAND = "upneck"
"""What is typed for one's own ledger."""


class Result(NamedTuple):
    """What became of a message; `why` is empty once what it says is on disk."""

    id: str
    why: str = ""


class StandSession:
    """Today's session on the stand, at one ledger.

    Attributes:
        practice: The player's practice, at the moment of what is asked.
        command: What is typed before the words of a command, on the sheet.
        plan: The plan of the day, with all that came after it.
        state: Where the session stands.
        played: The passes that were recorded here and not taken back.
        message: What the last message did, in words.
    """

    def __init__(
        self, practice: Practice, budget_seconds: float | None = None, command: str = OWN_COMMAND
    ) -> None:
        """Take up what is left of today's session.

        Args:
            practice: The player's practice.
            budget_seconds: The time there is; None for what the settings say.
            command: What is typed before the words of a command, on the sheet.

        Raises:
            LedgerError: The ledger can't be read or written.
        """
        self.practice, self.command = practice, command
        self._file = identity_of(practice.ledger.path)
        self.played: list[Pass] = []
        self._faults: dict[str, list[str]] = {}
        self.begin(todays_plan(practice, budget_seconds))

    def begin(self, plan: KeptPlan) -> None:
        """Begin a plan, with what is left of it."""
        self.plan = plan
        self.state = HandsOn(steps_of(plan.session, plan.left))
        self.message = ""
        self._judged: list[str] = []
        self._is_ended = False

    @property
    def player(self) -> str:
        """The player's name, as the file is called; "" for one's own session."""
        return self.practice.ledger.path.stem if self.command != OWN_COMMAND else ""

    @property
    def owners(self) -> list[str]:
        """Whose record it is: what a page keeps for one player isn't sent to another.

        Where two ledgers of one player were merged, it has two ids.
        """
        return player_ids_known(self.practice)

    def look(self) -> None:
        """Come to the present: on another day, or after another plan was made, begin that one.

        Raises:
            LedgerError: The ledger can't be read or written.
        """
        check_in_place(self.practice.ledger.path, self._file)
        self.practice.look_again()
        plan = todays_plan(self.practice)
        standing = {played.id for played in self.still_played()}
        is_undone = any(event_id not in standing for event_id in self._judged)
        if is_undone or plan.number not in self.plan.numbers:
            self.begin(plan)

    def still_played(self) -> list[Pass]:
        """The passes that were recorded here and stand: an undo elsewhere may have taken some back.

        Raises:
            LedgerError: The ledger can't be read.
        """
        standing = standing_ids(self.practice, [played.id for played in self.played])
        self.played = [played for played in self.played if played.id in standing]
        return self.played

    @property
    def seconds_left(self) -> float:
        """What is left of today's minutes."""
        return seconds_left(self.practice, as_recorded(self.practice.ledger, self.plan))

    def take(self, message: Message | str) -> Result:
        """Do what a message says; it is on disk when this returns.

        Args:
            message: The message; the id of one that couldn't be read.

        Raises:
            LedgerError: The file can't be written; the same message can be sent again.
        """
        result = self._taken(message)
        # Where the file was replaced meanwhile, this went into one that no path leads to: it isn't
        # acknowledged, and the page keeps it.
        check_in_place(self.practice.ledger.path, self._file)
        return result

    def _taken(self, message: Message | str) -> Result:
        match message:
            case PassSent():
                return self._take_pass(message)
            case FaultSent():
                return self._take_fault(message)
            case BackSent():
                return self._take_back(message)
            case TempoSent():
                return self._take_tempo(message)
        return Result(message, "it can't be read")

    def _take_pass(self, sent: PassSent) -> Result:
        known = known_row(self.practice, sent.id)
        if known is not None:
            is_same = known["kind"] == "pass" and bool(known["clean"]) is sent.clean
            return Result(sent.id, "" if is_same else "its id is another one's")
        at = self._moment_of(sent.id)
        if at is None:
            return Result(sent.id, "its time can't be right: set the phone's clock")
        found = self._place_of(sent)
        if isinstance(found, str):
            return Result(sent.id, found)
        plan, block, item = found
        goes_on = sent.goes_on
        step = self.state.step
        is_current = step is not None and self._is(step, sent)
        moved = None
        if is_current:
            moved = self.state.judge(lambda: self._suggested(item), clean=sent.clean)
            goes_on = moved not in {Moved.AGAIN, Moved.SLOWER}
        beat = sent.notes_per_beat if block is None else block.notes_per_beat
        playing = Playing(item, sent.tempo, beat, sent.clean, sent.errors, sent.id, at)
        number = block.number if block is not None and goes_on else None
        try:
            played = record_pass(self.practice, playing, plan, number)
        except BaseException:
            if is_current:
                self.state.take_back()
            raise
        self.played.append(played)
        if moved is not None:
            self._judged.append(sent.id)
            self.message = self.state.told(moved, clean=sent.clean)
        with suppress(LedgerError):
            # The pass is on disk whatever becomes of this; it is tried once more when asked.
            self.go_on_after_the_plan()
        return Result(sent.id)

    def go_on_after_the_plan(self) -> None:
        """Where the plan is through, go on while there are minutes.

        Raises:
            LedgerError: The file can't be read or written.
        """
        if self.state.step is not None or self._is_ended:
            return
        following: list[KeptPlan] = []

        def more(seconds: float) -> list[Step]:
            with suppress(PlanError):
                following.append(more_of_today(self.practice, seconds))
                if self.plan.number in following[0].goes_on:
                    self.plan = following.pop()
                    return steps_of(self.plan.session, self.plan.left)
            return []

        after = self.state.after_the_plan(
            self.seconds_left, lambda step: self._suggested(step.item), more
        )
        if after is After.SLOPPY:
            self.message = f"{self.message}; what stayed sloppy, once more"
        self._is_ended = after is After.OVER
        if following:
            # After midnight, or after other settings, it is another session.
            self.begin(following[0])

    def _suggested(self, item: Item) -> BeatsPerMinute:
        return suggested_tempo(self.practice.ability(), item)

    def _moment_of(self, event_id: str) -> Moment | None:
        """The time in an id, no later than the clock; None where it can't be right."""
        made, now = unix_ms_of(event_id), self.practice.now
        if not FIRST_MS < made < now.utc_ms + MS_PER_DAY:
            return None
        return now._replace(utc_ms=min(made, now.utc_ms))

    def _place_of(self, sent: PassSent) -> tuple[KeptPlan | None, Block | None, Item] | str:
        """The plan, block and item that a pass is of; a sentence where there is no such.

        There is no plan and no block where the plan is forgotten.
        """
        is_ours = sent.plan in self.plan.numbers
        plan = self.plan if is_ours else plan_numbered(self.practice.ledger, sent.plan)
        try:
            item = parse_address(sent.item, self.practice.routines)
        except (AddressError, RoutineError) as problem:
            return str(problem)
        if plan is None:
            # A plan that gave way to another one is forgotten some day: the pass is none the less.
            return None, None, item
        if not 1 <= sent.block <= len(plan.session.blocks):
            return f"its session has no block {sent.block}"
        block = plan.session.blocks[sent.block - 1]
        if item not in block.all_items:
            return f"block {sent.block} has no {sent.item}"
        return plan, block, item

    def _is(self, step: Step, sent: PassSent) -> bool:
        return (
            sent.plan in self.plan.numbers
            and step.block.number == sent.block
            and step.item.address == sent.item
            and (step.again_at is not None) == sent.back
        )

    def _take_fault(self, sent: FaultSent) -> Result:
        known = known_row(self.practice, sent.id)
        if known is not None:
            return Result(sent.id, "" if known["kind"] == "fault" else "its id is another one's")
        target = known_row(self.practice, sent.target)
        if target is None or target["kind"] != "pass" or target["clean"]:
            return Result(sent.id, "there is no sloppy pass that it is of")
        say_fault(self.practice, sent.target, sent.fault, sent.id)
        self._faults.setdefault(sent.target, []).append(sent.id)
        self.message = f"the last pass: {FAULT_WORDS[sent.fault]}"
        return Result(sent.id)

    def _take_back(self, sent: BackSent) -> Result:
        known = known_row(self.practice, sent.target)
        if known is None or known["kind"] != "pass":
            return Result(sent.id, "there is no such pass to take back")
        for event_id in (*reversed(self._faults.pop(sent.target, [])), sent.target):
            if not take_back(self.practice, event_id):
                return Result(sent.id, "only what was played here can be taken back here")
        self.played = [each for each in self.played if each.id != sent.target]
        if self._judged and self._judged[-1] == sent.target:
            self._judged.pop()
            self.state.take_back()
            self._is_ended = False
            self.message = "taken back"
        return Result(sent.id)

    def _take_tempo(self, sent: TempoSent) -> Result:
        if not 1 <= sent.block <= len(self.plan.session.blocks):
            return Result(sent.id, "there is no such block")
        if sent.plan in self.plan.numbers:
            self.state.block_tempos[sent.block] = sent.tempo
            step = self.state.step
            if step is not None and step.block.number == sent.block:
                self.state.tempo = sent.tempo
        return Result(sent.id)

    def told(self) -> dict[str, Any]:
        """Where the session stands, as the page is told; times in UTC, ms."""
        with suppress(LedgerError):
            self.go_on_after_the_plan()
        state = self.state
        return {
            "now": self.practice.now.utc_ms,
            "plan": self.plan.number,
            "steps": [step_key(step) for step in state.steps],
            "place": state.place,
            "sloppy": state.sloppy,
            "tempo": state.tempo,
            "block_tempos": {str(number): tempo for number, tempo in state.block_tempos.items()},
            "still_sloppy": [step_key(step) for step in state.still_sloppy],
            "seconds_left": self.seconds_left,
            "message": self.message,
            "passes": len(self.played),
            "clean": sum(played.clean for played in self.played),
            "last": self._last(),
        }

    def _last(self) -> dict[str, Any] | None:
        """The pass that a fault is of, and that is taken back next."""
        if not self.played:
            return None
        last = self.played[-1]
        return {"id": last.id, "clean": last.clean}
