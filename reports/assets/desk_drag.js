// Heads and feet in the drawing: taken hold of by pointer or by arrow keys. While one is dragged only its mark moves; the
// server says where it has come to.
"use strict";
(() => {
  const drawing = document.getElementById("drawing");
  const STEP = 0.0254, STEP_SI = 0.02, MOST = 0.0005; // [m]: an arrow key; less than that is no move
  const KEYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  let held = null;
  let again = null;

  const tell = (knob, right, up, fine) => {
    const { place, end, view } = knob.dataset;
    again = document.activeElement === knob ? [place, end, view] : null;
    document.dispatchEvent(new CustomEvent("desk:move", { detail: { place, end, view, right, up, fine } }));
  };
  const size = () => {
    const svg = drawing.querySelector("svg");
    return svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
  };

  drawing.addEventListener("pointerdown", (event) => {
    const knob = event.target.closest(".handle");
    if (!knob || held) return;
    knob.setPointerCapture(event.pointerId);
    held = { knob, x: event.clientX, y: event.clientY, id: event.pointerId };
    knob.classList.add("held");
    event.preventDefault();
    knob.focus({ preventScroll: true });
  });
  drawing.addEventListener("pointermove", (event) => {
    if (!held || event.pointerId !== held.id) return;
    const by = [event.clientX - held.x, event.clientY - held.y].map((px) => px / size());
    held.knob.setAttribute("transform", `translate(${by[0].toFixed(2)} ${by[1].toFixed(2)})`);
  });
  const end = (event, kept) => {
    if (!held || event.pointerId !== held.id) return;
    const { knob } = held;
    const metres = 1 / (size() * Number(knob.dataset.scale));
    const [right, up] = [(event.clientX - held.x) * metres, (held.y - event.clientY) * metres];
    held = null;
    knob.classList.remove("held");
    if (kept && Math.hypot(right, up) > MOST) tell(knob, right, up, event.shiftKey);
    else knob.removeAttribute("transform");
  };
  drawing.addEventListener("pointerup", (event) => end(event, true));
  drawing.addEventListener("pointercancel", (event) => end(event, false));

  drawing.addEventListener("keydown", (event) => {
    const knob = event.target.closest(".handle");
    const way = KEYS[event.key];
    if (!knob || !way) return;
    event.preventDefault();
    const step = (document.documentElement.dataset.units === "si" ? STEP_SI : STEP) / (event.shiftKey ? 8 : 1);
    tell(knob, way[0] * step, way[1] * step, event.shiftKey);
  });

  // The drawing is made anew after each move: whoever had hold of a mark has it again.
  document.addEventListener("desk:shown", () => {
    for (const knob of drawing.querySelectorAll(".handle[transform]")) if (!held) knob.removeAttribute("transform");
    if (!again || drawing.contains(document.activeElement)) return;
    const [place, which, view] = again;
    const same = [...drawing.querySelectorAll(".handle")].find(
      ({ dataset }) => dataset.place === place && dataset.end === which && dataset.view === view,
    );
    if (same && (document.activeElement === document.body || !document.activeElement)) same.focus({ preventScroll: true });
  });
})();
