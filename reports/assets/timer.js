/* The observer's timer. Every tap goes to the browser's own store before anything is drawn, so a closed tab loses nothing. */
"use strict";
{
  const setup = JSON.parse(document.getElementById("setup").textContent);
  const at = (id) => document.getElementById(id);
  const SHOWN = 300; // entries in the list; the log has them all
  const origin = Date.now() - performance.now(); // a clock that a changed time of day does not move, until a reload
  const now = () => origin + performance.now();
  const empty = () => ({ zero: null, taps: [] });
  let drill = restored();

  function restored() {
    try {
      const kept = JSON.parse(localStorage.getItem(setup.store));
      const whole = (tap) => Array.isArray(tap) && tap.length === 4 && Number.isFinite(tap[0]);
      if (kept && Number.isFinite(kept.zero) && Array.isArray(kept.taps) && kept.taps.every(whole)) return kept;
    } catch (error) {
      warn();
    }
    return empty();
  }

  function keep() {
    try {
      localStorage.setItem(setup.store, JSON.stringify(drill));
    } catch (error) {
      warn();
    }
  }

  function warn() {
    at("trouble").hidden = false;
    at("trouble").textContent = "This browser keeps nothing for this page: save the log before you close it.";
  }

  const seconds = (time) => Math.round((time - drill.zero) / 10) / 100; // hundredths: a thumb is no better
  // An apostrophe before what a spreadsheet would run as a formula (as sim/model/visible.py: guarded); the debrief takes it off.
  // The line end before it stands for the start, so that every match has a letter: after an empty one JavaScript looks one further on.
  const guarded = (text) => `\n${text}`.replace(/([;\t\r\n])("*'*)(?=[=+@\t\r\uff1d\uff0b\uff0d\uff20-])/g, "$1$2'").slice(1);
  const quoted = (text) => (/[",;\n\r]/.test(text) ? `"${text.replace(/"/g, '""').replace(/[\r\n]+/g, " ")}"` : text);
  const cell = (text, at) => quoted(at ? guarded(text) : text); // times are none
  const line = ([time, who, what, note]) => [time.toFixed(2), who, what, note].map(cell).join(",");
  const log = () => ["time_s,who,what,note", ...drill.taps.map(line)].join("\n") + "\n";

  function begin(time) {
    if (drill.zero === null) drill.zero = time;
  }

  function take(button, time) {
    begin(time);
    const then = button.dataset.then && button.classList.contains("on");
    drill.taps.push([seconds(time), button.dataset.who, then ? button.dataset.then : button.dataset.what, button.dataset.note]);
    keep();
    draw();
    button.classList.add("hit");
    setTimeout(() => button.classList.remove("hit"), 150);
    if (navigator.vibrate) navigator.vibrate(15);
  }

  function draw() {
    const taps = drill.taps;
    at("count").textContent = taps.length ? `${taps.length} ${taps.length === 1 ? "entry" : "entries"}` : "nothing tapped yet";
    at("undo").disabled = at("save").disabled = taps.length === 0;
    at("start").disabled = drill.zero !== null;
    const rows = taps.slice(-SHOWN).reverse().map(([time, who, what, note]) => {
      const row = document.createElement("li");
      const when = document.createElement("b");
      when.textContent = `${time.toFixed(1)} s`;
      const said = document.createElement("span");
      said.textContent = `${who}: ${what}${note && note !== who ? ` (${note})` : ""}`;
      row.append(when, said);
      return row;
    });
    at("list").replaceChildren(...rows);
    at("text").value = log();
    for (const button of document.querySelectorAll(".tap[data-then]")) {
      const { who, what, then } = button.dataset;
      const last = taps.findLast((tap) => tap[1] === who && (tap[2] === what || tap[2] === then));
      const on = last !== undefined && last[2] === what;
      button.classList.toggle("on", on);
      button.textContent = on ? button.dataset.thenLabel : button.dataset.label;
    }
    tick();
  }

  function tick() {
    at("clock").textContent = `${drill.zero === null ? "0.0" : Math.max(0, (now() - drill.zero) / 1000).toFixed(1)} s`;
  }

  function save() {
    const url = URL.createObjectURL(new Blob([log()], { type: "text/csv" }));
    const link = document.createElement("a");
    const day = new Date(drill.zero);
    const two = (number) => String(number).padStart(2, "0");
    const stamp = `${day.getFullYear()}-${two(day.getMonth() + 1)}-${two(day.getDate())}-${two(day.getHours())}${two(day.getMinutes())}`;
    link.href = url;
    link.download = `${setup.file}-${stamp}.csv`;
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(url), 60000);
  }

  for (const button of document.querySelectorAll(".tap")) {
    let pressed = null; // the tap's time is when the thumb comes down; it counts when it is lifted again on the button
    button.addEventListener("pointerdown", () => { pressed = now(); });
    button.addEventListener("pointercancel", () => { pressed = null; });
    button.addEventListener("click", () => {
      const fresh = pressed !== null && now() - pressed < 2000;
      take(button, fresh ? pressed : now());
      pressed = null;
    });
  }
  at("start").addEventListener("click", () => { begin(now()); keep(); draw(); });
  at("undo").addEventListener("click", () => { drill.taps.pop(); keep(); draw(); });
  at("save").addEventListener("click", save);
  let sure = 0;
  at("new").addEventListener("click", () => {
    if (drill.taps.length && now() - sure > 4000) {
      sure = now();
      at("new").textContent = "Tap again: this log is then gone from the device";
      setTimeout(() => { at("new").textContent = "Begin a new drill"; }, 4000);
      return;
    }
    sure = 0;
    drill = empty();
    keep();
    draw();
    at("new").textContent = "Begin a new drill";
  });
  addEventListener("storage", (event) => { if (event.key === setup.store) { drill = restored(); draw(); } });
  setInterval(tick, 100);
  draw();
}
