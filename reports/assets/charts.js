// Draws the charts of a page: unpacks plotly.js and the figures, fills in colours, units and what fits (as figures.py does for
// pictures), and keeps all charts on one time axis, with one cursor.
"use strict";
window.lc = window.lc || {};
(() => {
  const root = document.documentElement;
  const SIZE = { us: [0.0254, " in", ".2f"], si: [0.001, " mm", ".1f"] };
  const WORDS = new Set(["x", "y", "base", "text", "ticktext", "customdata", "name"]);
  const NARROW = 640;
  const pen = document.createElement("canvas").getContext("2d");
  const charts = [...document.querySelectorAll("[data-figure]")];
  let figures, window_, paper; // window_: the stretch of time shown, null for all; paper: a width while printing

  lc.unpack = async (id) => {
    const packed = Uint8Array.from(atob(document.getElementById(id).textContent), (c) => c.charCodeAt(0));
    return new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"))).text();
  };

  const coloured = (value, hue, key) => {
    if (Array.isArray(value)) return WORDS.has(key) ? value : value.map((each) => coloured(each, hue, key));
    if (value && typeof value === "object")
      return Object.fromEntries(Object.entries(value).map(([name, each]) => [name, coloured(each, hue, name)]));
    return typeof value === "string" && value[0] === "$" && !WORDS.has(key) ? hue(value.slice(1)) : value;
  };

  const laidOver = (below, above) => {
    for (const [key, value] of Object.entries(above))
      if (value && typeof value === "object" && !Array.isArray(value) && below[key]) laidOver(below[key], value);
      else below[key] = value;
    return below;
  };

  function whatFits(trace, layout, width) {
    const [first, last] = layout.xaxis.range;
    const aSecond = (width - layout.margin.l - layout.margin.r) / (last - first);
    pen.font = `${trace.textfont.size}px ${layout.font.family}`;
    let freeFrom = -Infinity;
    const beside = trace.meta.fit === "beside";
    return trace.customdata.map(([begin, end, ...said]) => {
      const x = begin * aSecond;
      const inside = begin >= first && (beside ? begin : end) <= last;
      const fits = (text) => (beside ? x >= freeFrom : (end - begin) * aSecond >= pen.measureText(text).width + 8);
      const text = (inside && said.find(fits)) || "";
      if (text) freeFrom = x + pen.measureText(text).width + 12;
      return text;
    });
  }

  const crowded = (layout, calls, width) => {
    const [first, last] = layout.xaxis.range;
    const inSight = calls.filter((time) => time >= first && time <= last).length;
    return width - layout.margin.l - layout.margin.r < 8 * inSight;
  };

  // The traces of the chosen station in full, of the others a faint line: every trace has both ways with it (as gaps.py: chosen).
  function asChosen(trace, station) {
    const { station: own, here, beside } = trace.meta || {};
    if (here) Object.assign(trace, own === station ? here : beside);
  }

  function finished(chart) {
    const figure = structuredClone(figures[chart.dataset.figure]);
    const { data, layout } = figure;
    const units = root.dataset.units;
    const [unit, suffix, form] = SIZE[units];
    const width = paper || chart.clientWidth;
    const meta = layout.meta || {};
    const station = chart.dataset.station || meta.station;
    if (width < NARROW && meta.narrow) laidOver(layout, meta.narrow);
    if (station && meta.tops) {
      [layout.yaxis.range, layout.yaxis2.range] = meta.tops[station];
      meta.notes = [meta.limit, meta.peaks[station]].filter((note) => note.text);
    }
    for (const name of meta.lengths || []) {
      Object.assign(layout[name], { ticksuffix: suffix, hoverformat: form });
      if (layout[name].range) layout[name].range = layout[name].range.map((end) => end / unit);
    }
    for (const note of meta.notes || []) {
      const inside = note.xref !== "x" || !window_ || (note.x >= window_[0] && note.x <= window_[1]);
      if (!inside) continue;
      const { length, narrow, ...own } = { ...note, ...(width < NARROW ? note.narrow : {}), text: note.text[units] };
      for (const way of length || "") own[way] /= unit;
      layout.annotations.push(own);
    }
    if (window_ && meta.end) layout.xaxis.range = window_;
    if (meta.pressed) Object.assign(layout.xaxis, trueTicks(layout.xaxis, meta.pressed));
    for (const trace of data) {
      const asks = trace.meta || {};
      asChosen(trace, station);
      for (const way of asks.length || "") trace[way] = trace[way].map((v) => (v === null ? null : v / unit));
      if (asks.width) trace.width /= unit;
      if (asks.crowded && crowded(layout, meta.calls, width)) laidOver(trace, asks.crowded);
      if (asks.hover) trace.hovertemplate = asks.hover[units];
      if (asks.fit) trace.text = whatFits(trace, layout, width);
    }
    layout.width = width;
    if (matchMedia("(pointer: coarse)").matches) layout.dragmode = false; // a finger scrolls the page
    const style = getComputedStyle(root);
    return coloured({ data, layout }, (name) => style.getPropertyValue(`--${name}`).trim() || name);
  }

  // What is pressed together on the time axis, and the true times that it says (as figures.py: _true_ticks).
  const TICK_STEPS = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600]; // [s]
  function trueTicks(axis, pressed) {
    const [first, last] = axis.range;
    const step = TICK_STEPS.find((each) => (last - first) / each <= axis.nticks) || 7200;
    const end = lc.trueTime(last, pressed);
    const ticks = [];
    for (let n = 0; n <= Math.floor(end / step); n += 1) {
      const time = n * step, at = lc.pressedAt(time, pressed);
      if (at >= first && at <= last && !pressed.some(([start, to]) => start < time && time < to)) ticks.push([at, time]);
    }
    const said = (time) => `${time.toLocaleString("en-US", { maximumFractionDigits: 1 })} s`;
    return { tickmode: "array", tickvals: ticks.map(([at]) => at), ticktext: ticks.map(([, time]) => said(time)) };
  }

  const drawn = new WeakMap();
  function draw(chart) {
    const { data, layout } = finished(chart);
    drawn.set(chart, layout.width);
    chart.style.minHeight = `${layout.height}px`;
    Plotly.react(chart, data, layout, { displayModeBar: false, responsive: false, doubleClick: false, showTips: false });
    placeCursor(chart);
  }
  const drawAll = () => charts.forEach(draw);

  // --- one stretch of time for all, call by call

  const stepper = document.querySelector("[data-stepper]");
  let call = 0;
  function show(stretch, now) {
    window_ = stretch;
    call = now;
    if (stepper) {
      stepper.querySelector(".now").textContent = stretch ? (now ? `call ${now}` : "a part") : "whole lift";
      const calls = timed().calls.length;
      stepper.querySelector('[data-step="-1"]').disabled = now <= 1;
      stepper.querySelector('[data-step="1"]').disabled = now >= calls; // none left, or none at all
      stepper.querySelector('[data-step="0"]').disabled = !stretch;
    }
    drawAll();
  }
  const timed = () => Object.values(figures).find((figure) => figure.layout.meta?.calls).layout.meta;
  function showCall(n) {
    const { calls, end } = timed();
    const [from, to] = [calls[n - 1], n < calls.length ? calls[n] : end];
    const more = 0.06 * (to - from) + 0.2;
    show([from - more, to + more], n);
  }
  stepper?.addEventListener("click", (event) => {
    const step = event.target.closest("[data-step]")?.dataset.step;
    if (step === "0") show(null, 0);
    else if (step) showCall(Math.min(Math.max(call + Number(step), 1), timed().calls.length));
  });

  // --- the cursor: "lc:time" moves it; a click in a chart sends one

  let time = null;
  function placeCursor(chart) {
    const axis = chart._fullLayout?.xaxis;
    const meta = figures[chart.dataset.figure].layout.meta;
    if (time === null || !axis || !meta?.end) return;
    let line = chart.parentElement.querySelector(".cursor");
    if (!line) {
      line = document.createElement("div");
      line.className = "cursor";
      chart.parentElement.append(line);
    }
    const x = axis.l2p(lc.pressedAt(time, meta.pressed || []));
    line.hidden = x < 0 || x > axis._length;
    const { t, h } = chart._fullLayout._size;
    Object.assign(line.style, { transform: `translateX(${axis._offset + x - 1}px)`, top: `${t}px`, height: `${h}px` });
  }
  document.addEventListener("lc:time", (event) => {
    time = event.detail.time;
    if (window.Plotly) charts.forEach(placeCursor);
  });
  function listen(chart) {
    chart.on("plotly_relayout", (change) => {
      if ("xaxis.range[0]" in change) show([change["xaxis.range[0]"], change["xaxis.range[1]"]], 0);
    });
    chart.on("plotly_doubleclick", () => show(null, 0));
    chart.addEventListener("click", (event) => {
      const axis = chart._fullLayout.xaxis;
      const at = axis.p2l(event.clientX - chart.getBoundingClientRect().left - axis._offset);
      const { end, pressed } = figures[chart.dataset.figure].layout.meta || {};
      if (end && at >= 0 && at <= end)
        document.dispatchEvent(new CustomEvent("lc:time", { detail: { time: lc.trueTime(at, pressed || []), source: "chart" } }));
    });
  }

  // --- start, and whatever asks for all to be drawn anew

  async function start() {
    try {
      const [source, written] = await Promise.all([lc.unpack("plotly-js"), lc.unpack("figures")]);
      const script = document.createElement("script");
      script.textContent = source; // allowed by its hash in the content security policy
      document.head.append(script);
      figures = JSON.parse(written);
      if (stepper) show(null, 0);
      else drawAll();
      charts.forEach(listen);
    } catch (wrong) {
      for (const chart of charts) chart.innerHTML = '<p class="none">This browser is too old to draw the chart: the table below has its figures.</p>';
      throw wrong;
    }
    for (const choice of document.querySelectorAll("[data-choose-for]"))
      choice.addEventListener("change", () => {
        const chart = document.getElementById(choice.dataset.chooseFor);
        chart.dataset.station = choice.value;
        draw(chart);
      });
    for (const name of ["lc:units", "lc:theme"]) document.addEventListener(name, drawAll);
    const watch = new ResizeObserver((entries) => {
      for (const { target } of entries) if (target.clientWidth && drawn.get(target) !== target.clientWidth && !paper) draw(target);
    });
    charts.forEach((chart) => watch.observe(chart));
    let before; // printed, the whole lift is shown
    addEventListener("beforeprint", () => ((before = window_), (window_ = null), (paper = 700), drawAll()));
    addEventListener("afterprint", () => ((window_ = before), (paper = 0), drawAll()));
    root.dataset.charts = "drawn";
  }
  if (charts.length) lc.drawn = start();
})();
