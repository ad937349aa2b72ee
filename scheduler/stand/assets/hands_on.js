// Where a session stands while it is played, and where a verdict leads: the same rules as
// stage/hands_on.py, for the moments in which the stand is out of reach, and for the page that
// works without one. A test plays both side by side.

export const AGAIN = "again", SLOWER = "slower", ITEM = "next item", BLOCK = "next block", OVER = "over";

export class HandsOn {
  constructor(steps, { marks, tries }) {
    this.steps = [...steps];
    this.marks = marks;
    this.tries = tries;
    this.place = 0;
    this.sloppy = 0;
    this.tempo = marks[0];
    this.blockTempos = new Map();
    this.stillSloppy = [];
    this.traces = [];
    this.takeTempo();
  }

  get step() {
    return this.steps[this.place];
  }

  get following() {
    return this.steps[this.place + 1];
  }

  takeTempo() {
    const step = this.step;
    if (!step) return;
    const tempo = this.blockTempos.get(step.block) ?? step.tempo;
    this.tempo = step.again_at === null ? tempo : Math.min(tempo, step.again_at);
  }

  /** Take in a verdict on the step that is played now; where it led. */
  judge(clean) {
    const { place, sloppy, tempo, stillSloppy } = this;
    this.traces.push({ place, sloppy, tempo, stillSloppy });
    if (!clean) {
      this.sloppy += 1;
      if (this.sloppy < this.tries) {
        if (this.sloppy < this.tries - 1) return AGAIN;
        this.tempo = slowerTempo(this.marks, this.tempo, this.step.suggested);
        return SLOWER;
      }
      if (this.step.again_at === null) this.stillSloppy = [...this.stillSloppy, this.step];
    }
    const before = this.step;
    this.place += 1;
    this.sloppy = 0;
    this.takeTempo();
    if (!this.step) return OVER;
    return this.step.block === before.block ? ITEM : BLOCK;
  }

  /** Go back to before the last verdict; whether there is one. */
  takeBack() {
    const trace = this.traces.pop();
    if (!trace) return false;
    Object.assign(this, trace);
    if (this.step && this.step.again_at === null) {
      const later = this.steps.slice(this.place + 1).filter((step) => step.again_at === null);
      this.steps = [...this.steps.slice(0, this.place + 1), ...later];
    }
    return true;
  }

  /** Let what stayed sloppy come back at the end, once; whether there is any. */
  comeBack() {
    const coming = this.stillSloppy;
    this.stillSloppy = [];
    const isOver = !this.step;
    coming.forEach((step, n) => this.steps.push({
      ...step, key: `${step.key} back`, number: n + 1, of: coming.length,
      again_at: step.suggested, rest: 0,
    }));
    if (isOver) this.takeTempo();
    return coming.length > 0;
  }

  /** Make the block's tempo some marks faster or slower from now on. */
  changeTempo(marks) {
    if (!this.step) return;
    this.tempo = marksAway(this.marks, this.tempo, marks);
    this.blockTempos.set(this.step.block, this.tempo);
  }

  /** Stand where the stand says that the session stands. */
  adopt(steps, state) {
    const known = new Map([...this.steps, ...steps].map((step) => [step.key, step]));
    if (!state.steps.every((key) => known.has(key))) return false;
    // What is taken back from here on isn't what was judged here.
    if (state.place !== this.place) this.traces = [];
    this.steps = state.steps.map((key) => known.get(key));
    this.stillSloppy = state.still_sloppy.map((key) => known.get(key));
    this.place = state.place;
    this.sloppy = state.sloppy;
    this.tempo = state.tempo;
    this.blockTempos = new Map(Object.entries(state.block_tempos).map(([n, t]) => [Number(n), t]));
    return true;
  }
}

export function marksAway(marks, tempo, steps) {
  const start = steps >= 0
    ? marks.filter((mark) => mark <= tempo).length - 1
    : marks.filter((mark) => mark < tempo).length;
  return marks[Math.min(Math.max(0, start + steps), marks.length - 1)];
}

export function slowerTempo(marks, tempo, suggested) {
  return Math.max(
    Math.min(suggested, marksAway(marks, tempo, -1)), marksAway(marks, tempo, -2));
}
