/* The grid: one field per place. Enter takes the value and goes on; nothing that the kernel says moves the cursor out of a field. */

class Grid {
  constructor(model, el) {
    this.root = h("div", { class: "restonb-grid", "data-lm-suppress-shortcuts": "true", role: "group", "aria-label": "readings" });
    el.append(this.root);
    for (const kind of ["keydown", "keyup", "keypress", "paste", "copy", "cut"]) {
      this.root.addEventListener(kind, (event) => event.stopPropagation());
    }
    this.queue = new Queue(model, (answer, message) => this.heard(answer, message), () => this.tell());
    this.fields = new Map();
    this.undoable = [];
    this.current = null;
    this.back = () => document.visibilityState === "visible" && this.page && !this.queue.waiting.size && this.open();
    document.addEventListener("visibilitychange", this.back);
    this.sizes = new ResizeObserver(() => this.page && this.arrange());
    this.sizes.observe(this.root);
    this.open();
  }

  /** Asks what stands; on which occasion, unless it is the first time. */
  open(occasion = this.head && this.head.occasion) {
    this.queue.send({ type: "open", occasion: occasion || null });
  }

  // -- what the kernel says

  heard(answer, message) {
    if (answer.for === "open" && answer.type === "page") this.show(answer);
    else if (!this.page) this.say(answer.why || "");
    else if (answer.for === "temperature") this.head.heardTemperature(answer);
    else if (answer.for === "photo") this.head.heardPhoto(answer);
    else if (answer.type === "bars") this.drawBars(answer);
    else if (answer.type === "taken") this.taken(answer, message);
    else if (answer.type === "struck") this.struck(answer);
    else if (answer.type === "refused") this.refused(answer, message);
  }

  taken(answer, message) {
    if (message) {
      this.drafts.taken(answer.position, message.typed);
      this.undoable.push({ seq: answer.seq, position: answer.position });
    }
    if (answer.occasion !== this.page.occasion) return;
    const field = this.fields.get(answer.position);
    field.stands(answer.cell, message ? message.typed : null);
    this.tally = answer.tally;
    const word = answer.cell.verdict ? `, ${answer.cell.verdict.word}` : "";
    const remark = answer.cell.remark ? `; ${answer.cell.remark}` : "";
    this.say(`${field.label}: ${answer.cell.echo}${word}${remark}`);
    this.drawSoon();
  }

  struck(answer) {
    this.undoable = this.undoable.filter((done) => done.seq !== answer.seq);
    this.fields.get(answer.position).stands(answer.cell, null);
    this.tally = answer.tally;
    this.say(`${answer.position}: struck out`);
    this.drawSoon();
  }

  refused(answer, message) {
    const field = this.fields.get(answer.position);
    if (field && answer.for === "enter") {
      field.refuse(answer.why, message && message.typed);
      /* Enter in the last place came before this answer, and found nothing open to lead to. */
      if (document.activeElement === this.count) field.focus();
    }
    this.say(`${answer.position || ""} not taken: ${answer.why}`, true);
  }

  // -- drawing

  show(page) {
    const again = this.page && this.page.occasion === page.occasion && this.fields.size === page.places.length;
    this.page = page;
    this.tally = page.tally;
    if (again) {
      for (const [name, field] of this.fields) field.stands(page.cells[name], null);
      this.tell();
      return;
    }
    const kept = this.head;
    this.drafts = new Drafts(`${page.store}/${page.occasion}`);
    this.head = new Head(page, (message, buffers) => this.queue.send(message, buffers), (word) => this.open(word));
    this.head.current = () => this.current && this.current.place.name;
    if (kept) {
      this.head.temperature.value = kept.temperature.value;
      this.head.warm.textContent = kept.warm.textContent;
      this.head.instrument = kept.instrument;
      this.head.items.querySelectorAll("select")[1].value = kept.instrument;
    }
    this.root.setAttribute("aria-label", `readings: ${page.what}`);
    this.fields = new Map(page.places.map((place) => [place.name, new Field(place, page, this)]));
    this.status = h("p", { class: "status", role: "status", "aria-live": "polite" });
    this.count = h("p", { class: "count", tabindex: -1 });
    this.strike = new Strike(this);
    this.area = h("div", { class: "area" });
    this.bars = h("figure", { class: "bars", hidden: true });
    this.root.replaceChildren(this.head.node, h("div", { class: "body" }, this.area, this.bars),
      h("footer", {}, this.status, this.count, this.strike.node));
    this.drawn = null;
    this.arrange();
    for (const [name, field] of this.fields) {
      field.stands(page.cells[name], null);
      const draft = this.drafts.kept[name];
      if (draft && draft !== page.cells[name].typed) field.bring(draft);
      else this.drafts.keep(name, "");
    }
    this.tell();
    this.drawSoon();
  }

  /** Puts the fields where they lie on the part, when the room for them has changed. */
  arrange() {
    const plan = arranged(this.page, this.area.clientWidth || this.root.clientWidth);
    const key = JSON.stringify([plan.as, plan.wide, plan.tall, plan.card]);
    if (key === this.drawn) return;
    this.drawn = key;
    const held = document.activeElement;
    const fields = [...this.fields.values()];
    this.area.className = `area ${plan.as}`;
    this.area.style.height = plan.as === "plan" ? `${plan.tall}px` : "";
    this.area.style.width = plan.as === "plan" ? `${plan.wide}px` : "";
    if (plan.as === "grid") this.area.replaceChildren(this.table());
    else if (plan.as === "plan") this.area.replaceChildren(outline(this.page.kind, plan), ...fields.map((f) => f.node));
    else this.area.replaceChildren(...fields.map((f) => f.node));
    fields.forEach((field, i) => field.put(plan.as === "plan" ? plan.spots[i] : null, plan.card));
    this.area.classList.toggle("long", plan.as === "list" && fields.length > 14);
    if (this.root.contains(held)) held.focus();
  }

  table() {
    const [rows, columns] = [this.page.rows, this.page.columns];
    const at = (row, column) => this.page.places.find((p) => p.row === row && p.column === column);
    const head = h("tr", {}, h("td"), ...columns.map((c) => h("th", { scope: "col" }, c)));
    const body = rows.map((row) => h("tr", {}, h("th", { scope: "row" }, row), ...columns.map((column) => {
      const place = at(row, column);
      return h("td", {}, place ? this.fields.get(place.name).node : null);
    })));
    return h("table", {}, h("thead", {}, head), h("tbody", {}, ...body));
  }

  drawSoon() {
    clearTimeout(this.soon);
    this.soon = setTimeout(() => {
      if (this.queue.entries) this.drawSoon();
      else if (this.page.places.length <= 40) this.queue.send({ type: "bars", occasion: this.page.occasion });
    }, 700);
  }

  drawBars(answer) {
    this.bars.hidden = !answer.svg;
    this.bars.innerHTML = answer.svg; /* drawn by restonb from numbers and escaped words */
    this.bars.setAttribute("role", "img");
    this.bars.setAttribute("aria-label", answer.alt);
  }

  // -- what a person does

  /** Sends what stands in a field; the field keeps it until it is taken. */
  enter(field, typed) {
    this.drafts.keep(field.place.name, typed);
    const { occasion, instrument, temperature } = this.head;
    this.queue.send({
      type: "enter", position: field.place.name, typed, occasion, instrument, temperature: temperature.value.trim(),
    });
    field.waits(typed);
    this.tell();
  }

  /** The next place in the order of measuring; after the last, the first that is still open. */
  next(field) {
    const all = [...this.fields.values()];
    const after = all[all.indexOf(field) + 1] || all.find((f) => f.open && f !== field);
    if (after) after.focus();
    else this.count.focus();
  }

  previous(field) {
    const all = [...this.fields.values()];
    const before = all[all.indexOf(field) - 1];
    if (before) before.focus();
  }

  /** A column goes down, a row across; all of it or, where it does not fit, nothing. */
  paste(field, text) {
    const lines = text.replace(/\s+$/, "").split(/\r?\n/).map((line) => line.split("\t"));
    const places = this.page.places;
    const many = this.page.columns.length > 1;
    const start = places.indexOf(field.place);
    const targets = [];
    lines.forEach((cells, down) => cells.forEach((cell, across) => {
      if (!cell.trim()) return;
      const row = this.page.rows[this.page.rows.indexOf(field.place.row) + down];
      const column = this.page.columns[this.page.columns.indexOf(field.place.column) + across];
      const place = many ? places.find((p) => p.row === row && p.column === column) : across ? null : places[start + down];
      targets.push([place, cell.trim()]);
    }));
    const lost = targets.filter(([place]) => !place).length;
    if (lost) {
      this.say(`${targets.length} values were pasted, and ${lost} of them have no place here: nothing was entered`, true);
      return;
    }
    for (const [place, cell] of targets) this.enter(this.fields.get(place.name), cell);
    if (targets.length) this.next(this.fields.get(targets[targets.length - 1][0].name));
  }

  /** Takes back the last reading that was taken here: it is struck out, and what stood before stands again. */
  undo() {
    const last = this.undoable.pop();
    if (!last) {
      this.say("nothing to undo: nothing was entered here since the sheet was opened");
      return;
    }
    this.queue.send({ type: "strike", seq: last.seq, why: "undone at once", occasion: this.page.occasion });
    this.fields.get(last.position).focus();
  }

  say(text, bad = false) {
    if (!this.status) this.root.replaceChildren(h("p", { class: "status", role: "status" }, text));
    else this.status.textContent = text;
    if (this.status) this.status.classList.toggle("bad", bad);
  }

  /** How far it is, and whether the kernel answers. */
  tell() {
    if (!this.page) return;
    const waiting = this.queue.lost ? 0 : this.queue.entries;
    const { measured, of, mean } = this.tally;
    const open = [...this.fields.values()].filter((field) => field.state === "bad").length;
    const parts = [`${measured} of ${of} measured, ${this.page.occasion}`];
    if (mean) parts.push(mean);
    if (open) parts.push(`${open} not taken: see the field${open > 1 ? "s" : ""} marked ✕`);
    if (waiting) parts.push(`${waiting} being written`);
    const trouble = this.queue.lost ? "The kernel has stopped. What is marked taken is kept; the rest waits here. Run the sheet again."
      : this.queue.late ? "The kernel is busy. What is not marked taken yet waits here." : "";
    this.count.textContent = parts.join(" · ") + (measured === of && !waiting && !open ? " · all taken" : "");
    this.root.classList.toggle("lost", Boolean(trouble));
    if (trouble) this.say(trouble, true);
    for (const field of this.fields.values()) field.lost(this.queue.lost);
  }

  close() {
    clearTimeout(this.soon);
    this.sizes.disconnect();
    document.removeEventListener("visibilitychange", this.back);
    this.queue.close();
  }
}

export default {
  render({ model, el }) {
    const grid = new Grid(model, el);
    return () => grid.close();
  },
};
