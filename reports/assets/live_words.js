/* What a rehearsal's page says besides its drawing: what goes on, the surprises, how it went. */
"use strict";

const LIVE_PHASES = {
  connecting: "connecting", ready: "ready to begin", running: "under way", frozen: "stopped: everybody is frozen",
  ending: "ending: what can be caught is being caught", away: "the caller is away: the lift holds and waits", over: "the lift is over", lost: "NO CONNECTION: what you see is old, and nothing you press is heard; trying again",
};

const LiveWords = {
  state(phase, watchers, role) {
    const who = role === "watcher" ? "You watch" : "You call";
    const others = watchers && phase !== "lost" ? ` · ${watchers} watching` : "";
    const unheard = phase === "away" && role === "caller";
    const what = unheard ? "you are not heard: the lift holds and waits" : LIVE_PHASES[phase] || phase;
    put(document.getElementById("state"), phase === "lost" ? what : `${who} · ${what}${others}`);
  },

  asks({asks, word, waits, end}) {
    /* The word that is due stands on the large button; a lift with stages says what is waited for. */
    const at = (id) => document.querySelector(`#${id} span`);
    put(at("call-all"), word || "Call");
    put(at("end"), end || "End the lift");
    put(document.getElementById("waits"), waits ? `${waits[0].toUpperCase()}${waits.slice(1)}.` : "");
    for (const sides of document.querySelectorAll(".live-sides")) sides.hidden = !["call", "up"].includes(asks || "call");
    const more = end && end !== "End the lift";
    put(document.getElementById("end-asked-words"), more ? "High enough? What can still be caught is caught, and the next part begins." : "End the lift? What can still be caught is caught; no more can be called.");
    put(at("end-yes"), more ? "Yes, high enough" : "Yes, end it");
  },

  notice({time_s, words}) {
    put(document.getElementById("notice"), `At ${Math.floor(time_s)} s of the lift: ${words}.`);
  },

  surprises(message, names) {
    const list = document.getElementById("surprises"), kinds = document.getElementById("surprise-kind");
    list.replaceChildren();
    for (const {kind, who, call} of message.surprises) {
      liftElement(list, "li", {}, `${names[kind]}: ${apart(who)}, ${call ? `from call ${call} on` : "from the start"}`);
    }
    if (!message.surprises.length) liftElement(list, "li", {}, "none");
    if (kinds.options.length) return;
    const whom = document.getElementById("surprise-who");
    const fill = () => {
      whom.replaceChildren();
      for (const who of message.by_hand[kinds.value]) liftElement(whom, "option", {value: who}, who);
    };
    for (const kind of Object.keys(message.by_hand)) liftElement(kinds, "option", {value: kind}, names[kind]);
    kinds.addEventListener("change", fill);
    fill();
  },

  afterwards(message) {
    const part = document.getElementById("afterwards"), units = document.documentElement.dataset.units;
    put(document.getElementById("outcome"), message.sentence);
    const body = document.getElementById("figures");
    body.replaceChildren();
    for (const {name, own, rule} of message.figures) {
      const row = liftElement(body, "tr");
      liftElement(row, "th", {scope: "row"}, name);
      for (const cell of [own, rule]) {
        liftElement(liftElement(row, "td", {class: "text"}), "span", {"data-us": cell.us, "data-si": cell.si}, cell[units]);
      }
    }
    const noticed = document.getElementById("noticed");
    noticed.replaceChildren();
    for (const line of message.surprises) liftElement(noticed, "li", {}, `Surprise: ${line}`);
    for (const line of message.stops) liftElement(noticed, "li", {}, `Stop ${line}`);
    for (const line of message.handed_over) liftElement(noticed, "li", {}, line);
    if (message.stored) put(document.getElementById("stored"), message.stored);
    else put(document.getElementById("stored-as"), ", which could not be stored: open it and save it from the browser before you close this page");
    document.getElementById("report").href = `/report${location.search}`;
    part.hidden = false;
    part.focus();
  },
};
