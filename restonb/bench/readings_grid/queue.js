/* What was sent, from the key until the kernel has answered; and texts that are not taken yet, kept over a reload. */

class Queue {
  /** `heard(answer, message)` is called for every answer; `message` is undefined when another view asked. */
  constructor(model, heard, changed) {
    this.model = model;
    this.heard = heard;
    this.changed = changed;
    this.page = named("view");
    this.count = 0;
    this.waiting = new Map();
    this.lost = false;
    this.late = false;
    this.listener = (answer) => this.receive(answer);
    this.ended = () => this.lose();
    model.on("msg:custom", this.listener);
    model.on("comm_live_update", this.ended);
    model.on("comm:close", this.ended);
  }

  /** Sends at once, in the order of the keys. Every message has an id, and is answered by that id. */
  send(message, buffers = []) {
    const id = `${this.page}:${(this.count += 1)}`;
    this.waiting.set(id, { ...message, id, at: Date.now() });
    try {
      this.model.send({ ...message, id }, undefined, buffers);
    } catch (error) {
      this.lose();
    }
    this.watch();
    return id;
  }

  receive(answer) {
    const message = this.waiting.get(answer.id);
    this.waiting.delete(answer.id);
    this.late = false;
    this.lost = false;
    this.heard(answer, message);
    this.changed();
  }

  /** The kernel is gone: what it has not answered is not taken. */
  lose() {
    if (this.lost || !this.model) return;
    this.lost = true;
    this.changed();
  }

  /** Looks after a while whether something is still not answered, and says so. */
  watch() {
    if (this.timer || !this.waiting.size) return;
    this.timer = setTimeout(() => {
      this.timer = null;
      const oldest = Math.min(...[...this.waiting.values()].map((message) => message.at));
      this.late = this.waiting.size > 0 && Date.now() - oldest > 2500;
      this.changed();
      this.watch();
    }, 1000);
  }

  /** How many entries the kernel has still to answer. */
  get entries() {
    return [...this.waiting.values()].filter((message) => message.type === "enter").length;
  }

  close() {
    clearTimeout(this.timer);
    this.model.off("msg:custom", this.listener);
    this.model.off("comm_live_update", this.ended);
    this.model.off("comm:close", this.ended);
  }
}

/** Texts that were typed and are not taken, by place. They outlive a reload and a dead kernel in this browser. */
class Drafts {
  constructor(key) {
    this.key = `restonb not taken: ${key}`;
    try {
      this.kept = JSON.parse(localStorage.getItem(this.key) || "{}");
    } catch (error) {
      this.kept = {};
    }
  }

  keep(place, text) {
    if (text === this.kept[place]) return;
    if (text) this.kept[place] = text;
    else delete this.kept[place];
    try {
      if (Object.keys(this.kept).length) localStorage.setItem(this.key, JSON.stringify(this.kept));
      else localStorage.removeItem(this.key);
    } catch (error) {
      /* a browser that keeps nothing: the text still stands in its field */
    }
  }

  /** The text is on disk, unless another one was typed there since. */
  taken(place, text) {
    if (this.kept[place] === text) this.keep(place, "");
  }
}
