/* A joint was opened: which one, what that spoils, why, and then one button. */

class Opening {
  constructor(model, el) {
    this.root = h("div", { class: "restonb-grid opening", "data-lm-suppress-shortcuts": "true", role: "group", "aria-label": "a joint was opened" });
    el.append(this.root);
    for (const kind of ["keydown", "keyup", "keypress", "paste"]) this.root.addEventListener(kind, (event) => event.stopPropagation());
    this.queue = new Queue(model, (answer) => this.heard(answer), () => this.tell());
    this.queue.send({ type: "open" });
  }

  heard(answer) {
    if (answer.type === "page") this.show(answer);
    else if (answer.type === "told") this.told(answer.lines);
    else {
      this.say(answer.why || "", true);
      if (this.why) this.why.focus();
    }
  }

  show(page) {
    const open = this.details ? this.details.open : false;
    this.status = h("p", { class: "status", role: "status", "aria-live": "polite", tabindex: -1 });
    this.details = h("details", { open, ontoggle: () => this.details.open && this.ask() },
      h("summary", {}, h("h4", {}, "A joint was opened?")), page.joints.length ? this.form(page) : h("p", {}, "Every joint that this sheet relies on is apart already."), this.status);
    this.root.replaceChildren(this.details);
    if (page.entered) {
      this.say(page.entered);
      this.status.focus();
    }
  }

  form(page) {
    const joint = choice("which joint", page.joints, page.joints[0][0], () => this.ask());
    const what = choice("what was done", page.whats.map((word) => [word, word]), page.whats[0], () => this.ask());
    joint.node.classList.add("joint");
    [this.joint, this.what] = [joint.select, what.select];
    this.costs = h("div", { class: "costs", role: "status", "aria-live": "polite" });
    this.why = h("input", { type: "text", autocomplete: "off", id: named("why"), placeholder: "such as: shims to be changed" });
    this.why.addEventListener("keydown", (event) => {
      if (event.key === "Enter") this.enter();
    });
    this.button = h("button", { type: "button", onclick: () => this.enter() });
    return h("div", {}, h("div", { class: "items" }, joint.node, what.node), this.costs,
      h("div", { class: "pair" }, h("div", { class: "item" }, h("label", { for: this.why.id }, "why"), this.why), this.button));
  }

  /** What it would spoil is told before anything is entered. */
  ask() {
    if (!this.joint) return;
    this.button.textContent = `enter: ${this.what.value}`;
    this.queue.send({ type: "ask", joint: this.joint.value, what: this.what.value });
  }

  told(lines) {
    this.costs.replaceChildren(...lines.map((line) => h("p", {}, line)));
  }

  enter() {
    this.queue.send({ type: "disturb", joint: this.joint.value, what: this.what.value, why: this.why.value });
  }

  say(text, bad = false) {
    if (!this.status) this.root.replaceChildren(h("p", { class: "status", role: "status" }, text));
    else {
      this.status.textContent = text;
      this.status.classList.toggle("bad", bad);
    }
  }

  tell() {
    if (this.queue.lost) this.say("The kernel has stopped. What is entered is kept; run the sheet again.", true);
    else if (this.queue.late) this.say("The kernel is busy; this is not entered yet.", true);
  }
}

export default {
  render({ model, el }) {
    const opening = new Opening(model, el);
    return () => opening.queue.close();
  },
};
