/* A rehearsal: sends what the person presses, draws what the server sends. Nothing of the model is in here.

   Messages come in frames, lists of: welcome, time, state, rows, refused, surprises, scored. */
"use strict";

class LiveLift {
  constructor() {
    this.settings = JSON.parse(document.getElementById("settings").textContent);
    this.desk = document.getElementById("desk");
    this.drawing = new LiftDrawing(document.getElementById("drawing"), this.settings.geometry);
    this.drawing.key = () => {}; // the keys are the caller's
    this.drawing.live = true;
    this.sound = new LiftSound(this.drawing);
    this.role = "";
    this.phase = "connecting";
    this.calls = 0;
    this.clock = {time: 0, at: performance.now(), speed: 0};
    this.names = Object.fromEntries([...document.getElementById("seen-what").options].map((o) => [o.value, o.text]));
    this.listen();
    this.connect();
    const frame = () => {
      this.show();
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }

  // --- the connection

  connect() {
    const asked = new URLSearchParams(location.search);
    const seat = localStorage.getItem("liftcadence seat");
    if (seat) asked.set("seat", seat);
    if (seat && sessionStorage.getItem("liftcadence seat") === seat) asked.set("again", "1");
    this.drawing.record = new LiftRecord(this.settings.geometry); // all is sent again
    this.silent = true;
    this.calls = this.desk.dataset.rows = 0;
    this.socket = new WebSocket(`ws://${location.host}/ws?${asked}`);
    this.socket.addEventListener("message", (event) => {
      for (const message of JSON.parse(event.data)) this.hear(message);
      this.silent = false;
    });
    this.socket.addEventListener("close", () => {
      if (this.phase === "over") return;
      this.clock = {time: this.now(), at: performance.now(), speed: 0};
      this.set_phase("lost", 0);
      setTimeout(() => this.connect(), 1000);
    });
  }

  send(message) {
    if (this.socket.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify(message));
  }

  hear(message) {
    if (message.type === "welcome") this.welcome(message);
    else if (message.type === "time") this.set_clock(message);
    else if (message.type === "state") this.set_phase(message.phase, message.watchers);
    else if (message.type === "rows") this.add(message.rows);
    else if (message.type === "refused") put(document.getElementById("answer"), `${this.said(message.what)}: ${message.why}`);
    else if (message.type === "surprises") LiveWords.surprises(message, this.names);
    else if (message.type === "scored") LiveWords.afterwards(message);
  }

  said(what) {
    return what === "call" ? "Not heard" : "Not now";
  }

  welcome({role, seat}) {
    this.role = role;
    this.desk.dataset.role = role;
    if (seat) {
      localStorage.setItem("liftcadence seat", seat);
      sessionStorage.setItem("liftcadence seat", seat);
    }
    document.body.dataset.level = role === "caller" ? this.settings.help : "numbers";
    document.getElementById("instructor").hidden = role !== "watcher";
  }

  set_clock({time, speed}) {
    const off = time - this.now();
    const part = this.clock.speed !== speed || Math.abs(off) > 0.15 * Math.max(1, speed) ? 1 : 0.2; // small ones are smoothed out
    this.clock = {time: this.now() + part * off, at: performance.now(), speed};
  }

  now() {
    return this.clock.time + ((performance.now() - this.clock.at) / 1000) * this.clock.speed;
  }

  set_phase(phase, watchers) {
    if (phase !== this.phase) put(document.getElementById("answer"), "");
    this.phase = phase;
    this.desk.dataset.phase = phase;
    LiveWords.state(phase, watchers, this.role);
    const calls = this.role === "caller";
    document.getElementById("how").hidden = !(calls && phase === "ready");
    document.getElementById("asked").hidden = phase === "over";
    document.getElementById("start").hidden = !(calls && phase === "ready");
    document.getElementById("calling").hidden = !(calls && ["running", "frozen", "ending", "lost"].includes(phase));
    for (const button of document.querySelectorAll("#calling button")) button.disabled = phase !== "running";
    const seen = document.getElementById("seen");
    if (calls && phase === "frozen" && !seen.open) {
      document.getElementById("seen-form").reset();
      seen.showModal();
    }
    if (phase !== "frozen" && seen.open) seen.close();
  }

  // --- what is drawn and heard

  add(rows) {
    this.drawing.add(rows);
    for (const row of rows) {
      if (row.who === "leader" && (row.what === "calls" || row.what === "levels")) {
        this.calls = row.call;
        put(document.getElementById("answer"), "");
      }
      if (row.aloud && !this.silent) {
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

  // --- what the person presses

  listen() {
    const on = (id, act) => document.getElementById(id).addEventListener("click", (event) => {
      act();
      if (event.detail) event.currentTarget.blur(); // a finger's press leaves the keys to the caller
    });
    on("call-all", () => this.call(""));
    on("start", () => this.start());
    on("stop", () => this.send({type: "stop"}));
    on("end", () => this.send({type: "end"}));
    for (const button of document.querySelectorAll("[data-call]")) {
      button.addEventListener("click", () => this.call(button.dataset.call));
    }
    document.getElementById("seen-form").addEventListener("submit", (event) => {
      event.preventDefault();
      const [what, where] = ["seen-what", "seen-where"].map((id) => document.getElementById(id).value);
      this.send({type: "seen", what, where});
    });
    document.getElementById("seen").addEventListener("cancel", (event) => event.preventDefault());
    document.getElementById("bring-in").addEventListener("submit", (event) => {
      event.preventDefault();
      const [kind, who] = ["surprise-kind", "surprise-who"].map((id) => document.getElementById(id).value);
      this.send({type: "surprise", kind, who});
    });
    for (const name of ["keydown", "keyup"]) addEventListener(name, (event) => this.key(event), true);
  }

  start() {
    if (this.settings.help === "voices" && !this.sound.on) this.sound.turn();
    this.send({type: "start"});
  }

  call(side) {
    if (this.phase !== "running" || this.role !== "caller") return;
    this.send({type: "call", side});
    const id = side ? `[data-call="${CSS.escape(side)}"]` : "#call-all";
    const button = document.querySelector(id);
    if (!button) return;
    button.classList.add("live-pressed");
    setTimeout(() => button.classList.remove("live-pressed"), 150);
  }

  key(event) {
    /* Space, or the key of a clicker: call. In the dialog, and in lists, keys are as everywhere. */
    if (this.role !== "caller" || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.target.closest && event.target.closest("select, input, dialog, a")) return;
    if (event.key === "Enter" && event.target.closest && event.target.closest("button")) return;
    const [first, second] = this.settings.lifters;
    const act = {
      running: {
        " ": () => this.call(""), PageDown: () => this.call(""), MediaPlayPause: () => this.call(""),
        ArrowLeft: () => second && this.call(first), ArrowRight: () => second && this.call(second),
        s: () => this.send({type: "stop"}), S: () => this.send({type: "stop"}),
        e: () => this.send({type: "end"}), E: () => this.send({type: "end"}),
      },
      ready: {Enter: () => this.start(), " ": () => this.start(), PageDown: () => this.start()},
    }[this.phase];
    if (!act || !act[event.key]) return;
    event.preventDefault();
    event.stopPropagation();
    if (event.type === "keydown" && !event.repeat) act[event.key]();
  }
}

document.addEventListener("DOMContentLoaded", () => {
  window.liveLift = new LiveLift();
});
