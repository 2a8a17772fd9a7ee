// The two switches of every page: US or SI, light or dark.
// Figures carry both (data-us, data-si). What draws for itself listens for "lc:units" and "lc:theme" on document.
"use strict";
(() => {
  const root = document.documentElement;
  const announce = (name, detail) => document.dispatchEvent(new CustomEvent(name, { detail }));
  const press = (attribute, value) => {
    for (const button of document.querySelectorAll(`[${attribute}]`))
      button.setAttribute("aria-pressed", String(button.getAttribute(attribute) === value));
  };

  function setUnits(units) {
    root.dataset.units = units;
    for (const figure of document.querySelectorAll("[data-us][data-si]"))
      figure.textContent = figure.dataset[units];
    press("data-set-units", units);
    announce("lc:units", { units });
  }

  const prefers = matchMedia("(prefers-color-scheme: dark)");
  const theme = () => root.dataset.theme || (prefers.matches ? "dark" : "light");
  function setTheme(chosen) {
    if (chosen) root.dataset.theme = chosen;
    press("data-set-theme", theme());
    announce("lc:theme", { theme: theme() });
  }

  document.addEventListener("click", (event) => {
    const units = event.target.closest("[data-set-units]");
    const colours = event.target.closest("[data-set-theme]");
    if (units) setUnits(units.dataset.setUnits);
    if (colours) setTheme(colours.dataset.setTheme);
  });
  root.classList.toggle("framed", self !== top); // within another page of ours, which has the bar
  prefers.addEventListener("change", () => setTheme());
  press("data-set-theme", theme());

  // Printed, everything that is folded is shown.
  let folded = [];
  addEventListener("beforeprint", () => {
    folded = [...document.querySelectorAll("details:not([open]):not([data-stay])")];
    for (const each of folded) each.open = true;
  });
  addEventListener("afterprint", () => folded.forEach((each) => (each.open = false)));
})();
