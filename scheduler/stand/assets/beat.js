// The beat: every beat's time is reckoned from the start of its run, so that lateness never adds
// up; clicks are given to the audio clock ahead of time, so that a busy page or a tab in the
// background delays none.

import { BLOCK, ITEM } from "./hands_on.js";

export const CHANGEOVER = "changeover", COUNT_IN = "count-in", PLAY = "play", SETTLE = "settle";
const AHEAD_SECONDS = 2.5;
const FROM_NOW_SECONDS = 0.06;

/** Whole beats that last at least so long. */
function beatsIn(seconds, tempo) {
  return Math.ceil(seconds * tempo / 60 - 1e-9);
}

/** The beats up to an item, then those of playing, which go on until a verdict. */
export function runsTo(moved, before, step, tempo, constants) {
  const play = { kind: PLAY, beats: Infinity, tempo };
  if (moved === BLOCK) {
    return [
      { kind: CHANGEOVER, beats: beatsIn(constants.changeover_seconds, tempo), tempo },
      { kind: COUNT_IN, beats: constants.count_in_beats, tempo },
      play,
    ];
  }
  const isFar = moved === ITEM && before && Math.abs(step.fret - before.fret) > 1;
  const seconds = isFar ? constants.changeover_seconds : constants.settle_seconds;
  return [{ kind: SETTLE, beats: beatsIn(seconds, tempo), tempo }, play];
}

/**
 * What is left of the way to an item for who won't wait; null where that is no shorter.
 * @param {object} beat the next beat of the way: its kind, its number, of how many
 */
export function shorterWay({ kind, number, beats }, tempo, constants) {
  if (kind === CHANGEOVER) return { kind: COUNT_IN, beats: constants.count_in_beats, tempo };
  const soon = constants.soon_beats;
  return kind === SETTLE && beats - number > soon ? { kind: SETTLE, beats: soon, tempo } : null;
}

/** Whether so many beats of a pass, the one that sounds among them, are too few for it. */
export function isEarly(beats, notesPerBeat, notes, { least_share: share }) {
  return beats * notesPerBeat < share * notes;
}

/** Beats of runs, one run after the other, on any clock of seconds. */
export class Beat {
  constructor(accentEvery) {
    this.accentEvery = accentEvery;
    this.runs = [];
    this.start = 0;
    this.number = 0;
  }

  begin(runs, at) {
    this.runs = [...runs];
    this.start = at;
    this.number = 0;
  }

  stop() {
    this.runs = [];
  }

  /** When the next beat comes; far away if none does. */
  get nextAt() {
    return this.runs.length ? this.start + this.number * 60 / this.runs[0].tempo : Infinity;
  }

  /** The beats up to a time, each with its run and its number in it. */
  *until(time) {
    while (this.nextAt <= time) {
      const run = this.runs[0];
      const number = this.number + (run.from ?? 0);
      yield {
        at: this.nextAt, run, kind: run.kind, number, beats: run.beats + (run.from ?? 0),
        isAccent: run.kind !== SETTLE && number % this.accentEvery === 0,
      };
      this.number += 1;
      if (this.number >= run.beats) {
        this.start += run.beats * 60 / run.tempo;
        this.number = 0;
        this.runs.shift();
      }
    }
  }
}

/** Gives beats to a clock ahead of time, and knows which one is now. */
export class Metronome {
  /**
   * @param {() => number} now seconds
   * @param {(beat: object) => () => void} sound lets a beat sound at its time; how to silence it
   * @param {() => number} latency seconds until what sounds is heard: it is seen then, too
   */
  constructor(now, sound, accentEvery, latency = () => 0) {
    this.now = now;
    this.sound = sound;
    this.latency = latency;
    this.beat = new Beat(accentEvery);
    this.runs = [];
    this.coming = [];
    this.current = null;
  }

  /** The beat with which other runs would begin: what is given to the clock already sounds. */
  get next() {
    const soonest = this.now() + FROM_NOW_SECONDS;
    const given = this.coming.find((beat) => beat.at >= soonest && !beat.isPast);
    if (given) return given;
    const [run] = this.beat.runs;
    return run ? { kind: run.kind, number: this.beat.number, beats: run.beats } : { kind: PLAY };
  }

  /** Play other runs from the next beat on. */
  begin(runs) {
    const soonest = this.now() + FROM_NOW_SECONDS;
    const next = this.coming.find((beat) => beat.at >= soonest)?.at ?? this.beat.nextAt;
    const at = next === Infinity ? soonest : Math.max(next, soonest);
    this.silence(at);
    this.runs = runs;
    this.beat.begin(runs, at);
    this.look();
  }

  /** Go on with the same runs at another tempo, from the next beat on. */
  retempo(tempo) {
    const soonest = this.now() + FROM_NOW_SECONDS;
    const next = this.coming.find((beat) => beat.at >= soonest && !beat.isPast);
    const run = next?.run ?? this.beat.runs[0];
    if (!run) return;
    const done = next ? next.number - (run.from ?? 0) : this.beat.number;
    const rest = { ...run, beats: run.beats - done, from: (run.from ?? 0) + done };
    const later = this.runs.slice(this.runs.indexOf(run) + 1);
    this.begin([rest, ...later].map((each) => ({ ...each, tempo })));
  }

  stop() {
    this.silence(this.now());
    this.beat.stop();
    this.current = null;
  }

  silence(from) {
    for (const beat of this.coming) if (beat.at >= from - 1e-6) beat.silence();
    this.coming = this.coming.filter((beat) => beat.at < from - 1e-6);
    // A beat of what was still sounds, but nothing is judged by it.
    for (const beat of this.coming) beat.isPast = true;
  }

  /** Look ahead; the beat that is now. */
  look() {
    const now = this.now();
    for (const beat of this.beat.until(now + AHEAD_SECONDS)) {
      // What a sleeping page missed is left out.
      const silence = beat.at >= now ? this.sound(beat) : () => {};
      this.coming.push({ ...beat, silence });
    }
    const heard = now - this.latency();
    while (this.coming.length && this.coming[0].at <= heard) {
      const beat = this.coming.shift();
      if (!beat.isPast) this.current = beat;
    }
    return this.current;
  }
}
