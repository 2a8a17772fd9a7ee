/* A rehearsal: sends what the person presses, draws what the server sends. Nothing of the model is in here.

   Messages come in frames, lists of: time (always first), welcome, state, rows, slack, heard, refused, notice,
   surprises, scored. */
"use strict";

const liveElement = (id) => document.getElementById(id);

class LiveLift {
  constructor() {
    this.settings = JSON.parse(liveElement("settings").textContent);
    this.desk = liveElement("desk");
    this.drawing = new LiftDrawing(liveElement("drawing"), this.settings.geometry);
    this.drawing.key = () => {}; // the keys are the caller's
    this.drawing.live = true;
    this.sound = new LiftSound(this.drawing);
    this.role = "";
    this.phase = "connecting";
    this.lost = false;
    this.unheard = []; // what was pressed last, and not answered
    this.calls = 0;
    this.clock = {time: 0, at: performance.now(), speed: 0};
    this.names = Object.fromEntries([...liveElement("seen-what").options].map((o) => [o.value, o.text]));
    this.state = {watchers: 0, seat_is_free: false};
    this.link = new LiveLink(this);
    this.keys = new LiveKeys(this, this.settings.lifters);
    this.link.connect();
    new ResizeObserver(() => this.fit()).observe(document.querySelector(".live-dock"));
    addEventListener("resize", () => this.fit());
    const frame = () => {
      this.show();
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }

  // --- the connection

  begin() {
    /* A new connection: all is sent again. */
    this.drawing.record = new LiftRecord(this.settings.geometry);
    this.calls = this.desk.dataset.rows = 0;
  }

  linked(is_up) {
    this.lost = !is_up;
    if (!is_up) this.clock = {time: this.now(), at: performance.now(), speed: 0};
    this.show_state();
  }

  unanswered(said) {
    this.unheard.push(said);
    put(liveElement("answer"), `No answer: ${this.unheard.join("; ")}. It is not carried out any later. Look at the load before you press again.`);
  }

  answered_late(said) {
    put(liveElement("answer"), `Heard in time after all, only the answer was late: ${said}.`);
  }

  hear(messages, fresh) {
    for (const message of messages) this.hear_one(message, fresh);
  }

  hear_one(message, fresh) {
    const {type} = message;
    if (type === "welcome") this.welcome(message);
    else if (type === "time" && fresh) this.set_clock(message);
    else if (type === "state") this.set_state(message);
    else if (type === "rows") this.add(message.rows, fresh);
    else if (type === "heard") this.link.answered(message.id, true);
    else if (type === "refused") this.refused(message);
    else if (type === "notice") LiveWords.notice(message);
    else if (type === "slack") this.say_slack(message.words);
    else if (type === "surprises") LiveWords.surprises(message, this.names);
    else if (type === "scored") LiveWords.afterwards(message);
  }

  refused({id, what, why}) {
    if (this.link.answered(id, false)) put(liveElement("answer"), `${what === "call" ? "Not heard" : "Not now"}: ${why}`);
  }

  welcome({role, seat}) {
    this.role = role;
    this.desk.dataset.role = role;
    if (seat) {
      const kept = ["localStorage", "sessionStorage"].map((store) => LiveKept.set(store, "liftcadence seat", seat));
      liveElement("not-kept").hidden = kept.every(Boolean);
    }
    document.body.dataset.level = role === "caller" ? this.settings.help : "numbers";
    this.show_state();
  }

  set_clock({time, speed}) {
    const off = time - this.now();
    const part = this.clock.speed !== speed || Math.abs(off) > 0.15 * Math.max(1, speed) ? 1 : 0.2; // small ones are smoothed out
    this.clock = {time: this.now() + part * off, at: performance.now(), speed};
  }

  now() {
    /* The time of the lift: no further than a beat that is missing lets one know. */
    const until = Math.min(performance.now(), (this.link.heard || 0) + LIVE_LINK.gone);
    return this.clock.time + (Math.max(0, until - this.clock.at) / 1000) * this.clock.speed;
  }

  // --- what goes on

  get is_over() {
    return this.phase === "over";
  }

  get shown() {
    return this.lost && !this.is_over ? "lost" : this.phase;
  }

  get can_call() {
    return this.role === "caller" && this.shown === "running";
  }

  set_state(state) {
    this.state = state;
    this.phase = state.phase;
    if (this.is_over) put(liveElement("answer"), "");
    this.show_state();
  }

  show_state() {
    const {shown} = this, calls = this.role === "caller", watches = this.role === "watcher";
    this.desk.dataset.phase = document.body.dataset.phase = shown;
    LiveWords.state(shown, this.state.watchers, this.role);
    const under_way = calls && ["running", "frozen", "ending", "away", "lost"].includes(shown);
    const hide = (id, hidden) => { liveElement(id).hidden = hidden; };
    hide("how", !(calls && shown === "ready"));
    hide("start", !(calls && shown === "ready"));
    hide("asked", shown === "over" || under_way);
    hide("calling", !under_way);
    hide("end", !under_way);
    hide("instructor", !watches);
    hide("seat", !(watches && this.state.seat_is_free && !["over", "lost"].includes(shown)));
    if (!this.can_call) this.keys.ask_no_more();
    LiveWords.asks(this.state);
    for (const button of document.querySelectorAll("#calling button, #end")) button.disabled = shown !== "running";
    for (const button of document.querySelectorAll("#seen button")) button.disabled = shown !== "frozen";
    for (const button of document.querySelectorAll("#bring-in button, #take-yes")) button.disabled = shown === "lost";
    document.body.classList.toggle("live-under-way", under_way);
    if (under_way !== this.under_way) this.fit((this.under_way = under_way));
    this.ask_what_was_seen(calls && shown === "frozen", calls && ["frozen", "away", "lost"].includes(shown));
  }

  say_slack(words) {
    const line = liveElement("slack"), was = !line.textContent;
    put(line, words);
    if (was !== !words) this.fit();
  }

  fit(begins) {
    /* Both views stay in sight above what is pressed, or beside it, whatever the screen. */
    const dock = document.querySelector(".live-dock"), {style} = document.documentElement;
    const is_beside = getComputedStyle(dock).position === "fixed" && dock.offsetWidth < window.innerWidth / 2;
    const below = this.under_way && !is_beside ? dock.offsetHeight : 0;
    style.setProperty("--dock", `${below}px`);
    style.setProperty("--desk", `${this.desk.offsetHeight}px`);
    if (begins) this.desk.scrollIntoView({block: "start", behavior: "instant"});
    const {element, stage} = this.drawing;
    const bar = document.querySelector(".bar").offsetHeight;
    const before = bar + this.desk.offsetHeight + this.drawing.caption.offsetHeight;
    const gaps = 2 * parseFloat(getComputedStyle(liveElement("main")).rowGap) + parseFloat(getComputedStyle(liveElement("picture")).paddingTop);
    this.drawing.room = this.under_way ? window.innerHeight - before - gaps - below : null;
    if (element.contains(stage)) this.drawing.layout();
  }

  ask_what_was_seen(asks, may_stay) {
    const seen = liveElement("seen");
    if (asks && !seen.open) {
      liveElement("seen-form").reset();
      seen.showModal();
    }
    if (!may_stay && seen.open) seen.close();
  }

  // --- what is drawn and heard

  add(rows, fresh) {
    this.drawing.add(rows);
    const lately = this.now() - 2 * Math.max(1, this.settings.speed);
    for (const row of rows) {
      const is_new = fresh && row.time_s >= lately; // not sent again, nor long under way
      if (row.who === "leader" && (row.what === "calls" || row.what === "levels" || row.what === "calls down")) {
        this.calls = row.call;
        if (is_new) put(liveElement("answer"), "");
      }
      if (row.aloud && is_new) {
        const {aloud, tone} = row;
        document.dispatchEvent(new CustomEvent("lc:said", {detail: {aloud, tone, speed: this.settings.speed}}));
      }
    }
    this.desk.dataset.calls = this.calls;
    this.desk.dataset.rows = Number(this.desk.dataset.rows || 0) + rows.length;
  }

  show() {
    if (!this.drawing.record.end && !this.now()) return;
    const {record} = this.drawing, time = this.now();
    record.end = Math.max(record.end, time);
    this.drawing.seek(time);
    this.desk.dataset.drawn = this.calls;
  }

  start() {
    if (this.settings.help === "voices" && !this.sound.on) this.sound.turn();
    this.keys.press("start", "Start");
  }
}

document.addEventListener("DOMContentLoaded", () => {
  window.liveLift = new LiveLift();
});
