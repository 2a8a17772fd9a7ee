/* A card for each place: its gap, magnified, with figures and words; and one for each side: the drop at this instant. */
"use strict";

const LIFT_CARD = {width: 132, height: 104, edge: 16}; // of a magnified picture [px]; the load's edge is this far down

function liftElement(parent, tag, attributes, text) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) made.setAttribute(name, value);
  if (text !== undefined) made.textContent = text;
  parent.appendChild(made);
  return made;
}

class LiftMagnified {
  /* The load's edge, and what is below it, so many times the scale of the drawing. */
  constructor(card, geometry, room, scale) {
    const {width, height, edge} = LIFT_CARD;
    const most = (height - edge - 6) / room / scale;
    this.times = geometry.times.filter((n) => n <= most).pop() || 1;
    this.per_metre = this.times * scale;
    this.most = height - edge - 4;
    this.svg = liftShape(card, "svg", {viewBox: `0 0 ${width} ${height}`, class: "lift-magnified", "aria-hidden": "true"});
    liftShape(this.svg, "rect", {class: "lift-edge", x: 0, y: 0, width, height: edge});
    liftShape(this.svg, "text", {class: "lift-small", x: 6, y: 12}).textContent = "load";
    liftShape(this.svg, "text", {class: "lift-small lift-times", x: width - 6, y: 12}).textContent = `×${this.times}`;
  }

  down(metres) {
    /* How far down a length comes [px]; what is too large for the picture stops at its foot. */
    return Math.min(this.most, Math.max(0, metres) * this.per_metre);
  }

  limit(metres) {
    const y = LIFT_CARD.edge + metres * this.per_metre;
    if (y > LIFT_CARD.height - 2) return;
    liftShape(this.svg, "line", {class: "lift-limit", x1: 0, x2: LIFT_CARD.width, y1: y, y2: y});
    const below = y + 12 < LIFT_CARD.height; // else the word stands above its line
    const word = liftShape(this.svg, "text", {class: "lift-small lift-times", x: LIFT_CARD.width - 4, y: below ? y + 11 : y - 3});
    word.textContent = "limit";
  }
}

class LiftGapCard {
  constructor(parent, geometry, place) {
    this.geometry = geometry;
    this.place = place;
    const kinds = place.devices.map((device) => device.kind).join(" + ");
    this.root = liftElement(parent, "li", {class: `lift-card lift-${place.side} ${lift_part(place)}`});
    const head = liftElement(this.root, "h4");
    liftElement(head, "span", {class: "lift-number"}, place.number);
    liftElement(head, "span", {class: "lift-name", dir: "auto"}, place.name);
    liftElement(this.root, "p", {class: "lift-kind"}, place.lifter ? `${kinds}, on the lifter` : kinds);
    this.picture = liftElement(this.root, "div");
    this.figure = liftElement(this.root, "p", {class: "lift-figure"});
    this.words = liftElement(this.root, "p", {class: "lift-words"});
    this.who = liftElement(this.root, "p", {class: "lift-who"});
  }

  layout(scale) {
    const {width, height, edge} = LIFT_CARD;
    this.picture.replaceChildren();
    this.magnified = new LiftMagnified(this.picture, this.geometry, this.geometry.gap_room, scale);
    const {svg} = this.magnified;
    this.gap = liftShape(svg, "rect", {class: "lift-gap", x: 26, y: edge, width: 54, height: 0});
    this.block = liftShape(svg, "g", {class: "lift-block"});
    liftShape(this.block, "rect", {x: 26, y: 0, width: 54, height});
    for (let y = 12; y < height; y += 12) liftShape(this.block, "line", {x1: 26, x2: 80, y1: y, y2: y});
    this.magnified.limit(this.geometry.gap_limit);
    this.clip = liftShape(svg, "text", {class: "lift-small", x: 53, y: height - 8, "text-anchor": "middle"});
    this.root.dataset.perMetre = this.magnified.per_metre;
    this.root.dataset.times = this.magnified.times;
    svg.setAttribute("width", width);
    svg.setAttribute("height", height);
  }

  update(now, figures) {
    const down = this.magnified.down(now.gap);
    this.gap.setAttribute("height", down.toFixed(3));
    this.block.setAttribute("transform", `translate(0,${(LIFT_CARD.edge + down).toFixed(3)})`);
    this.clip.textContent = now.gap * this.magnified.per_metre > this.magnified.most ? "more than fits" : "";
    this.root.classList.toggle("lift-over", now.over);
    this.root.classList.toggle("lift-open", now.open);
    this.root.dataset.gapM = now.gap;
    put(this.figure, `${now.over ? "▲ " : ""}gap ${figures.up(now.gap)}`);
    this.root.classList.toggle("lift-made", !!now.made);
    put(this.words, [now.over ? "over the limit" : "", state_words(now)].filter(Boolean).join(" · "));
    const names = [...new Set(this.place.devices.map((device) => device.who))].filter((name) => name !== this.place.name);
    put(this.who, [names.map(apart).join(", "), now.doing].filter(Boolean).join(": "));
  }
}

class LiftDropCard {
  constructor(parent, geometry, n) {
    this.geometry = geometry;
    this.n = n;
    const side = geometry.sides[n];
    this.root = liftElement(parent, "li", {class: `lift-card lift-drop lift-${side.side} lift-lifts`});
    const head = liftElement(this.root, "h4");
    liftElement(head, "span", {class: "lift-name", dir: "auto"}, side.name);
    liftElement(this.root, "p", {class: "lift-kind"}, "how far its head would drop now, if the station holds");
    this.picture = liftElement(this.root, "div");
    this.lines = {pressure: liftElement(this.root, "p", {class: "lift-words"}),
      lifter: liftElement(this.root, "p", {class: "lift-words"})};
  }

  layout(scale) {
    const {width, height, edge} = LIFT_CARD;
    this.picture.replaceChildren();
    this.magnified = new LiftMagnified(this.picture, this.geometry, this.geometry.drop_room, scale);
    const {svg} = this.magnified;
    this.bars = {};
    for (const [loss, x] of [["pressure", 14], ["lifter", 62]]) {
      const bar = liftShape(svg, "rect", {class: `lift-fall lift-fall-${loss}`, x, y: edge, width: 38, height: 0});
      const foot = liftShape(svg, "line", {class: "lift-ghost", x1: x - 8, x2: x + 46, y1: edge, y2: edge});
      const letter = liftShape(svg, "text", {class: "lift-small", x: x + 19, "text-anchor": "middle"});
      letter.textContent = loss === "pressure" ? "P" : "L";
      this.bars[loss] = {bar, foot, letter};
    }
    this.magnified.limit(this.geometry.drop_limit);
    this.root.dataset.perMetre = this.magnified.per_metre;
    svg.setAttribute("width", width);
    svg.setAttribute("height", height);
  }

  update(falls, figures) {
    for (const [loss, words] of [["pressure", "P, pressure lost"], ["lifter", "L, lifter lost"]]) {
      const fall = falls[loss], {bar, foot, letter} = this.bars[loss];
      const down = this.magnified.down(fall ? fall.drop : 0), y = LIFT_CARD.edge + down;
      bar.setAttribute("height", down.toFixed(3));
      foot.setAttribute("y1", y.toFixed(3));
      foot.setAttribute("y2", y.toFixed(3));
      letter.setAttribute("y", Math.min(LIFT_CARD.height - 3, y + 13).toFixed(1));
      const over = fall && fall.over;
      put(this.lines[loss], `${over ? "▲ " : ""}${words}: ${fall_words(fall, figures)}${over ? ", over the limit" : ""}`);
      this.root.dataset[`${loss}M`] = fall ? fall.drop : "";
    }
  }
}

function fall_words(fall, figures) {
  if (!fall) return "not known";
  if (fall.drop <= figures.exact) return "no drop";
  return `${figures.up(fall.drop)} ${fall.onto ? `onto ${apart(fall.onto)}` : "to the start: nothing above it holds"}`;
}

function state_words(now) {
  if (now.open) return now.hands ? "○ open, hands in" : "○ open";
  if (now.made) return `◇ made on purpose${now.hands ? ", hands in" : ""}`;
  if (now.hands) return "◐ hands in";
  return now.caught ? "● caught" : "◐ not caught";
}

function apart(name) {
  /* A name in a sentence: one written from right to left does not turn the words around it. */
  return `\u2068${name}\u2069`;
}

function put(element, text) {
  if (element.textContent !== text) element.textContent = text;
}
