/* Where the timer keeps its taps: in IndexedDB, each asked to be on the disk before it counts as kept (durability
   "strict"); and as a copy in localStorage, which is there at once after a reload and may be lost when a browser dies. */
"use strict";
globalThis.timerStore = (name, tell) => {
  const PATIENCE = 3000, AGAIN = 2000; // ms until a store that does not open is given up, and until writing is tried again
  const whole = (tap) => Array.isArray(tap) && tap.length === 4 && Number.isFinite(tap[0]);
  const fits = (kept) => kept && Number.isFinite(kept.zero) && Array.isArray(kept.taps) && kept.taps.every(whole);
  let db = null;
  let there = 0; // taps that IndexedDB has been given
  let anew = true; // whether what it has is to be replaced as a whole
  let given = 0, doubted = 0; // changes that it was given; those up to here may not all have come
  let latest = null, again = 0;
  const state = { durable: 0, changed: false, trouble: "", copied: true }; // taps on the disk; whether more than taps is
  // not on it yet, such as what was taken back; what is the matter

  function copy(drill) {
    try {
      localStorage.setItem(name, JSON.stringify(drill));
      state.copied = true;
    } catch (error) {
      state.copied = false;
    }
  }

  function copied() {
    try {
      const kept = JSON.parse(localStorage.getItem(name));
      if (fits(kept)) return { rev: 1, marks: [], ...kept };
    } catch (error) {
      state.copied = error instanceof SyntaxError; // damaged, or refused
    }
    return null;
  }

  function failed(error) {
    state.trouble = error && error.name === "QuotaExceededError" ? "full" : "refused";
    anew = true;
    doubted = given;
    clearTimeout(again);
    if (db) again = setTimeout(() => { if (latest && state.trouble) keep(latest); }, AGAIN);
    queueMicrotask(tell); // whoever is told may not be ready yet
  }

  function keep(drill) {
    latest = drill;
    copy(drill);
    state.durable = Math.min(state.durable, drill.taps.length);
    state.changed = true;
    if (db) write(drill);
    tell();
  }

  function write(drill) {
    const mine = (given += 1), taps = drill.taps.length, from = anew ? 0 : Math.min(there, taps);
    try {
      const change = db.transaction("log", "readwrite", { durability: "strict" });
      const log = change.objectStore("log");
      if (anew) log.clear();
      else if (taps < there) log.delete(IDBKeyRange.lowerBound(taps + 1));
      drill.taps.slice(from).forEach((tap, n) => log.put(tap, from + n + 1));
      log.put({ zero: drill.zero, rev: drill.rev, marks: drill.marks }, 0);
      change.oncomplete = () => {
        if (mine <= doubted) return;
        state.durable = Math.min(taps, latest.taps.length);
        state.changed = mine < given;
        state.trouble = "";
        tell();
      };
      change.onabort = () => failed(change.error);
      there = taps;
      anew = false;
    } catch (error) {
      failed(error);
    }
  }

  function read(log) {
    return new Promise((resolve, reject) => {
      const keys = log.getAllKeys(), values = log.getAll();
      log.transaction.onabort = () => reject(log.transaction.error);
      log.transaction.oncomplete = () => {
        const found = new Map(keys.result.map((key, n) => [key, values.result[n]]));
        const head = found.get(0), taps = [];
        while (whole(found.get(taps.length + 1))) taps.push(found.get(taps.length + 1));
        resolve(head && (head.zero === null || Number.isFinite(head.zero)) ? { ...head, taps } : null);
      };
    });
  }

  const opened = new Promise((resolve) => {
    const late = setTimeout(() => { failed(null); resolve(null); }, PATIENCE);
    const refused = (error) => { clearTimeout(late); failed(error); resolve(null); };
    try {
      const request = indexedDB.open(name, 1);
      request.onupgradeneeded = () => request.result.createObjectStore("log");
      request.onerror = () => refused(request.error);
      request.onsuccess = () => {
        clearTimeout(late);
        db = request.result;
        db.onclose = () => { db = null; failed(null); };
        read(db.transaction("log").objectStore("log")).then((found) => {
          [state.trouble, state.changed] = ["", false];
          if (found) [there, anew, state.durable] = [found.taps.length, false, found.taps.length];
          resolve(found);
        }, refused);
      };
    } catch (error) {
      refused(error);
    }
  });
  return { state, copied, keep, opened, replace: (drill) => { anew = true; keep(drill); } };
};
