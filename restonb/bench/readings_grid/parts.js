/* Small things that every part of the page uses. */

/** An element with attributes, listeners (on...) and children. Text is always text, never markup. */
function h(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) node.setAttribute(name, String(value));
  }
  node.append(...children.filter((child) => child !== null && child !== undefined));
  return node;
}

/** A name of its own for an element, so that a label and its field find each other in a page with many grids. */
const named = (() => {
  const page = Math.random().toString(36).slice(2, 8);
  let count = 0;
  return (word) => `restonb-${page}-${word}-${(count += 1)}`;
})();

/** A verdict in word and shape. */
function chip(verdict) {
  if (!verdict) return null;
  return h("span", { class: `word ${verdict.kind}` }, `${verdict.shape} ${verdict.word}`);
}

/** A choice of [value, text] pairs. */
function choice(label, options, chosen, onchange) {
  const id = named("choice");
  const select = h("select", { id, onchange: () => onchange(select.value) });
  for (const [value, text] of options) {
    select.append(h("option", { value, selected: value === chosen }, text));
  }
  return { node: h("div", { class: "item" }, h("label", { for: id }, label), select), select };
}
