/* The load from its right side, and from its end: SVG, both to one scale, turned and shifted as the record says. */
"use strict";

const LIFT_BARS = {
  us: [[0.0254, "1 in"], [0.1524, "6 in"], [0.3048, "1 ft"], [0.9144, "3 ft"], [1.524, "5 ft"], [3.048, "10 ft"], [9.144, "30 ft"]],
  si: [[0.02, "20 mm"], [0.1, "100 mm"], [0.5, "500 mm"], [1, "1000 mm"], [2, "2 m"], [5, "5 m"], [10, "10 m"]],
};
const LIFT_TAG = 21; // room for a numbered tag under the ground [px]

function liftShape(parent, tag, attributes) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes || {})) made.setAttribute(name, value);
  parent.appendChild(made);
  return made;
}

function liftSpread(wanted, low, high, apart) {
  /* Places as near as can be to those wanted, `apart` from each other, between low and high; wanted in rising order. */
  const groups = []; // of what stands side by side: its first place, summed, and how many
  wanted.forEach((place, n) => {
    groups.push([place - n * apart, 1]);
    while (groups.length > 1 && groups.at(-2)[0] / groups.at(-2)[1] > groups.at(-1)[0] / groups.at(-1)[1]) {
      const [total, count] = groups.pop();
      groups.at(-1)[0] += total;
      groups.at(-1)[1] += count;
    }
  });
  const most = high - (wanted.length - 1) * apart;
  return groups.flatMap(([total, count]) => Array(count).fill(total / count))
    .map((first, n) => Math.min(Math.max(first, low), most) + n * apart);
}

class LiftView {
  /* One view. `across` gives the coordinate that runs to the right on the screen: x from the side, -y from the end. */
  constructor(parent, geometry, which, label) {
    this.geometry = geometry;
    this.which = which;
    this.across = which === "side" ? (p) => p[0] : (p) => -p[1];
    this.svg = liftShape(parent, "svg", {class: `lift-view lift-view-${which}`, role: "img", "aria-label": label});
    this.label = label;
  }

  span() {
    const {x, y} = this.geometry.extent;
    return this.which === "side" ? [x[0], x[1]] : [-y[1], -y[0]];
  }

  rows_of_tags(width) {
    return Math.ceil((this.geometry.places.length * LIFT_TAG) / Math.max(LIFT_TAG, width - 16));
  }

  layout(scale, width, ground, height) {
    /* Draw all of it for a scale [px/m] and a size [px]; the ground's height is given so that both views stand level. */
    const [low, high] = this.span();
    this.scale = scale;
    this.width = width;
    this.ground = ground;
    this.left = (width - (high - low) * scale) / 2 - low * scale;
    this.svg.replaceChildren();
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.svg.setAttribute("width", width);
    this.svg.setAttribute("height", height);
    liftShape(this.svg, "line", {class: "lift-ground", x1: 4, x2: width - 4, y1: ground, y2: ground});
    if (this.which === "side" && this.geometry.motion === "hinged") this.draw_pivot();
    const names = this.which === "side" ? ["far", "near"] : ["end"];
    this.outlines = names.map((name) => [name, liftShape(this.svg, "polygon", {class: `lift-load lift-load-${name}`})]);
    this.ghosts = this.geometry.ghosts[this.which].map((ghost) => [...ghost, liftShape(this.svg, "polygon", {class: "lift-ghost"})]);
    this.places = this.geometry.places.map((place) => this.draw_place(place));
    for (const side of this.geometry.sides) {
      if (!this.geometry.places.some((place) => place.lifter && place.name === side.name)) {
        this.places.push(this.draw_place({...side, lifter: true, length: null, devices: [], number: null}));
      }
    }
    if (this.geometry.cg) {
      this.cg = liftShape(this.svg, "g", {class: "lift-cg"});
      liftShape(this.cg, "circle", {r: 6});
      liftShape(this.cg, "path", {d: "M0,-6 A6,6 0 0 1 6,0 L-6,0 A6,6 0 0 0 0,6 Z"});
    }
    this.draw_need();
    this.draw_tags();
    this.bar = liftShape(this.svg, "line", {class: "lift-bar", x1: 8, y1: 14, y2: 14});
    this.bar_text = liftShape(this.svg, "text", {class: "lift-small", y: 18});
  }

  show_bar(units) {
    /* A bar of a round length, so that a person can measure with it. */
    const [metres, text] = LIFT_BARS[units].filter(([length]) => length * this.scale < 130).pop() || LIFT_BARS[units][0];
    this.bar.setAttribute("x2", (8 + metres * this.scale).toFixed(2));
    this.bar_text.setAttribute("x", (14 + metres * this.scale).toFixed(2));
    put(this.bar_text, text);
  }

  draw_pivot() {
    const [x, y] = this.on_screen([0, 0, this.geometry.pivot_height]);
    const radius = this.geometry.pivot_height * this.scale;
    if (radius > 3) liftShape(this.svg, "circle", {class: "lift-wheel", cx: x, cy: y, r: radius});
    liftShape(this.svg, "path", {class: "lift-pivot", d: `M${x},${y} l-6,10 h12 Z`});
  }

  draw_place(place) {
    const group = liftShape(this.svg, "g", {class: `lift-place lift-${place.side} ${lift_part(place)}`});
    const [x, y] = this.on_screen(place.base);
    if (place.tie) {
      const [tx, ty] = this.on_screen(place.tie);
      liftShape(group, "line", {class: "lift-tie", x1: x, y1: y - 1, x2: tx, y2: ty - 1});
    }
    if (place.base[2] > 0.01) liftShape(group, "rect", {class: "lift-foot", x: x - 9, y, width: 18, height: this.ground - y});
    liftShape(group, "path", {class: "lift-foot", d: `M${x - 9},${y} h18 l-4,-4 h-10 Z`});
    const piled = place.devices.some((device) => device.alone);
    const pile = piled ? liftShape(group, "line", {class: "lift-pile"}) : null; // under the head, behind the strut
    const rod = liftShape(group, "line", {class: "lift-rod"});
    const tube = liftShape(group, "line", {class: place.lifter ? "lift-tube lift-ram" : "lift-tube"});
    const core = liftShape(group, "line", {class: "lift-core"}); // the right side is hollow
    const device = place.devices.length ? liftShape(group, "path", {class: "lift-device"}) : null;
    return {place, group, rod, tube, core, pile, device, first: place.devices[0]};
  }

  draw_need() {
    const need = this.geometry.need;
    const [x, y] = this.on_screen(need.at);
    const up = need.rise * this.scale;
    const end = this.which === "side" ? Math.min(this.width - 34, x + 40) : x + 26;
    liftShape(this.svg, "line", {class: "lift-target", x1: x - 14, x2: end, y1: y - up, y2: y - up});
    liftShape(this.svg, "line", {class: "lift-start", x1: x - 14, x2: end, y1: y, y2: y});
    this.point = liftShape(this.svg, "path", {class: "lift-point", d: "M-5,0 L0,-5 L5,0 L0,5 Z"});
  }

  draw_tags() {
    /* A numbered tag for each place, under the ground, each with a line to its foot; none overlaps another. */
    const rows = this.rows_of_tags(this.width);
    const sorted = this.geometry.places.map((place, n) => [this.on_screen(place.base)[0], n]).sort((a, b) => a[0] - b[0]);
    this.tags = [];
    for (let row = 0; row < rows; row += 1) {
      const own = sorted.filter((_, n) => n % rows === row);
      const at = liftSpread(own.map(([x]) => x), 12, this.width - 12, LIFT_TAG);
      own.forEach(([x, n], k) => {
        const y = this.ground + 22 + row * LIFT_TAG;
        liftShape(this.svg, "line", {class: "lift-lead", x1: x, y1: this.ground + 1, x2: at[k], y2: y - 9});
        const tag = liftShape(this.svg, "g", {class: "lift-tag", transform: `translate(${at[k]},${y})`});
        liftShape(tag, "circle", {r: 9});
        liftShape(tag, "path", {class: "lift-over-mark", d: "M0,-11 L11,9 H-11 Z"});
        liftShape(tag, "text", {y: 4}).textContent = this.geometry.places[n].number;
        this.tags[n] = tag;
      });
    }
  }

  on_screen(p) {
    return [this.left + this.across(p) * this.scale, this.ground - p[2] * this.scale];
  }

  moved(point, u) {
    /* Where a point of the load has been turned, or shifted, to. */
    const by = this.by(point, u), [x, y, z] = point.at, high = z + this.rise(point, u);
    if (this.geometry.motion === "straight") return [x, y, high];
    return [x * Math.cos(by) - (z - this.geometry.pivot_height) * Math.sin(by), y, high];
  }

  rise(point, u) {
    /* How far a point of the load has risen [m], to the last digit as sim/model/motion.py has it. */
    const by = this.by(point, u), [x, , z] = point.at;
    if (this.geometry.motion === "straight") return by;
    return x * Math.sin(by) - 2 * (z - this.geometry.pivot_height) * Math.sin(by / 2) ** 2;
  }

  by(point, u) {
    /* By how much: `w` is the point's part of each side's u. */
    return point.w.reduce((sum, weight, n) => sum + weight * u[n], 0);
  }

  polygon(points, u) {
    return points.map((point) => this.on_screen(this.moved(point, u)).map((c) => c.toFixed(2)).join(",")).join(" ");
  }

  update(state, loss) {
    for (const [name, shape] of this.outlines) shape.setAttribute("points", this.polygon(this.geometry.outlines[name], state.u));
    for (const [name, side, shape] of this.ghosts) {
      const u = this.ghost_u(state, loss, side);
      const outline = this.geometry.outlines[name];
      const seen = u && outline.some((point) => this.apart(point, u, state.u) > 0.8); // less would only smear the line [px]
      shape.setAttribute("points", seen ? this.polygon(outline, u) : "");
    }
    this.places.forEach((drawn, n) => this.update_place(drawn, state.places[n], state.u));
    this.tags.forEach((tag, n) => {
      tag.classList.toggle("lift-over", state.places[n].over);
      tag.classList.toggle("lift-open", state.places[n].open);
    });
    if (this.cg) this.cg.setAttribute("transform", this.translate(this.geometry.cg, state.u));
    this.point.setAttribute("transform", this.translate(this.geometry.need, state.u));
  }

  ghost_u(state, loss, side) {
    /* The sides' u if one of them had come down onto its stop. */
    const fall = loss ? state.falls[side][loss] : null;
    return fall ? state.u.map((u, k) => (k === side ? fall.u : u)) : null;
  }

  apart(point, u, other) {
    const [ax, ay] = this.on_screen(this.moved(point, u)), [bx, by] = this.on_screen(this.moved(point, other));
    return Math.hypot(ax - bx, ay - by);
  }

  translate(point, u) {
    const [x, y] = this.on_screen(this.moved(point, u));
    return `translate(${x.toFixed(3)},${y.toFixed(3)})`;
  }

  update_place(drawn, now, u) {
    const {place} = drawn;
    const [bx, by] = this.on_screen(place.base);
    const [hx, hy] = this.on_screen(this.moved(place.head, u));
    const length = Math.hypot(hx - bx, hy - by) || 1;
    const [ax, ay] = [(hx - bx) / length, (hy - by) / length];
    const start = this.start_length(place);
    const tube = start * (place.lifter ? 0.72 : 0.6);
    set_line(drawn.rod, bx + ax * tube * 0.9, by + ay * tube * 0.9, hx, hy);
    set_line(drawn.tube, bx, by, bx + ax * tube, by + ay * tube);
    set_line(drawn.core, bx, by, bx + ax * tube, by + ay * tube);
    if (!drawn.device) return;
    const gap = (now.gap / (place.length || 1)) * start;
    if (drawn.pile) set_line(drawn.pile, hx, this.ground, hx, Math.min(this.ground, hy + gap));
    const at = tube + (drawn.first.alone ? 0 : gap);
    drawn.device.setAttribute("d", LIFT_MARKS[drawn.first.kind] || LIFT_MARKS.collar);
    const turn = (Math.atan2(ay, ax) * 180) / Math.PI + 90;
    drawn.device.setAttribute("transform", `translate(${bx + ax * at},${by + ay * at}) rotate(${turn})`);
    drawn.group.classList.toggle("lift-over", now.over);
    drawn.group.classList.toggle("lift-open", now.open);
  }

  start_length(place) {
    const still = this.geometry.sides.map(() => 0);
    const [bx, by] = this.on_screen(place.base), [hx, hy] = this.on_screen(this.moved(place.head, still));
    return Math.hypot(hx - bx, hy - by);
  }
}

function lift_part(place) {
  /* What it is, which says its hue: its side has none. */
  return place.lifter ? "lift-lifts" : "lift-follows";
}

function set_line(line, x1, y1, x2, y2) {
  for (const [name, value] of Object.entries({x1, y1, x2, y2})) line.setAttribute(name, value.toFixed(2));
}

// A device's mark across its line, which points up: one shape for each kind.
const LIFT_MARKS = {
  collar: "M-8,-3 H8 V3 H-8 Z",
  pin: "M-9,0 H9 M-9,-3 V3 M9,-3 V3",
  chain: "M-7,0 A3.5,3 0 1 0 0,0 A3.5,3 0 1 0 7,0 A3.5,3 0 1 0 0,0 A3.5,3 0 1 0 -7,0",
  strap: "M-8,-4 L8,-4 L8,4 L-8,4 Z M-8,4 L8,-4",
  crib: "M-10,-3 H10 M-10,3 H10",
};
