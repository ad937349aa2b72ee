// Sending what is kept, over and over until it is on disk, and asking where the session stands.

const SOME = 50, WAIT_MS = 1500, ASK_MS = 2500, TIMEOUT_MS = 10000;

export class Sending {
  /**
   * @param {Kept} kept
   * @param {object} told `state(state)`, `changed()`, `refused(message, why)`, `reach(isThere, why)`
   */
  constructor(kept, told) {
    this.kept = kept;
    this.told = told;
    this.isBusy = false;
    this.timer = 0;
  }

  begin() {
    window.addEventListener("online", () => this.soon(0));
    document.addEventListener("visibilitychange", () => document.hidden || this.soon(0));
    this.soon(0);
  }

  soon(ms) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.go(), ms);
  }

  /** Send what is kept, or ask; then again after a while. */
  async go() {
    if (this.isBusy) return;
    this.isBusy = true;
    let wait = ASK_MS;
    let state = null;
    try {
      this.kept.lookAgain();
      const messages = this.kept.messages.slice(0, SOME);
      state = messages.length ? await this.send(messages) : await this.ask();
      this.told.reach(true, "");
      if (this.kept.size) wait = 0;
    } catch (problem) {
      this.told.reach(false, problem.words ?? "");
      wait = WAIT_MS;
    } finally {
      this.isBusy = false;
      this.told.changed();
      this.soon(wait);
    }
    if (state && !this.kept.size) this.told.state(state);
  }

  async send(messages) {
    const body = JSON.stringify({ owner: this.kept.owners[0], messages });
    const answer = await fetched("/messages", {
      method: "POST", headers: { "content-type": "application/json" }, body,
    });
    const told = answer.status === 503 ? await answer.json() : await checked(answer);
    for (const { id, why } of told.results) {
      // What is refused isn't lost: it moves to where the player can give it out.
      if (why) this.told.refused(messages.find((message) => message.id === id), why);
      this.kept.forget(id);
    }
    if (told.problem) throw Object.assign(new Error(told.problem), { words: told.problem });
    return told.state;
  }

  async ask() {
    return checked(await fetched("/state"));
  }
}

const fetched = (path, how = {}) => fetch(path, { ...how, signal: AbortSignal.timeout(TIMEOUT_MS) });

/** What an answer says; an error with words where it is a refusal. */
async function checked(answer) {
  if (answer.ok) return answer.json();
  const words = answer.status === 403
    ? "Upneck was started again: open its new address; what you played is kept here"
    : await answer.text();
  throw Object.assign(new Error(words), { words });
}

/** The page as it is now, for a session that went on to what this page doesn't know. */
export async function pageNow() {
  const answer = await fetched("/session");
  if (!answer.ok) throw new Error(await answer.text());
  return new DOMParser().parseFromString(await answer.text(), "text/html");
}
