/* One field, and the line in which a reading is struck out. */

class Field {
  constructor(place, page, grid) {
    this.place = place;
    this.grid = grid;
    this.label = place.name === "once" ? page.what : place.name;
    this.cell = { typed: "", seq: 0, echo: "", verdict: null, note: "" };
    this.state = "empty";
    this.pending = 0;
    const [id, said] = [named("field"), named("said")];
    const inGrid = page.kind === "grid" && page.columns.length > 1;
    this.input = h("input", {
      id, type: "text", inputmode: "decimal", autocomplete: "off", autocapitalize: "off", spellcheck: "false",
      enterkeyhint: "next", placeholder: page.unit, "aria-describedby": said, "aria-label": inGrid ? place.name : null,
      onfocus: () => this.focused(), onblur: () => this.node.classList.remove("current"),
      onmousedown: (event) => this.reached(event), oninput: () => this.typed(), onkeydown: (event) => this.key(event), onpaste: (event) => this.pasted(event),
    });
    this.echo = h("span", { class: "echo" });
    this.chip = h("span", { class: "verdict" });
    this.note = h("small", {});
    this.said = h("div", { class: "said", id: said }, this.echo, this.chip, this.note);
    this.node = h("div", { class: "field empty" },
      h("label", { for: id }, h("span", { class: "mark", "aria-hidden": "true" }), place.name === "once" ? "value" : place.name),
      this.input, this.said);
  }

  /** Nothing stands here, and nothing is on its way. */
  get open() {
    return this.state === "empty" || this.state === "bad" || this.state === "draft";
  }

  /** On its spot of a plan, on a card so wide; in the order of the page where there is no plan. */
  put(spot, card) {
    this.node.style.width = spot ? `${card}px` : "";
    this.node.style.left = spot ? `${spot.x - card / 2}px` : "";
    this.node.style.top = spot ? `${spot.y - CARD.tall / 2}px` : "";
  }

  focus() {
    this.input.focus({ preventScroll: true });
    this.input.select();
    this.node.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  /** A first click or touch chooses the whole text, so that a new value replaces it; a second one sets the cursor. */
  reached(event) {
    if (document.activeElement === this.input) return;
    event.preventDefault();
    this.focus();
  }

  focused() {
    this.grid.current = this;
    this.node.classList.add("current");
    this.grid.strike.about(this);
  }

  // -- the texts below the field

  be(state, echo, verdict, note) {
    this.state = state;
    this.node.className = `field ${state}${document.activeElement === this.input ? " current" : ""}`;
    this.input.setAttribute("aria-invalid", state === "bad");
    this.echo.textContent = echo;
    this.chip.replaceChildren(...(verdict ? [chip(verdict)] : []));
    this.note.textContent = note;
  }

  /** What the record says. A text that was typed since, or is still on its way, is left alone. */
  stands(cell, answered) {
    this.cell = cell;
    if (answered !== null) this.pending = Math.max(0, this.pending - 1);
    if (this.pending || ((this.state === "draft" || this.state === "bad") && answered === null)) return;
    if (this.state === "draft" && this.input.value.trim() !== answered) return;
    this.input.value = cell.typed;
    this.be(cell.seq ? "taken" : "empty", cell.echo, cell.verdict, cell.note);
    this.node.title = cell.about || "";
    if (document.activeElement === this.input) this.input.select();
  }

  waits(typed) {
    this.pending += 1;
    this.input.value = typed;
    this.be("waiting", "being written ...", null, "");
  }

  refuse(why, typed) {
    this.pending = Math.max(0, this.pending - 1);
    if (typed !== undefined && this.state !== "draft") this.input.value = typed;
    this.be("bad", "✕ not taken", null, why);
  }

  lost(gone) {
    if (gone && this.state === "waiting") {
      this.pending = 0;
      this.be("bad", "✕ perhaps not taken", null, "the kernel stopped before it answered; run the sheet again");
    }
  }

  /** A text that was typed before the page was opened anew. */
  bring(text) {
    this.input.value = text;
    this.be("draft", "not taken yet: Enter takes it", null, this.cell.echo ? `in force: ${this.cell.typed}` : "");
  }

  typed() {
    this.be("draft", "not taken yet: Enter takes it", null, this.cell.seq ? `in force: ${this.cell.typed}` : "");
    this.grid.drafts.keep(this.place.name, this.input.value.trim());
  }

  // -- keys

  /** Enters what was typed. A text that was not touched stands as it is; an emptied field gets its value back. */
  leave() {
    if (this.state !== "draft" && this.state !== "bad") return;
    const text = this.input.value.trim();
    if (text) this.grid.enter(this, text);
    else this.restore();
  }

  restore() {
    this.grid.drafts.keep(this.place.name, "");
    this.state = "empty";
    this.stands(this.cell, null);
  }

  key(event) {
    const { key, shiftKey } = event;
    if (event.isComposing) return;
    const control = event.ctrlKey || event.metaKey;
    const done = (act) => {
      event.preventDefault();
      act();
    };
    if (key === "Enter") done(() => this.go(() => (shiftKey ? this.grid.previous(this) : this.grid.next(this))));
    else if (key === "Tab") this.leave();
    else if (key === "Escape") done(() => this.restore());
    else if (control && key.toLowerCase() === "z" && this.state !== "draft") done(() => this.grid.undo());
    else if (control && (key === "Delete" || key === "Backspace")) done(() => this.grid.strike.ask());
    else if (key === "ArrowUp") done(() => this.step(0, 1));
    else if (key === "ArrowDown") done(() => this.step(0, -1));
    else if (key === "ArrowLeft" && this.edge(0)) done(() => this.step(-1, 0));
    else if (key === "ArrowRight" && this.edge(this.input.value.length)) done(() => this.step(1, 0));
  }

  /** Whether the cursor is where an arrow key would have nothing left to do, or the whole text is chosen. */
  edge(end) {
    const { selectionStart: from, selectionEnd: to, value } = this.input;
    return (from === end && to === end) || (from === 0 && to === value.length);
  }

  go(where) {
    this.leave();
    where();
  }

  step(across, up) {
    const place = neighbour(this.grid.page.places, this.place, across, up);
    this.go(() => place && this.grid.fields.get(place.name).focus());
  }

  pasted(event) {
    const text = event.clipboardData.getData("text/plain");
    if (!/[\t\r\n]./s.test(text.trim())) return;
    event.preventDefault();
    this.grid.paste(this, text);
  }
}

/** Striking out: the reading stays in the record with the reason, and counts no longer. */
class Strike {
  constructor(grid) {
    this.grid = grid;
    this.field = null;
    const id = named("why");
    this.why = h("input", {
      id, type: "text", autocomplete: "off", placeholder: "why it does not count",
      onkeydown: (event) => {
        if (event.key === "Enter") this.strike(this.why.value);
        else if (event.key === "Escape") this.shut(true);
      },
    });
    const ready = ["misread", "wrong place", "wrong instrument", "part not clean"];
    this.line = h("div", { class: "why", hidden: true }, h("label", { for: id }, "strike out, because"), this.why,
      h("button", { type: "button", onclick: () => this.strike(this.why.value) }, "strike it out"),
      ...ready.map((word) => h("button", { type: "button", class: "quiet", onclick: () => this.strike(word) }, word)),
      h("button", { type: "button", class: "quiet", onclick: () => this.shut(true) }, "leave it"));
    this.button = h("button", { type: "button", disabled: true, title: "Ctrl+Delete", onclick: () => this.ask() }, "strike out ...");
    const undo = h("button", { type: "button", title: "Ctrl+Z", onclick: () => grid.undo() }, "undo");
    this.keys = h("button", { type: "button", "aria-pressed": "false", onclick: () => this.letters() }, "letters on the keypad");
    this.node = h("div", { class: "tools" }, h("div", { class: "pair" }, undo, this.button, this.keys), this.line);
  }

  /** Follows the cursor: the button says which reading it would strike. */
  about(field) {
    this.field = field;
    this.button.disabled = !field.cell.seq;
    this.button.textContent = field.cell.seq ? `strike out ${field.label} ...` : "strike out ...";
  }

  ask() {
    if (!this.field || !this.field.cell.seq) {
      this.grid.say("this field is empty: there is nothing to strike out");
      return;
    }
    this.line.hidden = false;
    this.why.value = "";
    this.why.focus();
  }

  strike(why) {
    if (!why.trim()) {
      this.grid.say("say why it does not count, such as: misread", true);
      this.why.focus();
      return;
    }
    const { seq } = this.field.cell;
    this.grid.queue.send({ type: "strike", seq, why: why.trim(), occasion: this.grid.page.occasion });
    this.shut(true);
  }

  shut(back) {
    this.line.hidden = true;
    if (back && this.field) this.field.focus();
  }

  /** A tablet shows a keypad of digits until letters are wanted, for units. */
  letters() {
    const on = this.keys.getAttribute("aria-pressed") !== "true";
    this.keys.setAttribute("aria-pressed", on);
    for (const field of this.grid.fields.values()) field.input.inputMode = on ? "text" : "decimal";
  }
}
