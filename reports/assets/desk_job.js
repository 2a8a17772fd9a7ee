// Long work: begun, watched, stopped. What it came to is a page of its own, shown beside.
"use strict";
(() => {
  const { find, desk, token, say, framed } = deskScreen;
  const base = `/${desk.dataset.screen}/${encodeURIComponent(desk.dataset.name)}`;
  const SOON = 700, LATER = 3000;
  let shown = "";

  const WORDS = {
    none: "Not reckoned yet for the plan as it is now.",
    stopped: "Stopped. What is finished is kept: begin again goes on from there.",
    trouble: "It could not be finished.",
    finished: "",
  };

  function show(now) {
    const running = now.state === "running";
    find("begin").hidden = running;
    find("begin").textContent = now.state === "stopped" ? "Go on" : now.state === "finished" ? "Reckon again" : "Begin";
    find("stop").hidden = find("progress").hidden = !running;
    if (running) {
      if (now.of) find("progress").value = now.done / now.of;
      else find("progress").removeAttribute("value");
      const far = now.of ? `${now.done.toLocaleString("en")} of ${now.of.toLocaleString("en")} lifts` : "Beginning…";
      find("far").textContent = now.older ? `${far}, of the plan as it was when this was begun` : far;
    } else find("far").textContent = WORDS[now.state] || "";
    if (now.trouble) say(now.trouble);
    find("sentence").textContent = now.said[0] || "";
    const said = now.said.slice(1).join("\n");
    if (find("more").dataset.said !== said) {
      find("more").dataset.said = said;
      find("more").replaceChildren(...now.said.slice(1).map((words) => Object.assign(document.createElement("li"), { textContent: words })));
    }
    const whole = now.said.join("\n");
    if (whole && whole !== shown) {
      find("lift").src = `${base}/page?token=${token}`;
      find("lift").hidden = false;
    }
    if (!whole) find("lift").hidden = true;
    shown = whole;
    desk.dataset.state = now.state;
    setTimeout(look, running ? SOON : LATER);
  }

  async function look() {
    try {
      show(await (await fetch(`${base}/now?token=${token}`)).json());
    } catch {
      say("The desk does not answer: start it again with liftcadence desk. What is finished is kept.");
      setTimeout(look, LATER);
    }
  }
  async function ask(what) {
    say("");
    try {
      const made = await (await fetch(`${base}/${what}?token=${token}`, { method: "POST", body: "{}" })).json();
      if (made.refused) say(made.refused);
    } catch {
      say("The desk does not answer: start it again with liftcadence desk.");
    }
  }
  framed();
  find("begin").onclick = () => ask("begin");
  find("stop").onclick = () => ask("stop");
  look();
})();
