// The session that is played on this page: what a touch or a key does, and the beat.

import { isEarly, Metronome, PLAY, runsTo, shorterWay } from "./beat.js";
import { AGAIN, BLOCK, HandsOn, OVER, SLOWER } from "./hands_on.js";
import { CLEAN, SLOPPY } from "./keys.js";
import { click } from "./sound.js";

const SOUND_WAIT_MS = 800;
const WAIT_WORDS = "Not begun yet: wait for the beat.";
const EARLY_WORDS = "Not half played yet: Clean once more if you mean it.";

export class Playing {
  /**
   * @param {object} told what is played, and where the session stands
   * @param {object} view what is seen
   * @param {(message: object) => void} keep keeps a message, and sends it
   * @param {import("./ids.js").Ids} ids
   */
  constructor(told, view, keep, ids) {
    Object.assign(this, { view, keep, ids });
    this.phase = "opening";
    this.isPaused = false;
    this.isThrough = false;
    this.last = null;
    // What was judged before it on this page, for who takes back more than one pass.
    this.earlier = [];
    this.speaks = false;
    this.before = null;
    this.context = null;
    this.wall = performance.now();
    this.judgedAt = -Infinity;
    this.wasAsked = false;
    this.takeTold(told);
  }

  takeTold(told) {
    this.told = told;
    this.hands = new HandsOn(told.steps, told.constants);
    this.hands.adopt(told.steps, told.state);
    this.last = told.state.last;
    this.secondsLeft = told.state.seconds_left;
  }

  get isPlaying() {
    return this.metronome?.current?.kind === PLAY;
  }

  /** Begin, at a touch: only then may a page sound. */
  async begin() {
    if (!this.hands.step) return this.show("over");
    this.show("playing");
    this.drawItem();
    const context = await contextHere();
    if (!context) this.view.say("No sound here: watch the beat.");
    const { sounds, accent_every: accentEvery } = this.told.constants;
    this.context = context;
    this.metronome = context
      ? new Metronome(
        () => context.currentTime, (beat) => click(context, beat, sounds), accentEvery,
        () => context.outputLatency || 0)
      : new Metronome(() => performance.now() / 1000, () => () => {}, accentEvery, () => 0);
    this.onTo(BLOCK);
    return undefined;
  }

  show(phase) {
    this.phase = phase;
    this.view.phase(phase);
    if (phase === "over") {
      this.metronome?.stop();
      this.view.say("");
    }
  }

  /** Do what a touch or a key means. */
  press(word, what) {
    if (this.phase === "opening") return word === CLEAN ? this.begin() : undefined;
    if (this.phase === "resting") return word === CLEAN || word === "pause" ? this.afterRest() : undefined;
    if (word === "back") return this.takeBack();
    if (word === "fault") return this.sayFault(what);
    if (this.phase === "over" || !this.metronome) return undefined;
    // A call or another program may have taken the sound away.
    this.context?.resume();
    if (word === "pause") return this.pause();
    const isVerdict = word === CLEAN || word === SLOPPY;
    if (this.isPaused && isVerdict && this.isThrough) return this.judgePaused(word === CLEAN, what);
    if (this.isPaused) return this.view.say("Paused: go on first.");
    // A finger that touches twice means one pass.
    const isTwice = performance.now() - this.judgedAt < 1000 * this.told.constants.held_seconds;
    if (isTwice && (word === CLEAN || word === SLOPPY)) return undefined;
    if (word === CLEAN) return this.isPlaying ? this.judgeClean() : this.beginSooner();
    if (word === SLOPPY) {
      return this.isPlaying ? this.judge(false, what ?? null) : this.view.say(WAIT_WORDS);
    }
    if (word === "tempo") return this.changeTempo(what);
    return undefined;
  }

  /** Clean after less than half of a pass may be a slip of the foot: it is asked. */
  judgeClean() {
    if (!this.wasAsked && this.isEarly(this.metronome.current)) {
      this.wasAsked = true;
      // A finger that touches twice doesn't answer.
      this.judgedAt = performance.now();
      return this.view.say(EARLY_WORDS);
    }
    return this.judge(true, 0);
  }

  /** Whether less than half of the item was played when a beat sounds. */
  isEarly(beat) {
    const { step } = this.hands;
    const { notes } = this.told.items[step.item];
    return isEarly(beat.number + 1, step.notes_per_beat, notes, this.told.constants);
  }

  judge(clean, errors) {
    const { hands } = this;
    this.wasAsked = false;
    const { step, tempo } = hands;
    let moved = hands.judge(clean);
    this.judgedAt = performance.now();
    if (this.last) this.earlier.push(this.last);
    this.last = { id: this.ids.next(), clean };
    this.keep({
      kind: "pass", id: this.last.id, plan: this.told.state.plan, session: this.told.session,
      block: step.block, item: step.item, back: step.again_at !== null, tempo, clean, errors,
      notes_per_beat: step.notes_per_beat, notes: this.told.items[step.item].notes,
      goes_on: moved !== AGAIN && moved !== SLOWER,
    });
    this.view.say(toldWords(moved, clean, hands.tempo));
    this.view.faults(!clean);
    if (moved === OVER && this.secondsLeft > 0 && hands.comeBack()) moved = BLOCK;
    if (moved === OVER) {
      this.show("over");
      return;
    }
    this.before = step;
    this.onTo(moved);
  }

  /** On to where the session stands; before some blocks lies a rest. */
  onTo(moved) {
    const { step } = this.hands;
    if (moved === BLOCK && step.rest && step.number === 1) this.rest(step.rest);
    else this.goOn(moved);
  }

  /** On to the step that the session stands at. */
  goOn(moved) {
    const { step, tempo } = this.hands;
    this.wasAsked = false;
    this.drawItem();
    if (moved === BLOCK) this.announce();
    // What is heard now belongs to what was: nothing is judged until the beat has come here.
    this.metronome.current = null;
    this.metronome.begin(runsTo(moved, this.before, step, tempo, this.told.constants));
  }

  /** What is left of the way for who won't wait, where that is shorter. */
  get sooner() {
    return shorterWay(this.metronome.next, this.hands.tempo, this.told.constants);
  }

  beginSooner() {
    const { sooner } = this;
    if (!sooner) return this.view.say(WAIT_WORDS);
    this.metronome.begin([sooner, { kind: PLAY, beats: Infinity, tempo: this.hands.tempo }]);
    return undefined;
  }

  rest(seconds) {
    this.metronome.stop();
    this.view.text("rest", `Rest for ${Math.round(seconds / 60)} minutes, and put the guitar down.`);
    this.show("resting");
  }

  afterRest() {
    this.show("playing");
    this.goOn(BLOCK);
  }

  /** A verdict on an item that was through when the pause began. */
  judgePaused(clean, errors) {
    this.isPaused = false;
    this.view.paused(false);
    return clean ? this.judge(true, 0) : this.judge(false, errors ?? null);
  }

  pause() {
    this.isThrough = !this.isPaused && this.isPlaying && this.view.isThrough(this.metronome.current);
    this.isPaused = !this.isPaused;
    this.view.paused(this.isPaused);
    if (this.isPaused) this.metronome.stop();
    else this.goOn(AGAIN);
  }

  changeTempo(marks) {
    const { hands } = this;
    hands.changeTempo(marks);
    this.keep({
      kind: "tempo", id: this.ids.next(), plan: this.told.state.plan, session: this.told.session,
      block: hands.step.block, tempo: hands.tempo,
    });
    this.view.tempo(hands.tempo);
    this.view.say(`Tempo ${hands.tempo}.`);
    this.metronome.retempo(hands.tempo);
  }

  sayFault(fault) {
    if (!this.last) return this.view.say("Nothing played yet: no fault to name.");
    if (this.last.clean) return this.view.say("The last pass was clean: no fault to name.");
    this.keep({ kind: "fault", id: this.ids.next(), target: this.last.id, fault });
    return this.view.say(`The last pass: ${this.view.by(`fault-${fault}`).textContent}.`);
  }

  takeBack() {
    if (!this.last) return this.view.say("There is nothing to take back.");
    this.keep({ kind: "back", id: this.ids.next(), target: this.last.id });
    this.last = this.earlier.pop() ?? null;
    this.view.faults(false);
    this.view.say("Taken back.");
    if (this.hands.takeBack()) {
      if (this.phase === "over") this.show(this.metronome ? "playing" : "opening");
      if (this.metronome && !this.isPaused) this.goOn(AGAIN);
      else this.drawItem();
    }
    return undefined;
  }

  /** Stand where the stand says; whether everything that it names is known here. */
  adopt(state) {
    const { hands } = this;
    const before = [hands.step?.key, hands.tempo];
    if (state.plan !== this.told.state.plan || !hands.adopt(this.told.steps, state)) return false;
    this.last = state.last;
    this.earlier = [];
    this.secondsLeft = state.seconds_left;
    this.told.state = state;
    this.view.list(...this.blocksLeft());
    if (this.phase === "opening") return true;
    if (hands.step?.key !== before[0]) this.follow(state.message);
    else if (hands.step && hands.tempo !== before[1]) {
      this.view.tempo(hands.tempo);
      if (this.phase === "playing" && !this.isPaused) this.metronome.retempo(hands.tempo);
    }
    return true;
  }

  /** Go where the session went meanwhile. */
  follow(message) {
    this.view.say(message ? `${message}.` : "");
    if (!this.hands.step) this.show("over");
    else if (!this.metronome) this.show("opening");
    else if (this.phase !== "resting") {
      if (this.phase === "over") this.show("playing");
      if (this.isPaused) this.drawItem();
      else this.onTo(BLOCK);
    }
  }

  drawItem() {
    const { step, following, tempo } = this.hands;
    if (!step) return;
    const block = this.told.blocks[step.block - 1];
    const next = this.told.items[following?.item];
    const isNear = following?.block === step.block;
    this.view.item(step, this.told.items[step.item], isNear ? next.at : next?.words);
    this.view.where(step, block, this.told.blocks.length);
    this.view.tempo(tempo);
    this.view.list(...this.blocksLeft());
  }

  blocksLeft() {
    const left = new Map();
    for (const step of this.hands.steps.slice(this.hands.place)) {
      left.set(step.block, (left.get(step.block) ?? 0) + 1);
    }
    return [this.told.blocks, left];
  }

  announce() {
    if (!this.speaks || !("speechSynthesis" in window)) return;
    const { words } = this.told.blocks[this.hands.step.block - 1];
    speechSynthesis.cancel();
    speechSynthesis.speak(new SpeechSynthesisUtterance(words));
  }

  /** Look at the clocks: the beat and the time that is left. */
  look() {
    const now = performance.now();
    if (this.phase === "playing" && !this.isPaused) this.secondsLeft -= (now - this.wall) / 1000;
    this.wall = now;
    if (this.phase !== "playing") return;
    this.showBeat(this.isPaused ? null : this.metronome?.look() ?? null);
    this.view.left(this.secondsLeft);
  }

  showBeat(beat) {
    const begins = beat?.kind === PLAY && this.shown?.kind !== PLAY;
    // What was said of the pass before isn't said of this one.
    if (begins) this.view.say("");
    if (this.wasAsked && beat?.kind === PLAY && !this.isEarly(beat)) {
      this.wasAsked = false;
      this.view.say("");
    }
    this.shown = beat;
    this.view.beat(beat, this.isPaused);
    this.view.verdicts(this.isPaused || this.isPlaying, !this.isPaused && this.metronome && !this.isPlaying && this.sooner);
  }
}

function toldWords(moved, clean, tempo) {
  if (clean) return "Clean.";
  if (moved === AGAIN) return "Sloppy: once more.";
  if (moved === SLOWER) return `Sloppy: once more, slower, at ${tempo}.`;
  return "Sloppy three times: on to the next.";
}

/** A clock that sounds; null where there is none, or where it doesn't run. */
async function contextHere() {
  try {
    const context = new AudioContext({ latencyHint: "interactive" });
    await Promise.race([context.resume(), new Promise((done) => setTimeout(done, SOUND_WAIT_MS))]);
    return context.state === "running" ? context : null;
  } catch {
    return null;
  }
}
