/* The lift from above: its arrows follow the drawing. What they move along is worked out in from_above.py. */
"use strict";
(() => {
  const figure = document.getElementById("above-picture");
  if (!figure) return;
  const data = JSON.parse(document.getElementById("above-data").textContent);
  const contacts = [...figure.querySelectorAll("[data-contact]")];

  // Where x lies in a rising list: the index before it, and how far on to the next.
  function place(list, x) {
    let n = list.findLastIndex((each) => each <= x);
    n = Math.max(0, Math.min(n, list.length - 2));
    const span = list[n + 1] - list[n];
    return [n, span > 0 ? Math.min(1, Math.max(0, (x - list[n]) / span)) : 1];
  }
  const between = (list, [n, part]) => list[n] + part * (list[n + 1] - list[n]);

  function show(u) {
    const at = place(data.u, u);
    for (const group of contacts) {
      const contact = data.contacts[group.dataset.contact], x = Number(group.dataset.x), y = Number(group.dataset.y);
      const dx = between(contact.along, at), dy = between(contact.across, at), long = Math.hypot(dx, dy);
      group.dataset.dx = dx;
      group.dataset.dy = dy;
      group.querySelector(".push").setAttribute("d", `M${x} ${y}L${x + dx} ${y + dy}`);
      const [ux, uy] = long > 0 ? [dx / long, dy / long] : [0, 0], tip = Math.min(12, long);
      const back = [x + dx - ux * tip, y + dy - uy * tip];
      group.querySelector(".tip").setAttribute("d", long > 1
        ? `M${x + dx} ${y + dy}L${back[0] + uy * tip / 2.4} ${back[1] - ux * tip / 2.4}L${back[0] - uy * tip / 2.4} ${back[1] + ux * tip / 2.4}Z` : "");
      group.querySelector(".needs").textContent = contact.needs[at[1] > 0 ? at[0] + 1 : at[0]];
    }
    figure.dataset.u = u;
  }
  document.addEventListener("lc:u", (event) => show(event.detail.u));
  show(0); // until the drawing is there
})();
