// Lessons: sliders move through what the model simulated beforehand; nothing is computed here. Beside each moving picture stands a
// fixed one, out of sight, that is printed.
"use strict";
(() => {
  const root = document.documentElement;
  const WORDS = new Set(["x", "y", "base", "text", "ticktext", "customdata", "name"]);
  const NARROW = 640; // px
  const PRINT = [690, 455]; // px
  const parts = [...document.querySelectorAll("[data-lesson]")];
  let computed;

  async function unpack(id) {
    const packed = Uint8Array.from(atob(document.getElementById(id).textContent), (c) => c.charCodeAt(0));
    return new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"))).text();
  }

  function coloured(value, hue, key) {
    if (Array.isArray(value)) return WORDS.has(key) && !value.some((v) => v && typeof v === "object") ? value : value.map((each) => coloured(each, hue, key));
    if (value && typeof value === "object")
      return Object.fromEntries(Object.entries(value).map(([name, each]) => [name, coloured(each, hue, name)]));
    return typeof value === "string" && value[0] === "$" && !WORDS.has(key) ? hue(value.slice(1)) : value;
  }

  const styled = (scheme) => {
    const probe = document.createElement("div");
    const before = root.dataset.theme;
    if (scheme) root.dataset.theme = scheme;
    document.body.append(probe);
    const style = getComputedStyle(root);
    const names = [...new Set(JSON.stringify(computed).match(/"\$[a-z]+"/g))].map((n) => n.slice(2, -1));
    const hues = new Map(names.map((name) => [name, style.getPropertyValue(`--${name}`).trim() || name]));
    probe.remove();
    if (scheme) before === undefined ? delete root.dataset.theme : (root.dataset.theme = before);
    return (name) => hues.get(name) || name;
  };

  // A figure of one setting: the first one with what differs laid over it.
  function atSetting({ first, frames }, key) {
    const { data, layout } = structuredClone(first);
    const frame = frames[key];
    return { data: frame.data || data.map((trace, n) => ({ ...trace, ...frame.over[n] })), layout: { ...layout, ...frame.layout } };
  }

  const sliders = (part) => [...part.querySelectorAll("[data-control]")];
  const setting = (part) => sliders(part).map((s) => s.value).join(",");

  function draw(part) {
    const own = computed[part.dataset.lesson];
    const { units } = root.dataset;
    const key = setting(part);
    for (const slider of sliders(part)) {
      const said = own.controls[slider.dataset.control][units][slider.value];
      slider.nextElementSibling.textContent = said;
      slider.setAttribute("aria-valuetext", said);
    }
    const readout = part.querySelector(".readout");
    const figures = own.moving[units].readouts[key];
    readout.replaceChildren(...figures.map(([label, figure, note]) => {
      const box = document.createElement("div");
      for (const [tag, text] of [["dt", label], ["dd", figure], ["dd", note]])
        if (text) box.append(Object.assign(document.createElement(tag), { textContent: text }));
      return box;
    }));
    const chart = part.querySelector(".moving");
    const { data, layout } = atSetting(own.moving[units], key);
    layout.width = chart.clientWidth;
    layout.height = chart.clientHeight;
    const meta = layout.meta || {};
    if (layout.width < NARROW && meta.narrow) {
      Object.assign(layout.margin, meta.narrow.margin);
      layout.height += meta.more || 0;
      layout.annotations = (layout.annotations || []).map((note) => (note.xref === "paper" ? wrapped(note, layout) : note));
      const top = layout.annotations.filter((note) => note.xref === "paper" && note.y > 0.99);
      const more = Math.max(0, ...top.map((note) => 1.35 * note.font.size * (note.text.split("<br>").length - 1)));
      layout.margin.t += more;
      layout.height += more;
    }
    chart.dataset.setting = key;
    Plotly.react(chart, coloured(data, styled()), coloured(layout, styled()), { displayModeBar: false, responsive: false, doubleClick: false, showTips: false });
  }

  // A title over a panel, on as many lines as it takes.
  function wrapped(note, layout) {
    const most = Math.floor((layout.width - layout.margin.l - layout.margin.r) / (0.6 * note.font.size));
    const lines = [""];
    for (const word of note.text.replace(/<\/?b>/g, "").split(" ")) {
      const line = lines.at(-1);
      if (line && line.length + word.length >= most) lines.push(word);
      else lines[lines.length - 1] = line ? `${line} ${word}` : word;
    }
    const bold = note.text.startsWith("<b>");
    return { ...note, text: lines.map((line) => (bold ? `<b>${line}</b>` : line)).join("<br>") };
  }

  // The sliders at a position worth stopping at, and the picture in view.
  function goTo(part, stop) {
    const places = stop.dataset.stop.split(",");
    sliders(part).forEach((slider, n) => (slider.value = places[n]));
    draw(part);
    part.querySelector(".try").scrollIntoView();
  }

  function drawFixed(part) {
    const { data, layout } = structuredClone(computed[part.dataset.lesson].fixed[root.dataset.units]);
    [layout.width, layout.height] = PRINT;
    Plotly.react(part.querySelector(".fixed"), coloured(data, styled("light")), coloured(layout, styled("light")), { staticPlot: true, responsive: false });
  }

  async function start() {
    try {
      const [source, written] = await Promise.all([unpack("plotly-js"), unpack("lessons")]);
      const script = document.createElement("script");
      script.textContent = source; // allowed by its hash in the content security policy
      document.head.append(script);
      computed = JSON.parse(written);
      parts.forEach(draw);
      parts.forEach(drawFixed);
    } catch (wrong) {
      for (const chart of document.querySelectorAll(".chart"))
        chart.innerHTML = '<p class="none">This browser is too old to draw the picture: the table below has its figures.</p>';
      throw wrong;
    }
    for (const part of parts) for (const slider of sliders(part)) slider.addEventListener("input", () => draw(part));
    for (const part of parts) for (const stop of part.querySelectorAll("[data-stop]")) stop.addEventListener("click", () => goTo(part, stop));
    document.addEventListener("lc:units", () => (parts.forEach(draw), parts.forEach(drawFixed)));
    document.addEventListener("lc:theme", () => parts.forEach(draw));
    const widths = new WeakMap();
    const watch = new ResizeObserver((entries) => {
      for (const { target } of entries) {
        if (target.clientWidth && widths.has(target) && widths.get(target) !== target.clientWidth) draw(target.closest("[data-lesson]"));
        if (target.clientWidth) widths.set(target, target.clientWidth);
      }
    });
    for (const part of parts) watch.observe(part.querySelector(".moving"));
    root.dataset.lessons = "drawn";
  }
  if (parts.length) start();
})();
