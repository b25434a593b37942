/* The head of the grid: what is measured, on which occasion, with what, how warm; and a photograph. */

const PIECE = 1 << 20;

class Head {
  /** `ask` sends a message; `reopen` shows another occasion. */
  constructor(page, ask, reopen) {
    this.ask = ask;
    this.page = page;
    this.occasion = page.occasion;
    this.instrument = page.instrument;
    const occasions = [...page.occasions.map((word) => [word, word]), ["", "other ..."]];
    const occasion = choice("occasion", occasions, page.occasion, (word) => (word ? reopen(word) : this.other(reopen)));
    const instrument = choice("instrument", page.instruments, page.instrument, (key) => (this.instrument = key));
    this.items = h("div", { class: "items" }, occasion.node, instrument.node, this.warmth(), this.camera());
    const safety = page.safety ? h("span", { class: "safety" }, "safety") : null;
    this.node = h("header", {}, h("h4", {}, page.what, safety), h("p", { class: "limits" }, page.limits), this.items);
  }

  warmth() {
    const [id, said] = [named("warmth"), named("said")];
    this.temperature = h("input", {
      id, type: "text", inputmode: "decimal", autocomplete: "off", placeholder: "°C", "aria-describedby": said,
      onchange: () => this.ask({ type: "temperature", typed: this.temperature.value }),
      onkeydown: (event) => event.key === "Enter" && this.ask({ type: "temperature", typed: this.temperature.value }),
    });
    this.warm = h("small", { id: said });
    return h("div", { class: "item narrow" }, h("label", { for: id }, "part is at"), this.temperature, this.warm);
  }

  /** What the temperature was read as, or why it cannot be. */
  heardTemperature(answer) {
    const bad = answer.type === "refused";
    this.temperature.setAttribute("aria-invalid", bad);
    this.warm.textContent = bad ? answer.why : answer.echo;
  }

  camera() {
    const from = (text, capture) => {
      const input = h("input", {
        type: "file", accept: "image/*", capture: capture ? "environment" : null, class: "hidden", tabindex: -1,
        "aria-hidden": "true", onchange: () => input.files[0] && this.send(input),
      });
      const button = h("button", { type: "button", onclick: () => input.click() }, text);
      return [button, input];
    };
    this.sent = h("small", { role: "status" });
    return h("div", { class: "item" }, h("span", { class: "label" }, "photo"),
      h("div", { class: "pair" }, ...from("camera", true), ...from("file", false)), this.sent);
  }

  /** Sends a photograph in pieces, each after the one before was answered: a socket takes no more at once. */
  async send(input) {
    const file = input.files[0];
    const bytes = await file.arrayBuffer();
    const pieces = Math.max(1, Math.ceil(bytes.byteLength / PIECE));
    this.next = (part) => {
      this.sent.textContent = `sending ${Math.round((100 * part) / pieces)} %`;
      const buffer = new DataView(bytes.slice(part * PIECE, (part + 1) * PIECE));
      this.ask({ type: "photo", part, parts: pieces, name: file.name, position: this.where(), caption: this.caption() }, [buffer]);
    };
    this.next(0);
    input.value = "";
  }

  where() {
    const place = this.current && this.current();
    return place && place !== "once" ? place : null;
  }

  caption() {
    const place = this.where();
    return `${this.page.what}${place ? `, ${place}` : ""}, ${this.occasion}`;
  }

  heardPhoto(answer) {
    if (answer.type === "part") {
      this.next(answer.part + 1);
      return;
    }
    if (answer.type === "refused") {
      this.sent.textContent = answer.why;
      return;
    }
    const text = `photo kept: ${answer.caption}`;
    this.sent.textContent = text;
    if (answer.picture) {
      this.sent.prepend(h("img", { src: `data:image/jpeg;base64,${answer.picture}`, alt: text }));
    }
  }

  /** An occasion in other words. */
  other(reopen) {
    const id = named("other");
    const input = h("input", { id, type: "text", autocomplete: "off", placeholder: "such as: after the second skim" });
    const use = () => input.value.trim() && reopen(input.value.trim());
    input.addEventListener("keydown", (event) => event.key === "Enter" && use());
    this.items.prepend(h("div", { class: "item" }, h("label", { for: id }, "other occasion"), input,
      h("button", { type: "button", onclick: use }, "use it")));
    input.focus();
  }
}
