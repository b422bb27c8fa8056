// Timers of several rings, one started after the other, with a sound and a shake. Without this file times are typed.
"use strict";
(() => {
  const APART = 60; // the next ring is poured so long after the last [s]
  const running = new Map();
  let sound;

  function beep(times) {
    try {
      sound = sound || new (window.AudioContext || window.webkitAudioContext)();
      for (let count = 0; count < times; count++) {
        const tone = sound.createOscillator(), loud = sound.createGain(), start = sound.currentTime + 0.3 * count;
        tone.frequency.value = 880;
        loud.gain.setValueAtTime(0.4, start);
        loud.gain.exponentialRampToValueAtTime(0.001, start + 0.22);
        tone.connect(loud).connect(sound.destination);
        tone.start(start);
        tone.stop(start + 0.24);
      }
    } catch (_) { /* no sound here: the words and the shake remain */ }
    if (navigator.vibrate) navigator.vibrate(Array(times).fill([200, 100]).flat());
  }
  function written(seconds) {
    const whole = Math.round(seconds);
    return Math.floor(whole / 60) + ":" + String(whole % 60).padStart(2, "0");
  }
  function tell(words) { const told = document.getElementById("rings-told"); if (told) told.textContent = words; }
  function field(button) { return button.closest(".ring").querySelector("input[name=value]"); }
  function show() { for (const one of document.querySelectorAll("button[data-ring]")) one.hidden = false; }

  function tapped(event) {
    const button = event.target.closest && event.target.closest("button[data-ring]");
    if (!button) return;
    const ring = button.dataset.ring, state = running.get(ring);
    if (state && !state.ended) {
      state.ended = true;
      field(button).value = written((Date.now() - state.started) / 1000);
      button.textContent = button.dataset.go;
      beep(1);
      return;
    }
    running.set(ring, { started: Date.now(), ended: false, told: false });
    button.textContent = button.dataset.stop;
    field(button).value = "0:00";
    tell("");
    beep(1);
  }
  function tick() {
    for (const [ring, state] of running) {
      const button = document.querySelector('button[data-ring="' + ring + '"]');
      if (!button) continue;
      const seconds = (Date.now() - state.started) / 1000;
      if (!state.ended) field(button).value = written(seconds);
      const next = document.querySelector('button[data-ring="' + (Number(ring) + 1) + '"]');
      if (!state.told && seconds >= APART && next && !running.has(next.dataset.ring)) {
        state.told = true;
        tell(button.dataset.next);
        beep(3);
      }
    }
  }
  document.addEventListener("click", tapped);
  document.addEventListener("submit", () => { for (const state of running.values()) state.ended = true; });
  new MutationObserver(show).observe(document.querySelector("main").parentNode, { childList: true });
  setInterval(tick, 500);
  show();
})();
