/* The timer's clock. It runs with performance.now(), which a changed time of day does not move, but which may stand still
   while a telephone sleeps: so it is compared with the wall clock. What went by while the page was away is added. */
"use strict";
globalThis.timerClock = (differs) => {
  const NOTICED = 1500; // ms
  let origin = Date.now() - performance.now();
  let ahead = 0; // ms by which the wall clock has been set since
  let away = false, lock = null, wanted = false;
  const now = () => origin + performance.now();
  const seen = () => document.visibilityState !== "hidden";

  function compare() {
    const by = Date.now() - now() - ahead, was = away;
    if (seen()) away = false;
    if (Math.abs(by) < NOTICED) return;
    const slept = by > 0 && was;
    if (slept) origin += by;
    else ahead += by;
    differs(by / 1000, slept);
  }

  async function stayAwake() {
    wanted = true;
    if (lock || !seen()) return;
    try {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => { lock = null; });
    } catch (error) {
      lock = null; // there is none here, or the battery is low
    }
    document.documentElement.dataset.awake = lock ? "kept" : "not kept";
  }

  document.addEventListener("visibilitychange", () => {
    if (!seen()) away = true;
    compare();
    if (wanted) stayAwake();
  });
  addEventListener("pageshow", compare);
  setInterval(compare, 1000);
  return { now: () => { compare(); return now(); }, stayAwake };
};
