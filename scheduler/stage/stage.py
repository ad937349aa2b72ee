"""The stage: keys, beat and screen of a session that is being played."""

from collections.abc import Callable

from scheduler.guitar.durations import CHANGEOVER_SECONDS, COUNT_IN_BEATS, SETTLE_SECONDS
from scheduler.guitar.items import Item
from scheduler.plan.beats import Kind, Run, beats_in
from scheduler.player.facts import Fault
from scheduler.player.moments import Moment
from scheduler.practice.sheet import Sheet, sheet_of
from scheduler.show.words import FAULT_WORDS, duration
from scheduler.stage.beat import BeatClock, Tick, is_early, shorter_way
from scheduler.stage.hands_on import After, HandsOn, Moved, Step
from scheduler.stage.keys import CLEAN, SLOPPY, Debouncer, Key, KeyReader
from scheduler.stage.recorder import Recorder
from scheduler.stage.screen import BEAT_ROW, View, beat_line, play_lines
from scheduler.stage.sound import ClickSound
from scheduler.stage.terminal import FullScreen

ESCAPE_SECONDS = 0.05
LONGEST_WAIT_SECONDS = 1.0
ENDLESS = 1 << 30
FAULT_KEYS = {"r": Fault.RINGING, "s": Fault.SYNC, "n": Fault.NOTES}
BELL = "\a"
EARLY_WORDS = "not half played yet: clean once more if you mean it"


class Stage:
    """A session on the stage.

    Args:
        recorder: Where verdicts go.
        budget_seconds: The time there is.
        state: Where the session stands.
        clock: Seconds that never go back.
        sound: Where clicks go; None without sound.
        more: Gives what comes after the plan, for so many seconds.
        bell: Whether the terminal's bell rings where there is no sound.
        signs: Whether signs of strokes can be shown.
    """

    def __init__(
        self,
        recorder: Recorder,
        budget_seconds: float,
        state: HandsOn,
        clock: Callable[[], float],
        sound: ClickSound | None,
        more: Callable[[float], list[Step]],
        *,
        bell: bool,
        signs: bool,
    ) -> None:
        self.recorder, self.budget_seconds, self.state = recorder, budget_seconds, state
        self.clock, self.sound, self.bell, self.signs = clock, sound, bell, signs
        self._more = more
        self.beat = BeatClock(clock)
        self.began, self.paused_at, self.paused_for = clock(), 0.0, 0.0
        self.tick: Tick | None = None
        self.message = ""
        self.is_over = False
        self._after_pause = Moved.AGAIN
        self._was_asked, self._beats_before = False, 0
        self._began_at = recorder.practice.now
        self._sheets: dict[Item, Sheet] = {}
        self._reader, self._debouncer = KeyReader(), Debouncer()

    def run(self, screen: FullScreen) -> None:
        """Play until the session is over or the player stops."""
        self.beat.begin(self._runs(Moved.BLOCK))
        while not self.is_over:
            if screen.was_resized:
                screen.was_resized = False
                self._draw(screen)
            self._sound_beat(screen)
            wait = min(max(0.0, self.beat.next_at - self.clock()), LONGEST_WAIT_SECONDS)
            waiting = self._reader.is_waiting
            data = screen.read(min(wait, ESCAPE_SECONDS) if waiting else wait)
            if data == b"":
                return
            keys = self._reader.feed(data) if data else []
            if data is None and waiting:
                keys = self._reader.give_up()
            self._press_all(keys)
            if keys:
                self._draw(screen)

    def _press_all(self, keys: list[str]) -> None:
        for key in keys:
            if self._debouncer.lets_through(key, self.clock()):
                self.press(key)
            if self.is_over:
                return

    def press(self, key: str) -> None:
        """Do what a key means."""
        self.message = ""
        if key == "q":
            self.is_over = True
        elif key == "p":
            self._pause()
        elif self.paused_at:
            self.message = "paused: p goes on, q stops"
        elif key in CLEAN:
            self._verdict_or_begin()
        elif key in SLOPPY or (key.isdigit() and key != "0"):
            self._sloppy(int(key) if key.isdigit() else None)
        elif key in {Key.UP, Key.DOWN}:
            self._change_tempo(1 if key == Key.UP else -1)
        elif key in FAULT_KEYS:
            self._say_fault(FAULT_KEYS[key])
        elif key == "u":
            self._take_back()
        else:
            self.message = f"{key} is no key here: see below"

    @property
    def is_playing(self) -> bool:
        """Whether the item has begun."""
        return self.tick is not None and self.tick.run.kind is Kind.PLAY

    @property
    def played_seconds(self) -> float:
        """How long it has been played, without pauses."""
        pause = self.clock() - self.paused_at if self.paused_at else 0.0
        return self.clock() - self.began - self.paused_for - pause

    @property
    def now(self) -> Moment:
        """The time, told by the clock that never goes back."""
        elapsed_ms = int((self.clock() - self.began) * 1000)
        return self._began_at._replace(utc_ms=self._began_at.utc_ms + elapsed_ms)

    def _verdict_or_begin(self) -> None:
        if not self.is_playing:
            self._begin_sooner()
        elif self._is_early() and not self._was_asked:
            self._was_asked = True
            self.message = EARLY_WORDS
        else:
            self._judge(clean=True, errors=0)

    def _is_early(self) -> bool:
        step, tick = self.state.step, self.tick
        assert step is not None, "only a step is played"  # noqa: S101
        assert tick is not None, "only what has begun is judged"  # noqa: S101
        notes = len(self._sheet(step.item).notes)
        beats = self._beats_before + tick.number + 1
        return is_early(beats, step.block.notes_per_beat, notes)

    def _begin_sooner(self) -> None:
        run = self.beat.run
        way = None if run is None else shorter_way(run, self.beat.beats_left)
        if way is None:
            self.message = "wait for the beat"
        else:
            self.beat.begin([way, self._endless()])

    def _sloppy(self, errors: int | None) -> None:
        if self.is_playing:
            self._judge(clean=False, errors=errors)
        else:
            self.message = "not begun yet: wait for the beat, or space to begin sooner"

    def _judge(self, *, clean: bool, errors: int | None) -> None:
        step, self._was_asked = self.state.step, False
        assert step is not None, "only a step can be judged"  # noqa: S101
        now, tempo = self.now, self.state.tempo
        moved = self.state.judge(lambda: self.recorder.suggested(step, now), clean=clean)
        goes_on = moved not in {Moved.AGAIN, Moved.SLOWER}
        self.recorder.record(step, tempo, now, clean=clean, errors=errors, goes_on=goes_on)
        self.message = self.state.told(moved, clean=clean)
        if moved is Moved.OVER:
            moved = self._after_the_plan()
        if moved is Moved.OVER:
            self.is_over = True
        else:
            self.tick = None
            self._go_on(moved)

    def _go_on(self, moved: Moved) -> None:
        """On to the next step; before some of them lies a rest."""
        step = self.state.step
        rest = step.rest_seconds if step is not None and moved is Moved.BLOCK else 0.0
        if rest:
            self._pause()
            self._after_pause = moved
            self.message = f"rest for {duration(rest)}, put the guitar down; then p goes on"
        else:
            self.beat.begin(self._runs(moved))

    def _after_the_plan(self) -> Moved:
        """While minutes are left: what stayed sloppy comes back once, then the list goes on."""
        after = self.state.after_the_plan(
            self.budget_seconds - self.played_seconds,
            lambda step: self.recorder.suggested(step, self.now),
            self._more,
        )
        if after is After.SLOPPY:
            self.message = f"{self.message}; what stayed sloppy, once more"
        return Moved.OVER if after is After.OVER else Moved.BLOCK

    def _take_back(self) -> None:
        if not self.recorder.take_back(self.now):
            self.message = "nothing to take back"
            return
        self.state.take_back()
        self.message = "taken back"
        self.tick = None
        self.beat.begin(self._runs(Moved.AGAIN))

    def _say_fault(self, fault: Fault) -> None:
        said = self.recorder.say_fault(fault, self.now)
        self.message = (
            f"the last pass: {FAULT_WORDS[fault]}" if said
            else "the last pass was clean: no fault to name" if self.recorder.verdicts
            else "nothing played yet: no fault to name"
        )  # fmt: skip

    def _change_tempo(self, marks: int) -> None:
        self.state.change_tempo(marks)
        self.message = f"tempo {self.state.tempo:g}"
        if self.is_playing and self.tick is not None:
            # At another tempo the beats are counted anew; the pass goes on.
            self._beats_before += self.tick.number + 1
            self.beat.begin([self._endless()])

    def _pause(self) -> None:
        if self.paused_at:
            self.paused_for += self.clock() - self.paused_at
            self.paused_at = 0.0
            self.tick = None
            self.beat.begin(self._runs(self._after_pause))
            self._after_pause = Moved.AGAIN
        else:
            self.paused_at = self.clock()
            self.beat.stop()

    def _runs(self, moved: Moved) -> list[Run]:
        """The beats up to the item, then those of playing, which go on until a verdict."""
        self._was_asked, self._beats_before = False, 0
        step, tempo = self.state.step, self.state.tempo
        assert step is not None, "a session that is over has no beats"  # noqa: S101
        if moved is Moved.BLOCK:
            way = [
                Run(Kind.CHANGEOVER, beats_in(CHANGEOVER_SECONDS, tempo), tempo),
                Run(Kind.COUNT_IN, COUNT_IN_BEATS, tempo),
            ]
        else:
            way = [Run(Kind.SETTLE, beats_in(self._settle_seconds(moved), tempo), tempo)]
        return [*way, self._endless()]

    def _settle_seconds(self, moved: Moved) -> float:
        if moved is Moved.ITEM:
            place = self.state.place
            before, here = self.state.steps[place - 1 : place + 1]
            if abs(here.item.fret - before.item.fret) > 1:
                return CHANGEOVER_SECONDS
        return SETTLE_SECONDS

    def _endless(self) -> Run:
        step = self.state.step
        return Run(Kind.PLAY, ENDLESS, self.state.tempo, None if step is None else step.item)

    def _sheet(self, item: Item) -> Sheet:
        if item not in self._sheets:
            self._sheets[item] = sheet_of(self.recorder.practice, item, self.state.tempo)
        return self._sheets[item]

    def _sound_beat(self, screen: FullScreen) -> None:
        tick = self.beat.tick()
        if tick is None:
            return
        first_of_line = self.tick is None or self._line_of(tick) != self._line_of(self.tick)
        self.tick = tick
        silent = tick.run.kind is Kind.CHANGEOVER and tick.number > 0
        if self.sound is not None and not silent:
            self.sound.click(tick.run.kind, accent=tick.is_accent)
        elif self.bell and not silent:
            screen.write(BELL)
        if first_of_line:
            self._draw(screen)
        else:
            screen.draw_line(BEAT_ROW, self._beat_line())

    def _line_of(self, tick: Tick) -> tuple[Kind, int]:
        """What of the tablature is shown at a beat: the kind, and the bar that is played."""
        step = self.state.step
        beat = 3 if step is None else step.block.notes_per_beat
        return tick.run.kind, tick.number * beat // 12 if tick.run.kind is Kind.PLAY else 0

    def _beat_line(self) -> str:
        tick = self.tick
        if tick is None:
            return beat_line(Kind.SETTLE, 0, 1, paused=bool(self.paused_at))
        return beat_line(tick.run.kind, tick.number, tick.run.beats, paused=bool(self.paused_at))

    def _draw(self, screen: FullScreen) -> None:
        step = self.state.step
        if step is None:
            return
        columns, rows = screen.size
        view = View(
            columns=columns,
            rows=rows,
            seconds_left=self.budget_seconds - self.played_seconds,
            message=self.message,
            paused=bool(self.paused_at),
            signs=self.signs,
        )
        note = 0
        if self.tick is not None and self.tick.run.kind is Kind.PLAY:
            note = self.tick.number * step.block.notes_per_beat
        sheet = self._sheet(step.item)
        screen.draw(play_lines(self.state, sheet, view, self._beat_line(), note))
