// What is kept in this browser until the stand says that it is on disk: each message by itself,
// so that two pages at once lose nothing of each other's.

const PREFIX = "upneck";
export const REFUSED = "upneck-refused";

export class Kept {
  /**
   * @param {string[]} owners the ids of the player whose record it is
   * @param {string} prefix what the names in the browser's storage begin with
   */
  constructor(owners, prefix = PREFIX) {
    this.owners = owners;
    this.prefix = prefix;
    this.storage = storageHere();
    this.here = new Map();
    this.isSafe = isWritable(this.storage);
    this.lookAgain();
  }

  /** Take up what another page of this browser kept meanwhile, or kept before it was closed. */
  lookAgain() {
    for (const [key, text] of this.stored()) {
      if (!this.here.has(key)) this.here.set(key, readable(text));
    }
    // What can't be read any more stays where it is, and isn't sent.
    for (const [key, message] of this.here) if (!message) this.here.delete(key);
  }

  *stored() {
    for (const key of this.storage ? Object.keys(this.storage).sort() : []) {
      const [prefix, owner, id] = key.split("/");
      if (prefix === this.prefix && id && this.owners.includes(owner)) yield [key, this.storage.getItem(key)];
    }
  }

  keyOf(id) {
    return `${this.prefix}/${this.owners[0]}/${id}`;
  }

  add(message) {
    const key = this.keyOf(message.id);
    this.here.set(key, message);
    try {
      this.storage?.setItem(key, JSON.stringify(message));
    } catch {
      this.isSafe = false;
    }
  }

  forget(id) {
    for (const owner of this.owners) {
      const key = `${this.prefix}/${owner}/${id}`;
      this.here.delete(key);
      this.storage?.removeItem(key);
    }
  }

  /** The messages in the order in which they were made. */
  get messages() {
    return [...this.here.entries()].sort(([a], [b]) => (idIn(a) < idIn(b) ? -1 : 1)).map(([, m]) => m);
  }

  get size() {
    return this.here.size;
  }
}

function readable(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

const idIn = (key) => key.split("/")[2];

function storageHere() {
  try {
    return window.localStorage;
  } catch {
    return null;
  }
}

function isWritable(storage) {
  try {
    storage.setItem(PREFIX, "");
    storage.removeItem(PREFIX);
    return true;
  } catch {
    return false;
  }
}
