// The page, put together: from the touch or key to what is kept, and from the stand to the view.

import { Ids } from "./ids.js";
import { Kept, REFUSED } from "./kept.js";
import { CLEAN, Debouncer, meaningOf, SLOPPY } from "./keys.js";
import { Playing } from "./playing.js";
import { recordOf } from "./record.js";
import { pageNow, Sending } from "./sending.js";
import { View } from "./view.js";

const LOOK_MS = 100;
const root = document.documentElement;
const isFile = root.dataset.mode === "file";
root.classList.remove("unscripted");

const told = JSON.parse(document.getElementById("told").textContent);
const view = new View();
const kept = new Kept(told.owners);
// The stand's clock counts, where there is one: a phone's may be wrong.
let ahead = isFile ? 0 : told.state.now - Date.now();
const refused = new Kept(told.owners, REFUSED);
const ids = new Ids(() => Date.now() + ahead, kept.messages.at(-1)?.id);
const playing = new Playing(told, view, keep, ids);
const debouncer = new Debouncer(told.constants.held_seconds);
let trouble = "";

function keep(message) {
  kept.add({ ...message, offset: -new Date().getTimezoneOffset() });
  showKept();
  sending?.soon(0);
}

function showKept() {
  view.kept(isFile && kept.isSafe ? 0 : kept.size, kept.isSafe, trouble);
  const whys = new Set(refused.messages.map((message) => message.why));
  view.refused(refused.size, [...whys].join("; "));
  view.summary(passesHere());
  if (isFile) view.text("given", `${passes().length} ${passes().length === 1 ? "pass is" : "passes are"} kept on this device.`);
}

/** How many passes were played in this session, and how many of them clean. */
function passesHere() {
  const mine = passes().filter(({ session }) => session === told.session);
  const { passes: sent, clean } = isFile ? { passes: 0, clean: 0 } : playing.told.state;
  return [sent + mine.length, clean + mine.filter((pass) => pass.clean).length];
}

/** The passes that are kept and weren't taken back. */
function passes() {
  const gone = new Set(kept.messages.filter(({ kind }) => kind === "back").map(({ target }) => target));
  return kept.messages.filter(({ kind, id }) => kind === "pass" && !gone.has(id));
}

const sending = isFile ? null : new Sending(kept, {
  changed: showKept,
  refused(message, why) {
    refused.add({ ...message, why });
  },
  reach(isThere, why) {
    const outOfReach = "The computer can't be reached. Go on playing: it is kept here.";
    trouble = isThere ? "" : why || outOfReach;
    showKept();
  },
  state(state) {
    ahead = state.now - Date.now();
    if (!playing.adopt(state)) renew();
  },
});

/** Take up what this page doesn't know yet. */
async function renew() {
  const page = await pageNow();
  // What was played meanwhile comes first: the stand is asked once more after it.
  if (kept.size) return;
  const now = JSON.parse(page.getElementById("told").textContent);
  view.takeFigures(page);
  playing.told = now;
  playing.adopt(now.state);
}

// What is open over the page closes without a touch.
document.addEventListener("keydown", (event) => {
  const open = document.querySelectorAll("details[open]");
  if (event.key !== "Escape" || !open.length) return;
  for (const each of open) each.open = false;
  event.preventDefault();
});

const press = (word, what) => playing.press(word, what);
const on = (id, word, what) => view.by(id)?.addEventListener("click", (event) => {
  // A pedal that follows a touch isn't for the button that was touched.
  if (event.detail) event.currentTarget.blur();
  press(word, what);
});

on("begin", CLEAN);
on("clean", CLEAN);
on("sloppy", SLOPPY);
on("afterwards", CLEAN);
on("slower", "tempo", -1);
on("faster", "tempo", 1);
on("back", "back");
on("back-at-the-end", "back");
on("pause", "pause");
for (const fault of ["ringing", "sync", "notes"]) on(`fault-${fault}`, "fault", fault);
for (let errors = 1; errors <= 9; errors += 1) on(`errors-${errors}`, SLOPPY, errors);
view.by("speaks").addEventListener("change", (event) => {
  playing.speaks = event.currentTarget.checked;
});
view.by("speech").hidden = !("speechSynthesis" in window);
view.by("awake").hidden = "wakeLock" in navigator;

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const isControl = event.target.closest("button, summary, input, a, textarea");
  if (isControl && [" ", "Enter"].includes(event.key) && event.target.matches(":focus-visible")) return;
  if (event.target.closest("textarea, dialog")) return;
  const meaning = meaningOf(event.key);
  if (!meaning) return;
  event.preventDefault();
  if (debouncer.letsThrough(event.key, performance.now() / 1000)) press(...meaning);
});

function giveOut(from) {
  from.lookAgain();
  const text = recordOf(from.messages, told);
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  link.download = told.record_name;
  link.click();
  view.by("record").value = text;
  view.by("record").hidden = false;
}

for (const id of ["give", "give-at-the-end"]) view.by(id)?.addEventListener("click", () => giveOut(kept));
view.by("give-refused").addEventListener("click", () => giveOut(refused));
view.by("forget-refused").addEventListener("click", () => {
  for (const { id } of refused.messages) refused.forget(id);
  showKept();
});
window.addEventListener("beforeunload", (event) => {
  // Where nothing can be kept, closing the page loses what wasn't sent or given out.
  if (!kept.isSafe && kept.size) event.preventDefault();
});

async function stayAwake() {
  if (document.hidden || playing.phase !== "playing") return;
  // Not everywhere, and not on plain http: the screen may go dark then.
  await navigator.wakeLock?.request("screen").catch(() => {});
}

view.by("begin").addEventListener("click", stayAwake);
document.addEventListener("visibilitychange", stayAwake);
if (isFile) goOnFromKept();
const { place, steps } = playing.hands;
if (place) view.text("begin", `Go on: item ${place + 1} of ${steps.length}`);
view.list(...playing.blocksLeft());
view.phase(playing.hands.step ? "opening" : "over");
playing.phase = playing.hands.step ? "opening" : "over";
showKept();
sending?.begin();
setInterval(() => playing.look(), LOOK_MS);
(function frame() {
  playing.look();
  requestAnimationFrame(frame);
})();

/** A page without a stand goes on where it was left. */
function goOnFromKept() {
  const { hands } = playing;
  const mine = kept.messages.filter((message) => message.session === told.session || message.kind === "back");
  const gone = new Set(mine.filter((message) => message.kind === "back").map((message) => message.target));
  for (const message of mine) {
    const { step } = hands;
    if (message.kind === "tempo") {
      hands.blockTempos.set(message.block, message.tempo);
      if (step?.block === message.block) hands.tempo = message.tempo;
    }
    if (message.kind !== "pass" || gone.has(message.id)) continue;
    if (playing.last) playing.earlier.push(playing.last);
    playing.last = { id: message.id, clean: message.clean };
    playing.secondsLeft -= 60 * message.notes / (message.tempo * message.notes_per_beat) + told.constants.settle_seconds;
    if (step?.block !== message.block || step.item !== message.item) continue;
    hands.judge(message.clean);
    if (!hands.step && playing.secondsLeft > 0) hands.comeBack();
  }
  hands.traces = [];
}
