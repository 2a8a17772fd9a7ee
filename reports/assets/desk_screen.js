// What every screen of the desk has: its notice and the token that it asks with, figures in the units shown, and on most
// a page in a frame that turns to other units and colours as the desk does.
"use strict";
const deskScreen = (() => {
  const find = (id) => document.getElementById(id);
  const desk = find("desk");
  const say = (words) => {
    find("notice").textContent = words;
    find("notice").hidden = !words;
  };
  const turned = (part) => {
    const units = document.documentElement.dataset.units;
    for (const figure of part.querySelectorAll("[data-us][data-si]")) figure.textContent = figure.dataset[units];
  };

  function framed(also = () => {}) {
    const turn = () => {
      const { units, theme } = document.documentElement.dataset;
      const page = find("lift").contentDocument;
      page?.querySelector(`[data-set-units="${units}"]`)?.click();
      if (theme) page?.querySelector(`[data-set-theme="${theme}"]`)?.click();
      also();
    };
    find("lift").addEventListener("load", () => {
      if (find("working")) find("working").hidden = true;
      turn();
    });
    for (const each of ["lc:units", "lc:theme"]) document.addEventListener(each, turn);
  }
  return { find, desk, say, turned, framed, token: encodeURIComponent(desk.dataset.token) };
})();
