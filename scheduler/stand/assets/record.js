// The record of what was played on this page, as `upneck import` takes it: the same however often
// it is given out.

import { timeOf } from "./ids.js";

export function recordOf(messages, { player_events: player }) {
  const events = messages.flatMap(eventsOf);
  const lines = [...player, ...events].map((event) => JSON.stringify(event)).join(",\n");
  return `{"format": "upneck record", "version": 3, "events": [\n${lines}\n]}\n`;
}

function eventsOf(message) {
  const { id, kind } = message;
  const event = { id, kind, at: atWords(timeOf(id), message.offset), entry: id };
  switch (kind) {
    case "pass":
      return [{
        ...event, item: message.item, notes: message.notes,
        tempo: message.tempo, notes_per_beat: message.notes_per_beat,
        clean: message.clean, errors: message.errors, fault: null, note: "",
      }];
    case "fault":
      return [{ ...event, target: message.target, fault: message.fault }];
    case "back":
      return [{ ...event, kind: "undo", target: message.target, redone: false }];
    default:
      return [];
  }
}

/** A time in ISO 8601 with its offset in minutes. */
export function atWords(ms, offset) {
  const local = new Date(ms + offset * 60000).toISOString().slice(0, 23);
  const away = Math.abs(offset);
  const two = (number) => String(Math.floor(number)).padStart(2, "0");
  return `${local}${offset < 0 ? "-" : "+"}${two(away / 60)}:${two(away % 60)}`;
}
