/* The pattern of a group of fasteners: where each sits, its turn, and how far it is. */

function pattern(group, stageOf, current) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const draw = (tag, attributes, text) => {
    const node = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
    if (text) node.textContent = text;
    svg.append(node);
  };
  const count = group.positions.length;
  const round = group.positions.map((_, n) => [Math.sin((2 * Math.PI * n) / count), Math.cos((2 * Math.PI * n) / count)]);
  const given = group.spots.length === count ? group.spots : round;
  const [xs, ys] = [given.map((s) => s[0]), given.map((s) => s[1])];
  const [left, top] = [Math.min(...xs), Math.max(...ys)];
  const scale = 240 / Math.max(Math.max(...xs) - left, top - Math.min(...ys), 1e-9);
  const at = given.map(([x, y]) => [30 + (x - left) * (count > 1 ? scale : 0), 30 + (top - y) * (count > 1 ? scale : 0)]);
  const [wide, tall] = [60 + Math.max(...at.map((a) => a[0])) - 30, 60 + Math.max(...at.map((a) => a[1])) - 30];
  svg.setAttribute("viewBox", `0 0 ${wide} ${tall}`);
  svg.setAttribute("style", `width:${wide}px;max-width:100%`);
  svg.setAttribute("aria-hidden", "true");
  svg.setAttribute("class", "pattern");
  const spot = (name) => at[group.positions.indexOf(name)];
  if (group.ordered) draw("polyline", { points: group.order.map((name) => spot(name).join(",")).join(" ") });
  for (const name of group.positions) {
    const [x, y] = spot(name);
    const stage = stageOf(name);
    const kind = stage >= group.stages.length ? "done" : stage > 0 ? "part" : "open";
    if (name === current) draw("circle", { cx: x, cy: y, r: 25, class: "here" });
    draw("circle", { cx: x, cy: y, r: 18, class: kind });
    draw("text", { x, y: y + 6, class: kind }, group.ordered ? String(group.order.indexOf(name) + 1) : "·");
  }
  return svg;
}
