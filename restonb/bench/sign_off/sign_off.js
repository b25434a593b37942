/* Tightening in stages: one fastener after the other in the order of the plan, Enter when it is at its torque. */

class Signing {
  constructor(model, el) {
    this.root = h("div", { class: "restonb-grid signing", "data-lm-suppress-shortcuts": "true", role: "group", "aria-label": "joint" });
    el.append(this.root);
    this.root.addEventListener("keydown", (event) => this.key(event));
    for (const kind of ["keyup", "keypress", "paste"]) this.root.addEventListener(kind, (event) => event.stopPropagation());
    this.queue = new Queue(model, (answer) => this.heard(answer), () => this.tell());
    this.ticks = {};
    this.sure = {};
    this.queue.send({ type: "open" });
  }

  heard(answer) {
    if (answer.type === "page") this.show(answer);
    else if (answer.position && this.ticks[answer.position]) this.takeBack(answer);
    else this.say(answer.why || "", true);
    if (answer.type === "ask" && !answer.position) this.why.focus();
  }

  /** What was typed for a fastener is not a torque, or far from its plan: it is to be done once more, with the text still there. */
  takeBack(answer) {
    const tick = this.ticks[answer.position];
    if (answer.type === "ask") this.sure[answer.position] = answer.typed;
    this.ticks[answer.position] = { ...tick, stage: tick.stage - 1 };
    this.drafts.keep(answer.position, "");
    this.draw();
    const row = this.rows.find((each) => each.name === answer.position);
    if (row) {
      row.input.value = tick.torque;
      row.input.focus();
    }
    this.say(answer.why, true);
  }

  show(page) {
    const here = this.root.contains(document.activeElement);
    this.page = page;
    this.drafts = new Drafts(page.store);
    this.ticks = page.closed ? {} : { ...page.reached };
    this.again = false;
    const over = page.closed || page.state === "apart" || page.state === "dry-fitted";
    for (const [name, text] of Object.entries(this.drafts.kept)) {
      const tick = JSON.parse(text);
      if (over || tick.stage <= this.stageOf(name)) this.drafts.keep(name, "");
      else this.ticks[name] = tick;
    }
    this.steps = page.groups.flatMap((group) => group.stages.map((torque, n) => ({ group, stage: n + 1, torque })));
    this.steps.sort((a, b) => a.stage - b.stage);
    this.draw();
    if (here) this.toNext();
    if (page.entered) this.say(`${page.state}: entered as entry ${page.entered}`);
  }

  stageOf(name) {
    return this.ticks[name] ? this.ticks[name].stage : 0;
  }

  /** The first step that is not done, or null. */
  get step() {
    if (this.page.closed && !this.again) return null;
    return this.steps.find(({ group, stage }) => group.positions.some((name) => this.stageOf(name) < stage)) || null;
  }

  draw() {
    const { page } = this;
    this.root.setAttribute("aria-label", `joint: ${page.what}`);
    const kinds = { tightened: "inside", final: "inside", temporary: "too-close", "dry-fitted": "too-close" };
    const word = h("span", { class: `word ${kinds[page.state] || "not-measured"}` }, page.state);
    const since = [page.since && `since ${page.since}`, page.about].filter(Boolean).join("; ");
    this.status = h("p", { class: "status", role: "status", "aria-live": "polite", tabindex: -1 });
    this.root.replaceChildren(
      h("h4", {}, page.what, page.safety ? h("span", { class: "safety" }, "safety") : null),
      h("p", {}, word, ` ${since}`),
      page.parts.length ? h("p", { class: "limits" }, `not to be used twice: ${page.parts.join(", ")}`) : h("span", {}),
      this.remarks(), this.work(), this.status, this.states());
    this.tell();
  }

  /** What torques leave open stays in view; what was put right or accepted too, in plain type. */
  remarks() {
    const { remarks } = this.page;
    if (!remarks.length) return h("span", {});
    const open = remarks.some((remark) => remark.due);
    const accept = h("button", { type: "button", onclick: () => this.queue.send({ type: "accept", why: this.why.value }) }, "accept as it is");
    return h("div", {}, h("ul", { class: "remarks" }, ...remarks.map((remark) => h("li", { class: remark.due ? "due" : "" }, remark.text))),
      open ? accept : null);
  }

  /** The step at hand: the pattern, and one row for each fastener in its turn. */
  work() {
    const step = this.step;
    if (!step) {
      const check = this.page.closed && this.steps.length
        ? h("button", { type: "button", onclick: () => this.checkAgain() }, "check the torques") : null;
      return h("div", { class: "pair" }, h("p", {}, this.page.closed ? "every fastener is at its torque" : "no fastener is planned in joints.toml"), check);
    }
    const { group, stage, torque } = step;
    this.rows = group.order.map((name) => this.row(step, name));
    const next = group.order.find((name) => this.stageOf(name) < stage);
    const head = `${group.what} ${group.thread}: stage ${stage} of ${group.stages.length}` + (torque ? `, to ${torque}` : ", no torque planned");
    const source = `${group.ordered ? "In the order of the numbers" : "In any order"}. ${group.source ? `Source: ${group.source}` : "No source given"}.`;
    this.picture = h("div", { class: "picture" }, pattern(group, (name) => this.stageOf(name), next));
    return h("div", {}, h("p", { class: "step" }, head), this.wrenches(), h("div", { class: "body" }, this.picture,
      h("div", { class: "rows" }, ...this.rows.map((row) => row.node))), h("small", {}, source));
  }

  /** Which wrench it is: a failed check puts in doubt what was tightened with it. */
  wrenches() {
    const { wrenches, wrench } = this.page;
    if (!wrenches.length) return h("span", {});
    if (this.wrench === undefined) this.wrench = wrench;
    const select = h("select", { onchange: () => (this.wrench = select.value) }, h("option", { value: "" }, "not said"),
      ...wrenches.map((one) => h("option", { value: one.key }, `${one.key}: ${one.what}`)));
    select.value = this.wrench;
    return h("div", { class: "item" }, h("label", { for: (select.id = named("wrench")) }, "tightened with"), select);
  }

  row(step, name) {
    const { group, stage, torque } = step;
    const before = this.ticks[name] || {};
    const done = this.stageOf(name) >= stage;
    const turn = group.ordered ? `${group.order.indexOf(name) + 1}. ` : "";
    const label = group.positions.length > 1 ? `${turn}${/^\d+$/.test(name) ? `${group.what} ` : ""}${name}` : group.what;
    const input = h("input", { type: "text", autocomplete: "off", "aria-label": `${label}: torque`, value: done ? before.torque || torque : torque });
    const treatment = h("input", { type: "text", autocomplete: "off", "aria-label": `${label}: thread treatment`, placeholder: "thread treatment", value: before.treatment || group.treatment });
    const fresh = h("input", { type: "checkbox", "aria-label": `${label}: new fastener` });
    fresh.checked = before.new === undefined ? false : before.new;
    const node = h("div", { class: `fastener ${done ? "taken" : "empty"}` },
      h("span", { class: "name" }, label), input, treatment,
      h("label", { class: "fresh" }, fresh, group.once ? "new (used once only)" : "new"),
      h("button", { type: "button", "aria-label": `${label}: ${done ? "done; press to do it again" : "at its torque"}`, onclick: () => (done ? untick() : tick()) }, done ? "✓ done" : "at torque"));
    const tick = () => {
      const value = { stage, torque: input.value.trim(), treatment: treatment.value.trim(), new: fresh.checked };
      if (this.sure[name] === value.torque) value.sure = value.torque;
      this.ticks[name] = value;
      this.drafts.keep(name, JSON.stringify(value));
      this.went(step);
    };
    const untick = () => {
      this.ticks[name] = { ...this.ticks[name], stage: stage - 1 };
      this.drafts.keep(name, "");
      this.draw();
      this.toNext();
    };
    node.addEventListener("focusin", () => this.point(step, name, node));
    for (const field of [input, treatment]) {
      field.addEventListener("keydown", (event) => {
        if (event.key !== "Enter") return;
        event.preventDefault();
        tick();
      });
    }
    return { name, node, input };
  }

  point(step, name, node) {
    for (const row of this.rows) row.node.classList.toggle("current", row.node === node);
    this.picture.replaceChildren(pattern(step.group, (n) => this.stageOf(n), name));
  }

  /** After a tick: the next in turn; at the end of a step everything done so far is entered. */
  went(step) {
    const open = step.group.order.some((name) => this.stageOf(name) < step.stage);
    const finished = !this.step;
    this.draw();
    if (!open && (finished || !this.page.closed)) this.sign();
    this.toNext();
    if (open) this.say("kept in this page; it is entered when the stage is complete");
  }

  /** The cursor to the next fastener in turn; where none is left, to the status, where Enter does nothing. */
  toNext() {
    const { step } = this;
    const next = step && this.rows.find((row) => this.stageOf(row.name) < step.stage);
    if (next) next.input.focus();
    else this.status.focus();
    if (next) next.input.select();
  }

  sign() {
    const fasteners = Object.entries(this.ticks).map(([position, tick]) => ({ position, ...tick }));
    this.queue.send({ type: "sign", fasteners, wrench: this.wrench || "" });
  }

  checkAgain() {
    this.again = true;
    this.ticks = {};
    for (const [name, was] of Object.entries(this.page.reached)) {
      const group = this.page.groups.find((g) => g.positions.includes(name));
      if (group) this.ticks[name] = { ...was, stage: group.stages.length - 1, new: false };
    }
    for (const group of this.page.groups) {
      for (const name of group.positions) this.ticks[name] = this.ticks[name] || { stage: group.stages.length - 1 };
    }
    this.draw();
    this.rows[0].input.focus();
  }

  /** The other states. Temporary is one key: T. */
  states() {
    const field = (label, node) => h("div", { class: "item" }, h("label", { for: (node.id = named("state")) }, label), node);
    this.why = h("input", { type: "text", autocomplete: "off" });
    this.note = h("input", { type: "text", autocomplete: "off", placeholder: "such as: two screws only" });
    this.waiting = h("select", {}, h("option", { value: "" }, "nothing"), h("option", { value: "part" }, "a part"), h("option", { value: "cure" }, "curing"));
    this.until = h("input", { type: "date" });
    const button = (state) => h("button", { type: "button", onclick: () => this.state(state) }, state === "temporary" ? "temporary (T)" : state);
    const able = ["temporary", "dry-fitted", "apart", ...(this.page.state === "tightened" ? ["final"] : [])];
    return h("div", { class: "tools" }, h("div", { class: "pair" }, ...able.map(button)),
      h("details", {}, h("summary", {}, "why, a label, what it waits for"), h("div", { class: "items" }, field("why", this.why),
        field("label", this.note), field("waits for", this.waiting), field("until", this.until))));
  }

  state(state) {
    this.queue.send({
      type: "state", state, why: this.why.value, label: this.note.value, waiting: this.waiting.value, until: this.until.value,
    });
  }

  key(event) {
    event.stopPropagation();
    const typing = event.target.matches("input[type=text], input[type=date], select");
    const numbers = event.target.closest(".fastener") && event.target.matches("input[type=text]");
    const alone = !event.ctrlKey && !event.metaKey && !event.altKey;
    if (event.key.toLowerCase() !== "t" || !alone || (typing && !numbers)) return;
    if (numbers && event.target.getAttribute("aria-label").endsWith("treatment")) return;
    event.preventDefault();
    this.state("temporary");
  }

  say(text, bad = false) {
    if (!this.status) this.root.replaceChildren(h("p", { class: "status", role: "status" }, text));
    else {
      this.status.textContent = text;
      this.status.classList.toggle("bad", bad);
      if (bad && this.why) this.why.closest("details").open = true;
    }
  }

  tell() {
    if (this.queue.lost) this.say("The kernel has stopped. What is entered is kept; run the sheet again.", true);
    else if (this.queue.late) this.say("The kernel is busy; this is not entered yet.", true);
  }
}

export default {
  render({ model, el }) {
    const signing = new Signing(model, el);
    return () => signing.queue.close();
  },
};
