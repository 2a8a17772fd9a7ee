/* The connection of a rehearsal's page: beats both ways, the server's clock, and what was pressed and is not answered yet.

   A page that hears no beat says so and draws no further. A press carries the time by which it has to arrive, by the
   server's clock; the server drops what comes later. That clock is reckoned from the newest message as if it had taken no
   time to come, so it is never ahead: a press may be dropped too early, never carried out too late. */
"use strict";

const LIVE_LINK = {gone: 1500, answer: 1000, by: 600, again: 3000, beat: 400, drift: 5}; // [ms]

const LiveKept = {
  /* What this browser remembers; where site data is blocked, for as long as the page is open. */
  here: new Map(),
  get(store, name) {
    try {
      return window[store].getItem(name);
    } catch {
      return this.here.get(store + name) || null;
    }
  },
  set(store, name, value) {
    try {
      window[store].setItem(name, value);
    } catch {
      this.here.set(store + name, value);
      return false;
    }
    return true;
  },
};

class LiveLink {
  /* `page` hears: hear(messages, fresh), linked(is_up), unanswered(said), answered_late(said); and says is_over. */
  constructor(page) {
    this.page = page;
    this.number = 0;
    this.pressed = new Map(); // number -> what was said, and when; not answered yet
    this.given_up = new Map(); // those that the page was told are not answered
    this.is_up = false;
    setInterval(() => this.look(), 200);
  }

  connect() {
    const asked = new URLSearchParams(location.search), seat = LiveKept.get("localStorage", "liftcadence seat");
    if (seat) asked.set("seat", seat);
    if (seat && LiveKept.get("sessionStorage", "liftcadence seat") === seat) asked.set("again", "1");
    if (this.socket) this.socket.close();
    this.ahead = null; // of performance.now(), the server's clock
    this.tried = this.beaten = performance.now();
    const socket = this.socket = new WebSocket(`ws://${location.host}/ws?${asked}`);
    this.page.begin();
    socket.addEventListener("message", (event) => {
      if (socket === this.socket) this.hear(JSON.parse(event.data));
    });
    socket.addEventListener("close", () => {
      if (socket !== this.socket) return;
      this.lose();
      this.tried = performance.now() - LIVE_LINK.again + 1000;
    });
  }

  hear(messages) {
    const now = performance.now(), at = 1000 * messages[0].at; // the time comes first
    this.ahead = this.ahead === null ? at - now : Math.max(at - now, this.ahead - LIVE_LINK.drift);
    const fresh = now + this.ahead - at < LIVE_LINK.gone;
    if (now - this.beaten > LIVE_LINK.beat && this.socket.readyState === WebSocket.OPEN) {
      this.beaten = now;
      this.socket.send('{"type":"beat"}');
    }
    if (fresh) this.heard = now;
    if (fresh && !this.is_up) this.page.linked((this.is_up = true));
    this.page.hear(messages, fresh);
  }

  look() {
    const now = performance.now();
    if (this.page.is_over) return;
    if (this.is_up && now - this.heard > LIVE_LINK.gone) this.lose();
    if (!this.is_up && now - this.tried > LIVE_LINK.again) this.connect();
    for (const [number, {said, when}] of this.pressed) if (now - when > LIVE_LINK.answer) this.give_up(number, said);
  }

  lose() {
    if (this.page.is_over) return;
    for (const [number, {said}] of this.pressed) this.give_up(number, said);
    if (this.is_up) this.tried = performance.now();
    this.page.linked((this.is_up = false));
  }

  press(message, said) {
    /* Send what was pressed; at once, or never. */
    if (!this.is_up || this.socket.readyState !== WebSocket.OPEN) {
      this.page.unanswered(said);
      return;
    }
    const now = performance.now(), id = ++this.number;
    this.pressed.set(id, {said, when: now});
    this.socket.send(JSON.stringify({...message, id, by: (now + this.ahead + LIVE_LINK.by) / 1000}));
  }

  give_up(number, said) {
    this.pressed.delete(number);
    this.given_up.set(number, said);
    this.page.unanswered(said);
  }

  answered(number, heard) {
    /* The server has carried it out, or said why not; whether the page still waited for that. */
    const said = this.given_up.get(number);
    if (heard && said) this.page.answered_late(said);
    this.given_up.delete(number);
    return this.pressed.delete(number);
  }
}
