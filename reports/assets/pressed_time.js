/* Where on an axis a time stands that has long stretches shown shorter, and which time stands there: as
   reports/views/stands.py, whose stretches these are, [from, to, shown] each [s]. */
"use strict";
window.lc = window.lc || {};
lc.pressedAt = (time, stretches) =>
  stretches.reduce((at, [start, to, shown]) => at - (time > start ? (Math.min(time, to) - start) * (1 - shown / (to - start)) : 0), time);
lc.trueTime = (at, stretches) => {
  let time = at;
  for (const [start, to, shown] of stretches) {
    if (time > start) time = time < start + shown ? start + ((time - start) * (to - start)) / shown : time + to - start - shown;
  }
  return time;
};
