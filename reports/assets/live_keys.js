/* What a person presses in a rehearsal: buttons under a thumb, keys, the key of a clicker; and what is asked once more. */
"use strict";

const LIVE_ASKED = 10_000, LIVE_BOUNCE = 500; // how long a question stays, and what is no second press [ms]

class LiveKeys {
  constructor(page, lifters) {
    this.page = page;
    this.lifters = lifters;
    this.listen();
  }

  press(type, said, more = {}) {
    put(liveElement("answer"), "");
    this.page.unheard = [];
    this.page.link.press({type, ...more}, said);
  }

  listen() {
    const on = (id, act) => liveElement(id).addEventListener("click", (event) => {
      act();
      if (event.detail) document.activeElement.blur(); // a finger's press leaves the keys to the caller
    });
    on("call-all", () => this.call(""));
    on("start", () => this.page.start());
    on("stop", () => this.stop());
    on("end", () => this.ask_end());
    on("end-yes", () => this.end());
    on("end-no", () => this.ask_no_more());
    on("take", () => liveElement("take-asked").showModal());
    on("take-yes", () => this.take());
    on("take-no", () => liveElement("take-asked").close());
    for (const button of document.querySelectorAll("[data-call]")) on(button.id, () => this.call(button.dataset.call));
    const chosen = (...ids) => ids.map((id) => liveElement(id).value);
    const sends = (id, type, said, names, ids) => liveElement(id).addEventListener("submit", (event) => {
      event.preventDefault();
      this.press(type, said, Object.fromEntries(chosen(...ids).map((value, n) => [names[n], value])));
    });
    sends("seen-form", "seen", "Go on", ["what", "where"], ["seen-what", "seen-where"]);
    sends("bring-in", "surprise", "the surprise", ["kind", "who"], ["surprise-kind", "surprise-who"]);
    liveElement("seen").addEventListener("cancel", (event) => event.preventDefault());
    for (const name of ["keydown", "keyup"]) addEventListener(name, (event) => this.key(event), true);
  }

  call(side) {
    if (!this.page.can_call) return;
    this.ask_no_more();
    this.press("call", side ? `Call, ${side} only` : "Call", {side});
    const button = side ? document.querySelector(`[data-call="${CSS.escape(side)}"]`) : liveElement("call-all");
    if (!button) return;
    button.classList.add("live-pressed");
    setTimeout(() => button.classList.remove("live-pressed"), 150);
  }

  stop() {
    this.ask_no_more();
    this.press("stop", "Stop");
  }

  ask_end() {
    /* Ending is asked once more, apart from what is pressed all the time; E once more says yes. */
    const panel = liveElement("end-asked");
    if (!this.page.can_call) return;
    if (!panel.hidden) return this.end();
    panel.hidden = false;
    this.asked = performance.now();
    liveElement("end-no").focus();
    clearTimeout(this.waits);
    this.waits = setTimeout(() => this.ask_no_more(), LIVE_ASKED);
  }

  ask_no_more() {
    const panel = liveElement("end-asked");
    if (panel.contains(document.activeElement)) document.activeElement.blur();
    panel.hidden = true;
  }

  end() {
    if (performance.now() - this.asked < LIVE_BOUNCE) return;
    this.ask_no_more();
    this.press("end", "End the lift");
  }

  take() {
    liveElement("take-asked").close();
    this.press("take", "Take the caller's seat");
  }

  key(event) {
    /* Space, or the key of a clicker: call. A button that has the focus is what Space and Enter press; in the dialog, and
       in lists, keys are as everywhere. */
    if (this.page.role !== "caller" || event.ctrlKey || event.altKey || event.metaKey) return;
    const within = (what) => event.target.closest && event.target.closest(what);
    const button = within("button, summary, [role=button]");
    if (within("select, input, dialog, a")) return;
    if (button && button.id !== "call-all" && [" ", "Enter"].includes(event.key)) return;
    const [first, second] = this.lifters;
    const all = () => this.call(""), stop = () => this.stop(), end = () => this.ask_end(), start = () => this.page.start();
    const act = {
      running: {
        " ": all, PageDown: all, MediaPlayPause: all, ...(button ? {Enter: all} : {}), s: stop, S: stop, e: end, E: end,
        ArrowLeft: () => second && this.call(first), ArrowRight: () => second && this.call(second),
      },
      ready: {Enter: start, " ": start, PageDown: start},
    }[this.page.shown];
    if (!act || !act[event.key]) return;
    event.preventDefault();
    event.stopPropagation();
    if (event.type === "keydown" && !event.repeat) act[event.key]();
  }
}
