/* Where the fields stand: as they lie on the part, or in a list where there is no room for that. */

const CARD = { wide: [176, 148], tall: 148, gap: 10 };

/** How the places are drawn: 'grid', 'plan' (feet, clock face) or 'list'; with a height and spots for a plan. */
function arranged(page, width) {
  if (page.kind === "grid" && page.columns.length > 1) {
    return page.columns.length * 132 + 110 <= width ? { as: "grid" } : { as: "list" };
  }
  if ((page.kind !== "feet" && page.kind !== "clock") || page.places.length > 16) return { as: "list" };
  const wide = Math.min(width, 820);
  for (const card of CARD.wide) {
    for (let tall = 2 * CARD.tall + 60; tall <= 700; tall += 20) {
      const spots = page.places.map((place) => spot(place, wide, tall, card));
      const clash = spots.some((a, i) => spots.slice(i + 1).some((b) => touching(a, b, card)));
      if (!clash) return { as: "plan", wide, tall, card, spots };
    }
  }
  return { as: "list" };
}

/** The middle of a card, for plan coordinates from -1 to 1. */
function spot(place, wide, tall, card) {
  const x = wide / 2 + (place.x * (wide - card)) / 2;
  const y = tall / 2 - (place.y * (tall - CARD.tall)) / 2;
  return { x, y };
}

function touching(a, b, card) {
  return Math.abs(a.x - b.x) < card + CARD.gap && Math.abs(a.y - b.y) < CARD.tall + CARD.gap;
}

/** The outline of the part behind the fields: a face for a clock, a base for feet. A reader hears the labels instead. */
function outline(kind, plan) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("class", "outline");
  svg.setAttribute("viewBox", `0 0 ${plan.wide} ${plan.tall}`);
  svg.setAttribute("aria-hidden", "true");
  const draw = (tag, attributes) => {
    const node = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
    svg.append(node);
  };
  const middle = { x: plan.wide / 2, y: plan.tall / 2 };
  if (kind === "clock") {
    const [rx, ry] = [(plan.wide - plan.card) / 2, (plan.tall - CARD.tall) / 2];
    draw("ellipse", { cx: middle.x, cy: middle.y, rx, ry });
    draw("circle", { cx: middle.x, cy: middle.y, r: 5 });
  } else {
    const across = plan.spots.map((s) => s.x);
    const down = plan.spots.map((s) => s.y);
    const [left, top] = [Math.min(...across), Math.min(...down)];
    const tall = Math.max(...down) - top;
    draw("rect", { x: left, y: tall ? top : top - 20, width: Math.max(...across) - left, height: tall || 40, rx: 10 });
  }
  for (const s of plan.spots) draw("line", { x1: middle.x, y1: middle.y, x2: s.x, y2: s.y });
  return svg;
}

/** The nearest place in a direction, by where they lie; null at the edge. */
function neighbour(places, from, across, up) {
  let best = null;
  for (const place of places) {
    const [dx, dy] = [place.x - from.x, place.y - from.y];
    const ahead = dx * across + dy * up;
    if (ahead <= 1e-9) continue;
    const aside = Math.abs(dx * up) + Math.abs(dy * across);
    const far = ahead + 2 * aside;
    if (!best || far < best.far) best = { place, far };
  }
  return best && best.place;
}
