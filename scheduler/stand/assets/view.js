// What is seen and said: the page's words, pictures and beat.

import { CHANGEOVER, COUNT_IN, PLAY, SETTLE } from "./beat.js";

const KIND_WORDS = {
  [CHANGEOVER]: "move to it", [COUNT_IN]: "count-in", [PLAY]: "play", [SETTLE]: "get ready",
};

export class View {
  constructor(page = document) {
    this.by = (id) => page.getElementById(id);
    this.beats = [...page.querySelectorAll("#beat i")];
    this.takeFigures(page);
    this.shown = null;
    this.cells = [];
    this.cell = -1;
  }

  /** Take the pictures of the items out of a page. */
  takeFigures(page) {
    this.figures = new Map();
    for (const each of page.getElementById("figures").content.querySelectorAll("[data-item]")) {
      this.figures.set(each.dataset.item, each);
    }
  }

  /** Which of the page's views is there: opening, playing, resting, over. */
  phase(name) {
    const isOver = name === "over";
    for (const id of ["where", "left"]) this.by(id).hidden = isOver;
    for (const each of ["opening", "playing", "resting", "over"]) this.by(each).hidden = each !== name;
    this.by("hands").hidden = name !== "playing";
  }

  text(id, words) {
    const at = this.by(id);
    if (at.textContent !== words) at.textContent = words;
  }

  /** Show an item: what it is, its picture and its tablature. */
  item(step, item, next) {
    this.text("what", item.words);
    this.text("stroke", item.stroke);
    this.text("key", `${item.key}, ${step.notes_per_beat} to a beat`);
    this.text("then", next ? `Next: ${next}` : "The last one.");
    this.toTop();
    if (this.shown === step.item) return;
    this.shown = step.item;
    const figure = this.figures.get(step.item)?.cloneNode(true);
    this.by("drawn").replaceChildren(...(figure ? [figure] : []));
    this.cells = figure ? [...figure.querySelectorAll(".tab pre")] : [];
    this.cell = -1;
  }

  /** The tablature from its beginning, also where an item is played once more. */
  toTop() {
    this.follow(-1);
    this.by("drawn").scrollTop = 0;
  }

  where(step, block, blocks) {
    const back = step.again_at === null ? `Block ${step.block} of ${blocks}` : "Once more";
    this.text("where", `${back}, ${step.number} of ${step.of}`);
    this.text("advice", block.advice);
    this.by("advice").hidden = !block.advice;
  }

  tempo(tempo) {
    this.text("bpm", String(tempo));
  }

  left(seconds) {
    const minutes = Math.max(0, Math.ceil(seconds / 60));
    this.text("left", `${minutes} min left`);
  }

  /** Show a beat, and follow it in the tablature. */
  beat(beat, isPaused) {
    const place = beat && !isPaused ? beat.number % this.beats.length : -1;
    this.beats.forEach((each, n) => each.classList.toggle("now", n === place));
    const isThrough = beat?.kind === PLAY && this.isThrough(beat);
    const words = isThrough ? "clean or sloppy?" : KIND_WORDS[beat?.kind] ?? "";
    this.text("kind", isPaused ? "paused" : words);
    const isWay = beat && beat.kind !== PLAY && !isPaused;
    this.text("count", isWay ? String(beat.beats - beat.number) : "");
    this.follow(beat?.kind === PLAY && !isPaused ? beat.number : -1);
  }

  /** Whether an item was played to its end when a beat sounds. */
  isThrough(beat) {
    return beat.number >= this.cells.length;
  }

  /** Whether a pass can be judged, and whether the way to it can be made shorter. */
  verdicts(canJudge, canBegin) {
    this.text("clean", canBegin ? "Begin now" : "Clean");
    this.disable("clean", !canJudge && !canBegin);
    this.disable("sloppy", !canJudge);
  }

  /** Let a button look as if it did nothing; it says why when it is touched. */
  disable(id, isSo) {
    const words = String(Boolean(isSo));
    if (this.by(id).ariaDisabled !== words) this.by(id).ariaDisabled = words;
  }

  follow(number) {
    if (number === this.cell) return;
    this.cells[this.cell]?.classList.remove("now");
    this.cell = number;
    const cell = this.cells[number];
    if (!cell) return;
    cell.classList.add("now");
    // Only the picture moves: the touches stay where the hand knows them.
    const drawn = this.by("drawn");
    const top = cell.offsetTop;
    if (top < drawn.scrollTop || top + cell.offsetHeight > drawn.scrollTop + drawn.clientHeight) {
      drawn.scrollTop = top;
    }
  }

  /** Say something, also to who hears the page. */
  say(words) {
    this.text("said", words);
  }

  paused(isPaused) {
    this.by("pause").setAttribute("aria-pressed", String(isPaused));
    this.text("pause", isPaused ? "Go on" : "Pause");
  }

  faults(isThere) {
    this.by("faults").classList.toggle("out", !isThere);
    for (const each of this.by("faults").children) each.disabled = !isThere;
  }

  kept(number, isSafe, why) {
    const words = number ? `${number} kept here` : "";
    this.text("kept", isSafe || !number ? words : `${words}, not safe`);
    this.by("kept").hidden = !number;
    this.text("trouble", why);
    this.by("trouble").hidden = !why;
  }

  /** Say what the stand didn't take, and why. */
  refused(number, why) {
    this.by("refused").hidden = !number;
    this.text("refused-words", `${number} not taken: ${why}.`);
  }

  summary([passes, clean]) {
    this.text("summary", `${passes} ${passes === 1 ? "pass" : "passes"}, ${clean} clean.`);
  }

  list(blocks, left) {
    const lines = blocks.map((block) => {
      const line = document.createElement("li");
      const items = left.get(block.number) ?? 0;
      line.value = block.number;
      line.textContent = `${block.words}: ${items ? `${items} left` : "done"}`;
      line.className = items ? "" : "done";
      return line;
    });
    this.by("list").replaceChildren(...lines);
  }
}
