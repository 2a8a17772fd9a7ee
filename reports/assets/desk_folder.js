// The plans of a folder: a new one is made by the server, which says where it is.
"use strict";
(() => {
  const { desk, say, token } = deskScreen;
  let units = "us";

  desk.addEventListener("click", async (event) => {
    const chosen = event.target.closest("[data-plan-units]");
    const load = event.target.closest("[data-like]");
    if (chosen) {
      units = chosen.dataset.planUnits;
      for (const each of desk.querySelectorAll("[data-plan-units]")) each.setAttribute("aria-pressed", String(each === chosen));
    }
    if (!load) return;
    load.disabled = true;
    try {
      const body = JSON.stringify({ like: load.dataset.like, units });
      const answer = await fetch(`/new?token=${token}`, { method: "POST", body });
      const made = await answer.json();
      if (made.go) location.assign(`${made.go}?token=${token}`);
      else say(made.refused || "That could not be made.");
    } catch {
      say("The desk does not answer: start it again with liftcadence desk, then try once more.");
    }
    load.disabled = false;
  });
})();
