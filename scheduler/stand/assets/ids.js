// Ids that sort in the order in which they were given out: UUIDs of version 7 (RFC 9562, 5.7 and
// 6.2, method 1), with getRandomValues, for randomUUID needs a secure context.

export class Ids {
  /**
   * @param {() => number} now milliseconds since 1970, by the clock that counts
   * @param {string} after an id given out before: the next ones sort after it, whatever the clock says
   */
  constructor(now, after = "") {
    this.now = now;
    this.ms = after ? timeOf(after) : 0;
    this.counter = after ? parseInt(after.slice(15, 18), 16) : 0;
  }

  next() {
    const now = Math.floor(this.now());
    if (now > this.ms) {
      this.ms = now;
      this.counter = randomBits(11);
    } else {
      this.counter += 1;
      if (this.counter > 0xfff) {
        this.ms += 1;
        this.counter = 0;
      }
    }
    return uuid7(this.ms, this.counter, crypto.getRandomValues(new Uint8Array(8)));
  }
}

function randomBits(bits) {
  return crypto.getRandomValues(new Uint16Array(1))[0] & ((1 << bits) - 1);
}

/** A UUID of version 7 from 48 bits of time, 12 bits and 8 bytes of which the first two bits go. */
export function uuid7(ms, twelve, eight) {
  const hex = (number, digits) => number.toString(16).padStart(digits, "0");
  const time = hex(ms, 12);
  const rest = [(eight[0] & 0x3f) | 0x80, ...eight.slice(1)].map((byte) => hex(byte, 2)).join("");
  return `${time.slice(0, 8)}-${time.slice(8)}-7${hex(twelve, 3)}-${rest.slice(0, 4)}-${rest.slice(4)}`;
}

/** The time in an id, in milliseconds since 1970. */
export function timeOf(id) {
  return parseInt(id.slice(0, 8) + id.slice(9, 13), 16);
}
