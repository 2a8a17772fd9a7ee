/* Each page as large as it takes: set out at the width of the paper, the type grows or shrinks until it is full. */
"use strict";
for (const sheet of document.querySelectorAll("#sheet, .page")) {
  const mm = 96 / 25.4, most = 257 * mm; // Letter is the shorter, A4 the narrower; both less their margins
  const fits = (points) => {
    sheet.style.fontSize = `${points}pt`;
    return sheet.getBoundingClientRect().height <= most;
  };
  const fit = () => {
    sheet.style.maxWidth = "none"; // the width of the paper, however narrow the screen
    let points = 16;
    while (points > 5 && !fits(points)) points -= 0.25;
    sheet.style.maxWidth = "";
  };
  fit();
  addEventListener("beforeprint", fit);
}
