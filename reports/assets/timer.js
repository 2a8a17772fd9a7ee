/* The observer's timer: taps, the log of them, and what is said of how well they are kept. */
"use strict";
{
  const setup = JSON.parse(document.getElementById("setup").textContent);
  const at = (id) => document.getElementById(id);
  const SHOWN = 300; // entries in the list; the log has them all
  const store = timerStore(setup.store, () => drawKept());
  const clock = timerClock(differs);
  const now = clock.now;
  const empty = (rev = 0) => ({ zero: null, taps: [], marks: [], rev });
  let drill = store.copied() || empty();
  let saved = ""; // the log as it was saved last
  const TROUBLE = {
    full: "The storage of this device is full",
    refused: "This browser refuses this page its durable storage",
  };

  function keep() {
    drill.rev += 1;
    store.keep(drill);
  }

  /* What the durable store has, if that is later than the copy; what was tapped meanwhile comes after it. */
  const before = { rev: drill.rev, taps: drill.taps.length };
  store.opened.then((found) => {
    if (found && found.rev > before.rev) {
      const later = drill.taps.slice(before.taps).map(([time, ...rest]) => [time + (drill.zero - found.zero) / 1000, ...rest]);
      drill = { ...found, rev: Math.max(found.rev, drill.rev), taps: [...found.taps, ...later] };
      if (later.length) keep();
    } else if (drill.zero !== null && (!found || found.rev < drill.rev)) {
      store.replace(drill);
    }
    draw();
  });

  function drawKept() {
    const { durable, changed, trouble, copied } = store.state;
    const left = drill.taps.length - durable || Number(changed); // what was taken back is to be kept too
    const said = left ? `· ${left} not yet kept on this device` : "· all kept on this device";
    at("kept").textContent = drill.taps.length ? said : "";
    at("kept").dataset.left = left;
    [...at("list").children].forEach((row, n) => row.classList.toggle("unkept", drill.taps.length - n > durable));
    at("trouble").hidden = !trouble;
    const what = { 0: "what is tapped is", 1: "1 entry is" }[left] || `${left} entries are`;
    const how = copied
      ? `${what} kept as a copy only, which may be lost if the browser or the device dies`
      : `Nothing is kept: ${what} on this page only`;
    at("trouble").textContent = trouble ? `${TROUBLE[trouble]}. ${how[0].toUpperCase()}${how.slice(1)}. To lose nothing, save the log before you close it.` : "";
  }

  const unkept = () => drill.taps.length > store.state.durable && saved !== log();
  addEventListener("beforeunload", (event) => { if (unkept()) { event.preventDefault(); event.returnValue = true; } });

  /* The page's clock and the wall clock have come apart: said, and marked in the log at the next entry. */
  function differs(by, slept) {
    const much = `${Math.abs(by).toFixed(1)} s`;
    const what = slept
      ? `the page slept: ${much} were added by the device's clock`
      : `the device's clock was set ${by > 0 ? "forward" : "back"} by ${much}: not followed`;
    at("asleep").hidden = false;
    at("asleep").textContent = `Marked in the log: ${what}.`;
    if (drill.zero === null) return;
    drill.marks.push([drill.taps.length, what]);
    keep();
    draw();
  }

  const seconds = (time) => Math.round((time - drill.zero) / 10) / 100; // hundredths: a thumb is no better
  // An apostrophe before what a spreadsheet would run as a formula (as sim/model/visible.py: guarded); the debrief takes it off.
  // The line end before it stands for the start, so that every match has a letter: after an empty one JavaScript looks one further on.
  const guarded = (text) => `\n${text}`.replace(/([;\t\r\n])("*'*)(?=[=+@\t\r\uff1d\uff0b\uff0d\uff20-])/g, "$1$2'").slice(1);
  const quoted = (text) => (/[",;\n\r]/.test(text) ? `"${text.replace(/"/g, '""').replace(/[\r\n]+/g, " ")}"` : text);
  const cell = (text, at) => quoted(at ? guarded(text) : text); // times are none
  const marked = (n) => drill.marks.filter(([at]) => at === n).map(([, what]) => what).join("; ");
  const line = ([time, who, what, note], n) => [time.toFixed(2), who, what, note, ...(drill.marks.length ? [marked(n)] : [])].map(cell).join(",");
  const log = () => [`time_s,who,what,note${drill.marks.length ? ",mark" : ""}`, ...drill.taps.map(line)].join("\n") + "\n";

  function begin(time) {
    if (drill.zero === null) drill.zero = time;
  }

  function note(time, who, what, note) {
    begin(time);
    drill.taps.push([seconds(time), who, what, note]);
    keep();
    draw();
    clock.stayAwake();
  }

  function take(button, time) {
    const { who, what, then } = button.dataset;
    if (button.dataset.size) return ask(button, time);
    note(time, who, then && button.classList.contains("on") ? then : what, button.dataset.note);
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
    drawKept();
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
    saved = log();
  }

  /* A gap or a rise that was measured: its time is when its button was pressed, its amount is tapped on the pad. */
  let asked = null;
  const amount = /^(\d+(\.\d+)?|\.\d+|(\d+ )?\d+\/[1-9]\d*)$/;

  function ask(button, time) {
    asked = { time, who: button.dataset.who, what: button.dataset.what };
    at("asked").textContent = button.dataset.size;
    write("");
    at("pad").hidden = false;
    at("note").scrollIntoView({ block: "nearest" });
  }

  function write(text) {
    at("amount").value = text.slice(0, 12);
    at("note").disabled = !amount.test(at("amount").value);
  }

  for (const key of document.querySelectorAll("#pad [data-key]")) {
    key.addEventListener("click", () => write(key.dataset.key === "back" ? at("amount").value.slice(0, -1) : at("amount").value + key.dataset.key));
  }
  at("note").addEventListener("click", () => {
    at("pad").hidden = true;
    note(asked.time, asked.who, asked.what, `${at("amount").value} ${setup.unit}`);
  });
  at("leave").addEventListener("click", () => { at("pad").hidden = true; });

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
  at("start").addEventListener("click", () => { begin(now()); keep(); draw(); clock.stayAwake(); });
  at("undo").addEventListener("click", () => {
    drill.taps.pop();
    drill.marks = drill.marks.filter(([at]) => at <= drill.taps.length);
    keep();
    draw();
  });
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
    drill = empty(drill.rev);
    at("asleep").hidden = true;
    keep();
    draw();
    at("new").textContent = "Begin a new drill";
  });
  addEventListener("storage", (event) => { if (event.key === setup.store) { drill = store.copied() || drill; store.replace(drill); draw(); } });
  setInterval(tick, 100);
  draw();
}
