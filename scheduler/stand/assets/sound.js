// The clicks: short decaying sines, as in the click track.

import { CHANGEOVER, SETTLE } from "./beat.js";

/** Let a beat sound; how to silence it. */
export function click(context, beat, sounds) {
  if (beat.kind === CHANGEOVER && beat.number > 0) return () => {};
  const isSignal = beat.kind === CHANGEOVER;
  const name = isSignal ? "signal" : beat.isAccent ? "accent" : beat.kind === SETTLE ? "settle" : "beat";
  const seconds = isSignal ? sounds.signal_seconds : sounds.click_seconds;
  const decay = isSignal ? seconds / 3 : sounds.click_decay;
  const made = sounds[name].map((hertz, n) =>
    tone(context, hertz, beat.at + n * seconds, seconds, decay, sounds.peak));
  return () => made.forEach((each) => each.disconnect());
}

function tone(context, hertz, at, seconds, decay, peak) {
  const sine = new OscillatorNode(context, { frequency: hertz });
  const level = new GainNode(context, { gain: 0 });
  level.gain.setValueAtTime(peak, at);
  level.gain.setTargetAtTime(0, at, decay);
  sine.connect(level).connect(context.destination);
  sine.start(at);
  sine.stop(at + seconds);
  sine.onended = () => level.disconnect();
  return level;
}
