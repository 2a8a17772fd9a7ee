/* The calls aloud: the browser's own voice where it has one, else tones. Silent until a person turns it on. */
"use strict";

class LiftSound {
  constructor(drawing) {
    this.drawing = drawing;
    this.tones = drawing.geometry.tones;
    this.on = false;
    this.context = null;
    this.button = liftElement(drawing.extra, "button", {type: "button", class: "lift-sound", "aria-pressed": "false"}, "Sound: off");
    this.button.title = "calls and holds spoken, or as tones where this browser has no voice";
    this.button.addEventListener("click", () => this.turn());
    document.addEventListener("lc:said", (event) => this.say(event.detail));
  }

  turn() {
    this.on = !this.on;
    this.button.setAttribute("aria-pressed", String(this.on));
    if (!this.on) {
      if (window.speechSynthesis) window.speechSynthesis.cancel();
      this.button.textContent = "Sound: off";
      return;
    }
    const Context = window.AudioContext || window.webkitAudioContext;
    if (!this.context && Context) this.context = new Context();
    if (this.context) this.context.resume();
    this.button.textContent = this.voice() ? "Sound: voice" : this.context ? "Sound: tones" : "Sound: none here";
  }

  voice() {
    /* A voice for the page's language, if the browser has any that needs no network. */
    if (!window.speechSynthesis) return null;
    const own = window.speechSynthesis.getVoices().filter((voice) => voice.localService);
    const language = (document.documentElement.lang || "en").slice(0, 2);
    return own.find((voice) => voice.lang.startsWith(language)) || own[0] || null;
  }

  say({aloud, tone, speed}) {
    if (!this.on) return;
    const voice = this.voice();
    if (!voice) {
      this.play(tone);
      return;
    }
    if (tone === "crew" && window.speechSynthesis.speaking) return; // the leader is not talked over
    const words = new SpeechSynthesisUtterance(aloud);
    words.voice = voice;
    words.lang = voice.lang;
    words.rate = Math.min(2, 1.1 * Math.max(1, speed || 1));
    if (tone !== "crew") window.speechSynthesis.cancel();
    window.speechSynthesis.speak(words);
  }

  play(name) {
    /* The tone of a thing said, part by part; the same as in the WAV call track. */
    if (!this.context) return;
    let at = this.context.currentTime + 0.01;
    for (const [pitch, seconds] of this.tones[name] || []) {
      if (pitch > 0) this.beep(pitch, at, seconds);
      at += seconds;
    }
  }

  beep(pitch, at, seconds) {
    const source = this.context.createOscillator(), loud = this.context.createGain();
    source.frequency.value = pitch;
    loud.gain.setValueAtTime(0, at);
    loud.gain.linearRampToValueAtTime(0.25, at + 0.008);
    loud.gain.setValueAtTime(0.25, at + seconds - 0.008);
    loud.gain.linearRampToValueAtTime(0, at + seconds);
    source.connect(loud).connect(this.context.destination);
    source.start(at);
    source.stop(at + seconds);
  }
}
