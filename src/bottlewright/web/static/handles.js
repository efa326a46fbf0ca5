// Grips on the drawing: a drag by mouse or finger, or arrow keys, becomes a value with its unit; the server redraws.
"use strict";

let grip = null;  // what the hand holds: element, value now, value at first
const queue = new Map();  // what still has to be sent, by key; the last value only
const mine = new Map();  // the last value that was sent, by key, and the revision that it made
const waiting = new Set();  // grips that were let go and are not drawn there yet
let sending = false;

const number = (element, name) => Number(element.dataset[name]);

function taken(element) {
  const last = mine.get(element.dataset.key);  // the page may not show it yet
  const now = last && last.revision > Number(page.dataset.revision) ? last.now : number(element, "now");
  const { x, y, now: shown } = element.dataset;
  return { element, key: element.dataset.key, first: now, now, moved: false, at: null, was: { x, y, now: shown } };
}

function turn(one, value) {
  const { element } = one, step = number(element, "step"), places = number(element, "decimals");
  const low = number(element, "low"), high = number(element, "high");
  const now = Number(Math.min(high, Math.max(low, Math.round(value / step) * step)).toFixed(places));
  if (now === one.now) return;
  one.now = now;
  one.moved = true;
  show_at(one);
  post(one, true);
}

function show_at(one) {
  const { element } = one, said = `${one.now.toFixed(number(element, "decimals"))} ${element.dataset.unit}`;
  const way = (one.now - number(element, "now")) / number(element, "per"), across = element.dataset.axis === "y";
  const x = number(element, "x") + (across ? 0 : way), y = number(element, "y") - (across ? way : 0);
  element.setAttribute("transform", `translate(${x.toFixed(2)} ${y.toFixed(2)})`);
  element.setAttribute("aria-valuenow", one.now);
  element.setAttribute("aria-valuetext", said);
  const text = element.querySelector("text");
  if (text) text.textContent = `${element.dataset.short} ${said}`;
  return said;
}

function post(one, drag) {
  const { element } = one;
  mine.set(one.key, { now: one.now, revision: Infinity });
  queue.set(one.key, {
    one, body: new URLSearchParams({
      key: one.key, value: `${one.now.toFixed(number(element, "decimals"))} ${element.dataset.unit}`,
      spread: element.dataset.spread, drag: drag ? "1" : "", file: element.dataset.file ?? "",
    }),
  });
  if (!sending) pump();
}

async function pump() {  // one at a time, and always the last
  sending = true;
  while (queue.size) {
    const [key, { one, body }] = queue.entries().next().value;
    queue.delete(key);
    let said = "";
    try {
      const answer = await fetch(one.element.dataset.to ?? "/do/change", {
        method: "POST", body, keepalive: true,
        headers: { "X-Bottlewright-Token": token, "Content-Type": "application/x-www-form-urlencoded" },
      });
      if (!answer.ok) said = await answer.text();
      if (!queue.has(key)) mine.get(key).revision = answer.ok ? Number(answer.headers.get("X-Revision")) : 0;
      if (waiting.has(one) && mine.get(key).revision <= Number(page.dataset.revision)) show(latest);  // it came first
    } catch {
      said = "Nobody answers: nothing was changed.";
      mine.delete(key);
    }
    const wrong = document.getElementById("grips-wrong");
    if (wrong) wrong.textContent = said;
    if (said) back(one);
  }
  sending = false;
}

function back(one) {  // what was refused is as it was when the hand took it
  if (grip === one) grip = null;
  const { dataset } = one.element;
  waiting.delete(one);
  delete dataset.held;
  Object.assign(dataset, one.was);
  one.now = one.first;
  show_at(one);
}

function let_go() {
  if (!grip) return;
  const one = grip, { dataset } = one.element;
  grip = null;
  [, dataset.x, dataset.y] = /([-\d.]+) ([-\d.]+)/.exec(one.element.getAttribute("transform"));
  dataset.now = one.now;  // where the hand left it, until the server draws it elsewhere
  if (one.moved) {
    dataset.held = "waiting";
    waiting.add(one);
    post(one, false);
  } else delete dataset.held;
}

addEventListener("redraw", ({ detail }) => {
  for (const one of waiting) {
    if (mine.has(one.key) && mine.get(one.key).revision > detail) continue;
    waiting.delete(one);
    if (!grip || grip.element !== one.element) delete one.element.dataset.held;
  }
});

function take(element) {
  let_go();
  grip = taken(element);
  element.dataset.held = "";
}

addEventListener("pointerdown", (event) => {
  const element = event.target.closest && event.target.closest(".handle");
  if (!element || event.button > 0) return;
  event.preventDefault();
  element.focus({ preventScroll: true });
  element.setPointerCapture(event.pointerId);
  take(element);
  grip.at = { id: event.pointerId, x: event.clientX, y: event.clientY };
});

addEventListener("pointermove", (event) => {
  if (!grip || !grip.at || grip.at.id !== event.pointerId) return;
  const svg = grip.element.ownerSVGElement, points = svg.viewBox.baseVal.width / svg.getBoundingClientRect().width;
  const way = grip.element.dataset.axis === "y" ? grip.at.y - event.clientY : event.clientX - grip.at.x;
  turn(grip, grip.first + way * points * number(grip.element, "per"));
});
for (const end of ["pointerup", "pointercancel", "blur", "pagehide"]) {
  addEventListener(end, (event) => { if (grip && (!event.pointerId || (grip.at && grip.at.id === event.pointerId))) let_go(); });
}

const WAYS = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 };
addEventListener("keydown", (event) => {
  const element = event.target;
  if (!element.matches || !element.matches(".handle") || event.ctrlKey || event.metaKey || event.altKey) return;
  const way = WAYS[event.key], bound = { Home: "low", End: "high" }[event.key];
  if (event.key === "Escape" && grip) {
    turn(grip, grip.first);
    let_go();
  } else if (way || bound) {
    event.preventDefault();
    if (!grip || grip.element !== element) take(element);
    turn(grip, bound ? number(element, bound) : grip.now + way * (event.shiftKey ? 10 : 1) * number(element, "step"));
  }
});
addEventListener("keyup", (event) => { if (grip && !grip.at && WAYS[event.key] || event.key === "Home" || event.key === "End") let_go(); });
addEventListener("focusout", (event) => { if (grip && grip.element === event.target && !grip.at) let_go(); });
