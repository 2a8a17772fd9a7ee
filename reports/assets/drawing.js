/* The drawing in motion: the views and cards of one lift, and the controls that play it.

     const drawing = new LiftDrawing(element, geometry);   // geometry: reports/views/drawing.py, known before the first row
     drawing.add(rows);       // event rows, all at once or as they arrive
     drawing.seek(seconds);   // show one instant
     drawing.play(speed);     // 0.5, 1, 2; drawing.pause()

   On `document`: hears and says `lc:time` {time, source}; hears `lc:units` {units}, "us" or "si"; says `lc:said` {aloud, tone} and `lc:u` {u}, the mean of the sides. */
"use strict";

const LIFT_SPEEDS = [[0.5, "½×", "half speed"], [1, "1×", "full speed"], [2, "2×", "double speed"]];
const LIFT_STAND = 4; // for so long a long stand is watched, at the most [s]
const LIFT_KEYS = "Keys: space plays and pauses; left and right arrow step call by call; up and down arrow change the speed; Home and End.";

const LIFT_AROUND = 30 + 16 + 2 * LIFT_TAG + 24; // what a view needs besides the load: scale, ground, tags, its title [px]

class LiftDrawing {
  constructor(element, geometry) {
    this.element = element;
    this.geometry = geometry;
    this.record = new LiftRecord(geometry);
    this.time = 0;
    this.speed = 1;
    this.playing = null; // the frame under way
    this.room = null; // how high both views may be together, where that is set [px]
    this.figures = new LiftFigures(geometry, document.documentElement.dataset.units || geometry.units);
    this.calm = window.matchMedia("(prefers-reduced-motion: reduce)");
    this.build();
    this.listen();
    this.layout();
  }

  // --- what there is

  build() {
    this.element.replaceChildren();
    this.element.setAttribute("role", "group");
    this.element.setAttribute("aria-label", "The lift in motion");
    this.caption = liftElement(this.element, "p", {class: "lift-caption", "aria-live": "polite", dir: "auto"});
    this.answers = liftElement(this.element, "p", {class: "lift-answers", dir: "auto"});
    this.stage = liftElement(this.element, "div", {class: "lift-views", tabindex: "0", role: "group"});
    this.stage.setAttribute("aria-label", `The drawing. ${LIFT_KEYS}`);
    this.views = [["side", "Side view, from the right"], ["end", "End view, from the pivot: left is left"]].map(([which, title]) => {
      const text = which === "end" && this.geometry.motion === "straight" ? "End view, from behind: left is left" : title;
      const figure = liftElement(this.stage, "figure");
      liftElement(figure, "figcaption", {}, text);
      return new LiftView(figure, this.geometry, which, text);
    });
    const hues = "Blue: lifters. Orange: what follows them. Left solid, right hollow.";
    liftElement(this.element, "p", {class: "lift-note lift-hues"}, hues);
    this.status = liftElement(this.element, "p", {class: "lift-status"});
    this.build_controls();
    liftElement(this.element, "h3", {}, "Gaps at the stations, magnified");
    this.note = liftElement(this.element, "p", {class: "lift-note"});
    const cards = liftElement(this.element, "ul", {class: "lift-cards"});
    this.cards = this.geometry.places.map((place) => new LiftGapCard(cards, this.geometry, place));
    liftElement(this.element, "h3", {}, "If it let go at this instant");
    const drops = liftElement(this.element, "ul", {class: "lift-cards lift-drops"});
    this.drops = this.geometry.sides.map((_, n) => new LiftDropCard(drops, this.geometry, n));
  }

  build_controls() {
    const bar = liftElement(this.element, "div", {class: "lift-controls", role: "group", "aria-label": "Play the lift"});
    const button = (text, label, act) => {
      const made = liftElement(bar, "button", {type: "button", "aria-label": label, title: label}, text);
      made.addEventListener("click", act);
      return made;
    };
    this.play_button = button("Play", "play or pause", () => this.toggle());
    button("◂ call", "the call before", () => this.step(-1));
    button("call ▸", "the next call", () => this.step(1));
    this.speed_buttons = LIFT_SPEEDS.map(([speed, text, label]) => {
      const made = button(text, `${text} ${label}`, () => this.set_speed(speed));
      made.setAttribute("aria-pressed", String(speed === this.speed));
      return made;
    });
    for (const {label, time_s} of this.geometry.moments) button(label, `go to the ${label}`, () => this.seek(Math.max(0, time_s - 1e-5)));
    this.extra = bar; // sound.js puts its button here
    const ghost = liftElement(bar, "label", {class: "lift-pick"}, "dashed outline: ");
    this.ghost = liftElement(ghost, "select");
    for (const [value, text] of [["lifter", "if a lifter were lost"], ["pressure", "if its pressure were lost"], ["", "none"]]) {
      liftElement(this.ghost, "option", {value}, text);
    }
    this.ghost.addEventListener("change", () => this.show());
    this.slider = liftElement(this.element, "input", {
      type: "range", class: "lift-slider", min: "0", max: "0", step: "0.05", value: "0", "aria-label": "time of the lift, in seconds"});
    this.slider.addEventListener("input", () => this.seek(this.true_time(Number(this.slider.value))));
  }

  listen() {
    this.element.addEventListener("keydown", (event) => this.key(event));
    document.addEventListener("lc:time", (event) => {
      if (event.detail.source !== "drawing") this.go(Number(event.detail.time), false);
    });
    document.addEventListener("lc:units", (event) => {
      this.figures = new LiftFigures(this.geometry, event.detail.units);
      this.show();
    });
    if (window.ResizeObserver) new ResizeObserver(() => this.layout()).observe(this.element);
  }

  layout() {
    /* Both views to one scale, side by side where there is room; drawn in screen pixels, so that text keeps its size. */
    const width = Math.max(240, Math.floor(this.element.clientWidth || 640)), laid_out = `${width} ${this.room}`;
    if (laid_out === this.laid_out) return;
    this.laid_out = laid_out;
    const {z} = this.geometry.extent;
    const spans = this.views.map((view) => view.span()).map(([low, high]) => Math.max(0.2, high - low));
    const beside = width >= (!this.room ? 720 : this.room < width ? 320 : 480);
    const margin = 56, gutter = beside ? 16 : 0;
    const each = this.room && this.room / (beside ? 1 : 2) - LIFT_AROUND;
    const most_high = this.room ? Math.max(60, each) : Math.min(640, Math.max(220, 0.5 * window.innerHeight));
    const room = beside ? (width - 2 * margin - gutter) / (spans[0] + spans[1]) : (width - margin) / Math.max(...spans);
    const scale = Math.min(room, most_high / (z[1] - Math.min(0, z[0])));
    const spare = beside ? (width - gutter - (spans[0] + spans[1]) * scale) / 2 : 0;
    const widths = spans.map((span) => Math.floor(beside ? span * scale + spare : width));
    const rows = Math.max(...this.views.map((view, n) => view.rows_of_tags(widths[n])));
    const ground = Math.ceil(z[1] * scale) + 30;
    const below = Math.ceil(Math.max(0, -z[0]) * scale);
    this.views.forEach((view, n) => view.layout(scale, widths[n], ground, ground + below + 16 + rows * LIFT_TAG));
    for (const card of [...this.cards, ...this.drops]) card.layout(scale);
    this.element.dataset.scale = scale;
    this.show();
  }

  // --- what the record says

  add(rows) {
    this.record.add(rows);
    this.slider.max = this.shown_time(this.record.end).toFixed(2);
    this.calls = this.record.said.rows.filter((row) => row.tone === "call").map((row) => row.time_s);
    this.show();
  }

  seek(time) {
    this.go(time, true);
  }

  go(time, announce) {
    this.time = Math.min(this.record.end, Math.max(0, time || 0));
    this.show();
    if (announce) document.dispatchEvent(new CustomEvent("lc:time", {detail: {time: this.time, source: "drawing"}}));
  }

  show() {
    const state = this.record.at(this.time);
    for (const view of this.views) view.update(state, this.ghost.value);
    for (const view of this.views) view.show_bar(this.figures.units);
    this.cards.forEach((card, n) => card.update(state.places[n], this.figures));
    this.drops.forEach((card, n) => card.update(state.falls[n], this.figures));
    put(this.caption, state.said ? state.said.caption : "Ready.");
    const heard = this.record.crew.last(this.time) >= 0 && this.record.crew.row(this.time);
    put(this.answers, heard && this.time - heard.time_s < 3 ? heard.caption : "\u00a0");
    this.show_figures(state);
    const mean = state.u.reduce((sum, each) => sum + each, 0) / state.u.length;
    document.dispatchEvent(new CustomEvent("lc:u", {detail: {u: mean}}));
    this.slider.value = this.shown_time(this.time);
    this.slider.setAttribute("aria-valuetext", `${LiftFigures.time(this.time)}, call ${state.call}`);
  }

  show_figures(state) {
    const need = this.geometry.need;
    const rise = this.views[0].rise(need, state.u);
    const widest = state.places.reduce((most, place, n) => (place.gap > most[0] ? [place.gap, n] : most), [0, -1]);
    const made = widest[1] >= 0 && state.places[widest[1]].made ? ", made on purpose," : "";
    const where = widest[1] < 0 ? "" : `${made} at ${apart(this.geometry.places[widest[1]].name)}`;
    const whole = this.live ? "" : ` of ${LiftFigures.time(this.record.end)}`; // live, nobody knows how long it will be
    const text = `${LiftFigures.time(this.time)}${whole} · call ${state.call} · point risen `
      + `${this.figures.length(rise)} of ${this.figures.length(need.rise)} · widest gap now ${this.figures.up(widest[0])}${where}`;
    put(this.status, text);
    put(this.note, `The same scale for all, ×${this.cards.length ? this.cards[0].magnified.times : 1} that of the drawing. `
      + `The limit is ${this.geometry.gap_limit_said[this.figures.units]}; ▲ = over the limit${this.record.called_down.size ? ", which one that is made on the way down never is" : ""}. Gaps count from the first call on: before it slack is taken up.`);
    if (!this.playing) for (const view of this.views) view.svg.setAttribute("aria-label", `${view.label}. ${text}`);
    this.element.dataset.time = this.time;
    this.element.dataset.pointRiseM = rise;
  }

  // --- playing: a long stand, in which nothing happens, goes by as much faster as it is shown shorter

  shown_time(time) {
    return lc.pressedAt(time, this.geometry.stands);
  }

  true_time(shown) {
    return lc.trueTime(shown, this.geometry.stands);
  }

  toggle() {
    if (this.playing) this.pause(); else this.play(this.speed);
  }

  play(speed) {
    this.set_speed(speed || 1);
    if (this.playing) return;
    if (this.time >= this.record.end) this.seek(0);
    let last = null, exact = this.time;
    const frame = (now) => {
      if (Math.abs(exact - this.time) > 1e-9 && !this.calm.matches) exact = this.time; // somebody has moved it
      const from = exact;
      const stand = this.geometry.stands.find(([start, end]) => start <= exact && exact < end);
      const hurry = stand ? Math.max(1, stand[2] / LIFT_STAND) : 1;
      const passed = last === null ? 0 : Math.min(0.25, (now - last) / 1000) * this.speed * hurry;
      if (passed) exact = this.true_time(this.shown_time(exact) + passed);
      last = now;
      this.say_between(from, exact);
      const jump = this.calm.matches ? this.moment(exact) : exact;
      if (jump !== this.time) this.seek(jump);
      if (exact >= this.record.end) this.pause(); else this.playing = requestAnimationFrame(frame);
    };
    this.playing = requestAnimationFrame(frame);
    if (this.time === 0) this.say_between(-1, 0);
    put(this.play_button, "Pause");
  }

  pause() {
    cancelAnimationFrame(this.playing);
    this.playing = null;
    put(this.play_button, "Play");
    this.show();
  }

  moment(time) {
    /* Where a person asked for little motion: from one thing said to the next, nothing in between. */
    if (time >= this.record.end) return this.record.end;
    const {said, crew} = this.record;
    return Math.max(0, ...[said, crew].map((track) => (track.last(time) < 0 ? 0 : track.times[track.last(time)])));
  }

  say_between(from, to) {
    for (const track of [this.record.said, this.record.crew]) {
      for (let n = track.last(from) + 1; n <= track.last(to); n += 1) {
        const {aloud, tone} = track.rows[n];
        document.dispatchEvent(new CustomEvent("lc:said", {detail: {aloud, tone, speed: this.speed}}));
      }
    }
  }

  set_speed(speed) {
    this.speed = speed;
    this.speed_buttons.forEach((button, n) => button.setAttribute("aria-pressed", String(LIFT_SPEEDS[n][0] === speed)));
  }

  step(by) {
    const calls = this.calls || [];
    const next = by > 0 ? calls.find((time) => time > this.time + 1e-6) : calls.filter((time) => time < this.time - 1e-6).pop();
    this.seek(next === undefined ? (by > 0 ? this.record.end : 0) : next);
  }

  key(event) {
    const own = ["BUTTON", "SELECT", "INPUT"].includes(event.target.tagName);
    if (own || event.ctrlKey || event.altKey || event.metaKey) return;
    const at = LIFT_SPEEDS.findIndex(([speed]) => speed === this.speed);
    const faster = (by) => this.set_speed(LIFT_SPEEDS[Math.min(2, Math.max(0, at + by))][0]);
    const act = {
      " ": () => this.toggle(), ArrowLeft: () => this.step(-1), ArrowRight: () => this.step(1), ArrowUp: () => faster(1),
      ArrowDown: () => faster(-1), Home: () => this.seek(0), End: () => this.seek(this.record.end),
    }[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  }

  static async start(element) {
    /* A stored lift: its data stands in the page. */
    const data = await liftUnpacked(document.getElementById(element.dataset.lift).textContent);
    const drawing = new LiftDrawing(element, data.geometry);
    drawing.add(liftRows(data.falls));
    drawing.add(liftRows(data.rows));
    drawing.seek(0);
    new LiftSound(drawing);
    element.liftDrawing = drawing;
    element.dataset.ready = "yes";
  }
}

document.addEventListener("DOMContentLoaded", () => {
  for (const element of document.querySelectorAll(".lift-drawing[data-lift]")) {
    LiftDrawing.start(element).catch((wrong) => {
      console.error(wrong);
      liftElement(element, "p", {class: "lift-note"}, "The drawing does not move in this browser; it needs one of 2023 or later.");
    });
  }
});
