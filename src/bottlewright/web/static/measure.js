// Measuring: a stopwatch with three taps, a map to tap, and a name for each reading, so that it counts once.
"use strict";

// A reading that is sent again after the connection was lost has the name that it had.
const fresh = () => [...crypto.getRandomValues(new Uint8Array(8))].map((one) => one.toString(16).padStart(2, "0")).join("");
function named(form) {
  const entry = form?.querySelector?.("input[name=entry]");
  if (entry && !entry.value) entry.value = fresh();
}
addEventListener("submit", (event) => named(event.target), true);
addEventListener("reset", (event) => { const entry = event.target.querySelector("input[name=entry]"); if (entry) entry.value = ""; });
addEventListener("input", (event) => { const entry = event.target.form?.querySelector("input[name=entry]"); if (entry) entry.value = ""; });

// The stopwatch counts by this device's own clock, and goes on while pages change.
let began = 0, running = 0;
const ends = {};
const shows = () => document.getElementById("watch-shows");
const tap = (name) => document.querySelector(`[data-tap=${name}]`);
function tick() {
  if (!running) return;
  if (shows()) shows().textContent = `${((performance.now() - began) / 1000).toFixed(1)} s`;
  running = requestAnimationFrame(tick);
}
function write(name, seconds) {
  const input = document.querySelector(`#watch-form input[name=${name}]`);
  input.value = seconds;
  input.dispatchEvent(new Event("input", { bubbles: true }));
}
function tapped(name, at) {
  if (name === "off") {
    began = at;
    for (const end of ["up", "down"]) { delete ends[end]; write(end, ""); tap(end).disabled = false; }
    tap("off").textContent = "Begin again";
    cancelAnimationFrame(running);
    running = requestAnimationFrame(tick);
    return;
  }
  ends[name] = ((at - began) / 1000).toFixed(2);
  write(name, ends[name]);
  tap(name).disabled = true;
  if (name === "down") {
    cancelAnimationFrame(running);
    running = 0;
    shows().textContent = `${ends.down} s`;
    tap("up").disabled = true;
    tap("off").textContent = "It is off";
  }
}
// On touch the tap counts when the finger comes down, not when it leaves.
addEventListener("pointerdown", (event) => {
  const name = event.target.closest?.("[data-tap]")?.dataset.tap;
  if (name && !event.target.closest("[data-tap]").disabled && event.button === 0) tapped(name, event.timeStamp);
});
addEventListener("click", (event) => {  // by keyboard
  const button = event.target.closest?.("[data-tap]");
  if (button && event.detail === 0 && !button.disabled) tapped(button.dataset.tap, event.timeStamp);
});

// The map: metres from the launcher, east and north, and how far a finger is off.
const FINGER = 8;  // px
addEventListener("click", (event) => {
  const sheet = event.target.closest?.(".tap-on");
  if (!sheet) return;
  const box = sheet.getBoundingClientRect(), per = sheet.viewBox.baseVal.width / box.width;
  const x = (event.clientX - box.left) * per, y = (event.clientY - box.top) * per;
  const east = Number(sheet.dataset.west) + x * Number(sheet.dataset.per), north = Number(sheet.dataset.north) - y * Number(sheet.dataset.per);
  const mark = sheet.querySelector(".tapped");
  mark.removeAttribute("hidden");
  mark.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
  const form = document.getElementById("map-form");
  const put = { east: east.toFixed(1), north: north.toFixed(1), off: Math.max(2, FINGER * per * Number(sheet.dataset.per)).toFixed(1) };
  for (const [name, value] of Object.entries(put)) form.elements[name].value = value;
  form.elements.east.dispatchEvent(new Event("input", { bubbles: true }));
  document.getElementById("tapped-says").textContent = `${Math.hypot(east, north).toFixed(0)} m from the launcher. Look at the three numbers, then write it down.`;
});
