/* As large as one page takes: set out at the width of the paper, the type grows or shrinks until the sheet fills it. */
"use strict";
{
  const sheet = document.getElementById("sheet");
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
