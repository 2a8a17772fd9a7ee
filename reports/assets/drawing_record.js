/* What a drawing knows of a lift: event rows, stored or arriving, as lines through time.

   Nothing of the model is in here. Between two rows of one side, or one place, every number runs along a straight line from what
   was after the first to what was before the second; that is what the record says of itself. */
"use strict";

class LiftTrack {
  /* Several numbers through time: before and after each row. A row may foretell where it goes: aim = [time, ...values]. */
  constructor() {
    this.times = [];
    this.before = [];
    this.after = [];
    this.rows = [];
    this.aims = [];
  }

  add(time, before, after, row, aim) {
    let at = this.times.length;
    while (at > 0 && this.times[at - 1] > time) at -= 1;
    this.times.splice(at, 0, time);
    this.before.splice(at, 0, before);
    this.after.splice(at, 0, after);
    this.rows.splice(at, 0, row);
    this.aims.splice(at, 0, aim || null);
  }

  last(time) {
    /* The number of the last row at or before a time; -1 before the first. */
    let low = 0, high = this.times.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.times[middle] <= time) low = middle + 1; else high = middle;
    }
    return low - 1;
  }

  at(time) {
    const n = Math.max(0, this.last(time));
    const from = this.after[n];
    if (from === undefined) return null;
    let then = this.times[n + 1], to = this.before[n + 1];
    if (then === undefined && this.aims[n]) [then, ...to] = this.aims[n];
    if (then === undefined) return from;
    const share = then > this.times[n] ? Math.min(1, Math.max(0, (time - this.times[n]) / (then - this.times[n]))) : 0;
    return from.map((value, k) => value + share * (to[k] - value));
  }

  row(time) {
    return this.rows[Math.max(0, this.last(time))];
  }
}

class LiftRecord {
  /* Rows have the names of the record's columns. A row with `loss` says where a side would be stopped. */
  constructor(geometry) {
    this.geometry = geometry;
    this.end = 0;
    this.sides = new Map(geometry.sides.map((side) => [side.name, new LiftTrack()]));
    this.places = new Map(geometry.places.map((place) => [place.name, new LiftTrack()]));
    this.falls = new Map();
    this.called_down = new Map(); // a side's name -> when it was called down, and when it had come down
    this.people = new Map(); // name -> track of what each was doing
    this.said = new LiftTrack(); // of the leader
    this.crew = new LiftTrack(); // of all the others
  }

  add(rows) {
    for (const row of rows) this.add_one(row);
  }

  add_one(row) {
    this.end = Math.max(this.end, row.time_s);
    if (row.loss) {
      const key = `${row.loss} ${row.side}`;
      if (!this.falls.has(key)) this.falls.set(key, new LiftTrack());
      const after = [row.stop_u, row.drop_m], before = [row.stop_before_u ?? after[0], row.drop_before_m ?? after[1]];
      this.falls.get(key).add(row.time_s, before, after, row);
      return;
    }
    if (row.side && (row.what === "frees" || row.what === "let down")) {
      if (!this.called_down.has(row.side)) this.called_down.set(row.side, new LiftTrack());
      this.called_down.get(row.side).add(row.time_s, [], [], row);
    }
    if (row.side && this.sides.has(row.side)) this.sides.get(row.side).add(row.time_s, [row.u], [row.u], row, row.aim);
    if (row.station && this.places.has(row.station)) {
      const before = [row.demand_m, row.captured_before_m ?? row.captured_m], after = [row.demand_m, row.captured_m];
      this.places.get(row.station).add(row.time_s, before, after, row, row.aim);
    }
    if (row.who && row.who !== "leader" && row.what !== "moves" && row.what !== "rests") {
      if (!this.people.has(row.who)) this.people.set(row.who, new LiftTrack());
      this.people.get(row.who).add(row.time_s, [], [], row);
    }
    if (row.caption) (row.who === "leader" ? this.said : this.crew).add(row.time_s, [], [], row);
  }

  at(time) {
    /* Everything that a picture of one instant shows. */
    const u = this.geometry.sides.map((side) => (this.sides.get(side.name).at(time) || [0])[0]);
    const places = this.geometry.places.map((place) => this.place_at(place, time));
    const falls = this.geometry.sides.map((side, n) => ({
      pressure: this.fall_at("pressure", side.name, time, u[n]),
      lifter: this.fall_at("lifter", side.name, time, u[n]),
    }));
    const said = this.said.last(time) < 0 ? null : this.said.row(time);
    return {time, u, places, falls, said, call: said ? said.call : 0};
  }

  place_at(place, time) {
    const track = this.places.get(place.name);
    const numbers = track.at(time);
    if (!numbers) return {demand: 0, captured: 0, gap: 0, over: false, open: false, hands: false, caught: true, doing: "ready"};
    const row = track.row(time);
    const gap = Math.max(0, numbers[0] - numbers[1]), made = this.made(place, time);
    return {
      demand: numbers[0], captured: numbers[1], gap, made, over: !made && this.over(gap, this.geometry.gap_limit),
      open: !!row.open, hands: !!row.hands, caught: !!row.caught, doing: this.doing(place, time, made),
    };
  }

  made(place, time) {
    /* Whether its gap is made on purpose: from when a side of it is called down until that has come down. */
    return this.geometry.sides.some(({name, side}) => {
      const track = this.called_down.get(name);
      const mine = place.side === side || place.side === "both";
      return mine && track && track.last(time) >= 0 && track.row(time).what === "frees";
    });
  }

  doing(place, time, made) {
    /* What the people at a place's devices are doing there; one who is busy elsewhere is said to be. */
    const words = new Set();
    for (const device of place.devices) {
      const track = this.people.get(device.who);
      if (!track || track.last(time) < 0) continue;
      const row = track.row(time);
      const what = (made && this.geometry.doing_down[row.what]) || this.geometry.doing[row.what] || row.what;
      if (row.station && row.station !== place.name) words.add(what === "waiting" ? "waiting" : `busy at ${apart(row.station)}`);
      else words.add(what);
    }
    if (words.size > 1) words.delete("waiting");
    return [...words].join("; ") || "ready";
  }

  fall_at(loss, side, time, u) {
    const track = this.falls.get(`${loss} ${side}`);
    const numbers = track && track.at(time);
    if (!numbers) return null;
    const drop = Math.max(0, numbers[1]);
    return {u: Math.min(u, numbers[0]), drop, over: this.over(drop, this.geometry.drop_limit), onto: track.row(time).onto || null};
  }

  over(metres, limit) {
    return metres > limit + this.geometry.exact;
  }
}

class LiftFigures {
  /* Figures as people read them, in inches or millimetres; the same as sim/model/units.py, rounded and written alike. */
  constructor({lengths, exact}, units) {
    Object.assign(this, {units, exact, ...lengths[units]}); // unit, size [m], places
  }

  length(metres) {
    return this.written(liftRounded(metres / this.size, this.places));
  }

  up(metres) {
    /* Never less than it is: for a gap or a drop. */
    return this.written(Math.ceil(((metres - this.exact) / this.size) * 10 ** this.places) / 10 ** this.places);
  }

  written(number) {
    const places = {minimumFractionDigits: this.places, maximumFractionDigits: this.places};
    return (number + 0).toLocaleString("en-US", places) + this.unit;
  }

  static time(seconds) {
    return `${liftRounded(seconds, 1).toFixed(1)} s`;
  }
}

function liftRounded(value, places) {
  /* The nearest; of two as near the even one, as Python has it. */
  const steps = value * 10 ** places;
  const midway = Math.abs(steps % 1) === 0.5 && Number.isInteger(value * 2 ** (places + 1)); // exactly so, and not by rounding
  return midway ? (2 * Math.round(steps / 2)) / 10 ** places : Number(value.toFixed(places));
}

async function liftUnpacked(text) {
  /* The data of a page: JSON, compressed, in base64. */
  const bytes = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return JSON.parse(await new Response(stream).text());
}

function liftRows(columns) {
  /* Columns as rows. */
  const names = Object.keys(columns);
  return columns.time_s.map((_, n) => Object.fromEntries(names.map((name) => [name, columns[name][n]])));
}
