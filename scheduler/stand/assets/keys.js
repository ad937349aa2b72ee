// Keys and what they mean, the same as those of `upneck play`. Page-turner pedals are keyboards
// that send arrows, page keys, space or enter; a pedal that is held repeats its key.

export const CLEAN = "clean", SLOPPY = "sloppy";

const MEANINGS = {
  " ": [CLEAN], Enter: [CLEAN], ArrowRight: [CLEAN], PageDown: [CLEAN],
  ArrowLeft: [SLOPPY], PageUp: [SLOPPY], Backspace: [SLOPPY],
  ArrowUp: ["tempo", 1], ArrowDown: ["tempo", -1],
  r: ["fault", "ringing"], s: ["fault", "sync"], n: ["fault", "notes"],
  u: ["back"], p: ["pause"],
};

/** What a key means: a word and what goes with it; null if nothing. */
export function meaningOf(key) {
  if (/^[1-9]$/.test(key)) return [SLOPPY, Number(key)];
  return MEANINGS[key] ?? null;
}

/** Lets one verdict through where a pedal is held. */
export class Debouncer {
  constructor(seconds) {
    this.seconds = seconds;
    this.last = ["", -Infinity];
  }

  letsThrough(key, now) {
    const [word] = meaningOf(key) ?? [""];
    const isVerdict = word === CLEAN || word === SLOPPY;
    const isHeld = isVerdict && key === this.last[0] && now - this.last[1] < this.seconds;
    this.last = [key, now];
    return !isHeld;
  }
}
