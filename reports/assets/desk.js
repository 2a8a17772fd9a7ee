// The Plan screen: sends one change at a time with the version it was made on, and shows what the server makes of it.
// Nothing of the model is here. A change that cannot be sent is kept and tried again.
"use strict";
(() => {
  const { find, desk, token, say, turned } = deskScreen;
  const base = `/plan/${encodeURIComponent(desk.dataset.name)}`;
  const RETRY = 2000, LOOK = 4000;
  let now = { version: "", shape: "", fields: {} };
  let waiting = Promise.resolve();
  let underway = 0;
  let figuresOf = "";

  const holder = (id) => desk.querySelector(`[data-field="${CSS.escape(id)}"]`);
  const entry = (field) => field.querySelector(":scope > input, :scope > select");
  const fill = (id, html) => {
    const open = new Set([...find(id).querySelectorAll("details[open]")].map((each) => each.id));
    find(id).innerHTML = html;
    for (const each of find(id).querySelectorAll("details")) if (open.has(each.id)) each.open = true;
    turned(find(id));
  };

  // --- what the server sent

  function show(made) {
    const held = document.activeElement?.closest?.("[data-field]");
    const at = held?.dataset.field;
    const typed = held && document.activeElement.value;
    if (made.cards !== undefined) {
      fill("cards", made.cards);
      if (at && holder(at)) {
        entry(holder(at)).focus({ preventScroll: true });
        if (typed !== undefined && entry(holder(at)).tagName === "INPUT") entry(holder(at)).value = typed;
      }
    } else
      for (const [id, html] of Object.entries(made.fields)) if (now.fields[id] !== html) renew(id, html, id === at);
    if (now.drawing !== made.drawing) fill("drawing", made.drawing);
    if (now.problems !== made.problems) fill("problems", made.problems);
    now = made;
    document.body.classList.toggle("as-of-before", !made.current);
    find("plan-title").textContent = made.title;
    document.title = made.title;
    for (const [id, done] of [["undo", made.undo], ["redo", made.redo]]) {
      find(id).disabled = !done;
      find(id).title = done;
      find(id).querySelector("small").textContent = done;
    }
    if (figuresOf !== made.version) reckon(made.version);
    document.dispatchEvent(new CustomEvent("desk:shown"));
  }

  function renew(id, html, mine) {
    const before = holder(id);
    if (!before) return;
    const fresh = document.createElement("template");
    fresh.innerHTML = html;
    const after = fresh.content.querySelector("[data-field]");
    const input = entry(before);
    if (mine && input === document.activeElement && input.tagName === "INPUT") {
      // somebody is typing here: only what is said of it changes
      if (input.value === input.dataset.sent || input.value === input.dataset.value) input.value = entry(after).value;
      input.dataset.value = entry(after).dataset.value;
      before.className = after.className;
      for (const part of [".untaken", ".mark", ".ends"]) {
        const [old, now] = [before.querySelector(part), after.querySelector(part)];
        if (old && now) old.replaceWith(now);
        else if (old) old.remove();
        else if (now) (part === ".untaken" ? before : input).after(now);
      }
      return;
    }
    before.replaceWith(after);
    if (mine) entry(after).focus({ preventScroll: true });
  }

  async function reckon(version) {
    figuresOf = version;
    document.body.classList.add("reckoning");
    try {
      const made = await (await fetch(`${base}/figures?token=${token}`)).json();
      if (figuresOf !== version) return;
      fill("strip", made.strip);
      fill("findings", made.findings);
      find("counted").textContent = made.stops;
      desk.dataset.figures = made.version;
    } catch {
      figuresOf = "";
    }
    if (figuresOf === version || !figuresOf) document.body.classList.remove("reckoning");
  }

  // --- what is sent

  function send(what, values, about = "") {
    underway += 1;
    find("saved").textContent = "Saving…";
    waiting = waiting.then(() => ask(what, values, about)).finally(() => {
      underway -= 1;
      if (!underway) find("saved").textContent = now.current ? "Saved" : "Saved in part";
    });
    return waiting;
  }

  async function ask(what, values, about) {
    for (;;) {
      let answer;
      try {
        const body = JSON.stringify({ ...values, version: now.version, shape: now.shape });
        const sent = await fetch(`${base}/${what}?token=${token}`, { method: "POST", body });
        answer = sent.status === 403 ? { shut: true } : await sent.json();
      } catch {
        say("The desk does not answer. What you typed is kept on this page and sent as soon as it does: liftcadence desk starts it again.");
        await new Promise((done) => setTimeout(done, RETRY));
        continue;
      }
      if (answer.shut) return say("The desk was started anew with another token: open the address that it prints.");
      if (answer.stale) return clash(what, values, about, answer.stale);
      if (answer.refused) return say(answer.refused);
      say("");
      return show(answer);
    }
  }

  function clash(what, values, about, there) {
    const label = about && holder(about) ? holder(about).querySelector("label").firstChild.textContent : "";
    const mine = values.value;
    show(there);
    const theirs = about && holder(about) ? entry(holder(about)).dataset.value : "";
    const box = find("clash");
    box.innerHTML = "";
    const line = (name, words) => Object.assign(box.appendChild(document.createElement(name)), { textContent: words });
    line("h2", "This plan was changed elsewhere").id = "clash-title";
    line("p", "Another tab or program has saved it since this page showed it. Nothing was written; here is what is there now.");
    if (label) {
      line("p", `${label}: you wrote “${mine}”; the file has “${theirs || "nothing"}”.`);
      line("button", "Write mine").onclick = () => { box.hidden = true; send(what, values, about); };
    }
    line("button", label ? "Keep what is there" : "Go on").onclick = () => { box.hidden = true; };
    box.hidden = false;
    box.querySelector("button").focus();
  }

  function answer(input) {
    const field = input.closest("[data-field]");
    if (input.value === input.dataset.sent && field.classList.contains("half")) return;
    if (input.value === input.dataset.value && !field.classList.contains("half")) return;
    input.dataset.sent = input.value;
    send("answer", { field: field.dataset.field, value: input.value }, field.dataset.field);
  }

  // --- what people do

  desk.addEventListener("change", (event) => {
    const field = event.target.closest("[data-field]");
    if (field && event.target === entry(field)) answer(event.target);
  });
  desk.addEventListener("keydown", (event) => {
    const field = event.target.closest?.("[data-field]");
    if (event.key === "Enter" && field && event.target === entry(field) && event.target.tagName === "INPUT") answer(event.target);
    if (event.key === "F1" && field?.querySelector(".how")) { event.preventDefault(); field.querySelector(".how").click(); }
    if (event.key === "Escape" && field && event.target === entry(field) && event.target.tagName === "INPUT") {
      event.target.value = event.target.dataset.value;
      answer(event.target);
    }
  });
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches?.("input[type=text]")) return;
    if (event.key.toLowerCase() === "z") { event.preventDefault(); send(event.shiftKey ? "redo" : "undo", {}); }
    if (event.key.toLowerCase() === "y") { event.preventDefault(); send("redo", {}); }
  });
  find("undo").onclick = () => send("undo", {});
  find("redo").onclick = () => send("redo", {});

  desk.addEventListener("click", (event) => {
    const pressed = event.target.closest("button");
    if (!pressed) return;
    const field = pressed.closest("[data-field]");
    const toggled = (part, on = part.hidden) => {
      part.hidden = !on;
      pressed.setAttribute("aria-expanded", String(on));
    };
    if (pressed.matches(".how")) { event.preventDefault(); toggled(field.querySelector(".means")); }
    if (pressed.matches(".mark")) {
      toggled(field.querySelector(".ends"));
      if (!field.querySelector(".ends").hidden) field.querySelector(".low").focus();
    }
    if (pressed.matches(".set-guess, .set-measured")) {
      const ends = pressed.matches(".set-guess") ? [".low", ".high"].map((each) => field.querySelector(each).value) : ["", ""];
      send("guess", { field: field.dataset.field, low: ends[0], high: ends[1] });
    }
    if (pressed.matches(".add")) send("add", { what: pressed.dataset.what }).then(() => lookAt("", "follows"));
    if (pressed.matches(".take-out")) send("take-out", { group: pressed.dataset.group });
    if (pressed.id === "write-out") send("write-out", {});
    if (pressed.matches(".to-field")) lookAt(pressed.dataset.to, pressed.dataset.card);
  });

  function lookAt(id, card) {
    const field = id && holder(id);
    const place = field || find(`card-${card}`);
    if (!place) return;
    for (let up = place.parentElement; up; up = up.parentElement) if (up.tagName === "DETAILS") up.open = true;
    place.scrollIntoView({ block: field ? "center" : "start" });
    place.classList.add("looked-at");
    setTimeout(() => place.classList.remove("looked-at"), 2500);
    if (field) entry(field).focus({ preventScroll: true });
  }

  // A field that is being filled in shows the findings that are about it.
  desk.addEventListener("focusin", (event) => {
    const at = event.target.closest("[data-field]")?.dataset.field;
    for (const each of find("findings").querySelectorAll(".to-field"))
      each.classList.toggle("about", Boolean(at) && each.dataset.to === at);
  });

  // What was changed elsewhere is shown without being asked for.
  setInterval(async () => {
    if (document.hidden || underway || !find("clash").hidden) return;
    try {
      const made = await (await fetch(`${base}/state?token=${token}&shape=${now.shape}`)).json();
      if (underway || !made.version) return;
      if (made.version !== now.version) { show(made); say("This plan was changed elsewhere; this is what is there now."); }
      else if (!figuresOf) reckon(now.version);
    } catch { /* said when something is sent */ }
  }, LOOK);

  document.addEventListener("desk:move", (event) => send("move", event.detail));
  show(JSON.parse(find("first").textContent));
})();
