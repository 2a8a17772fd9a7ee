// The Compare screen: which ways stand in the picture.
"use strict";
(() => {
  const { find, desk, token, say, framed } = deskScreen;
  const name = encodeURIComponent(desk.dataset.name);
  const ways = [...desk.querySelectorAll(".way")];
  const pressed = () => ways.filter((way) => way.getAttribute("aria-pressed") === "true");

  function look() {
    const count = pressed().length;
    if (count < 2) return say("Choose two at least.");
    if (count > Number(desk.dataset.most)) return say(`Choose ${desk.dataset.most} at most: take one away first.`);
    say("");
    const query = new URLSearchParams({ token: desk.dataset.token });
    for (const way of pressed()) query.append("way", way.dataset.way);
    find("working").hidden = false;
    find("council").href = `/compare/${name}/sheet?${query}`;
    find("lift").src = find("alone").href = `/compare/${name}/page?${query}`;
    return undefined;
  }
  framed();

  desk.addEventListener("click", async (event) => {
    const way = event.target.closest(".way");
    const out = event.target.closest(".take-out");
    if (way) {
      way.setAttribute("aria-pressed", String(way.getAttribute("aria-pressed") !== "true"));
      look();
    }
    if (!out) return;
    try {
      const body = JSON.stringify({ version: desk.dataset.version, option: out.dataset.way });
      const made = await (await fetch(`/plan/${name}/drop-option?token=${token}`, { method: "POST", body })).json();
      if (made.stale || made.refused) say(made.refused || "This plan was changed elsewhere: load this page again.");
      else location.reload();
    } catch {
      say("The desk does not answer: start it again with liftcadence desk, then press once more.");
    }
  });
  if (ways.length > 1) look();
  else find("working").hidden = true;
})();
