// The field: a tap puts a corner down, a drag moves one, the ring turns the wind. The server checks, writes and redraws.
"use strict";

{  // names of its own

const HINTS = {
  move: "Take a corner, the launcher or somebody’s place and move it; the page scrolls beside them. Tap a corner to remove it, or the ground before you press Closer.",
  boundary: "Tap the corners of the field one after the other, going round once. Tapping the first one again closes it.",
  "keep-out": "Tap its corners, or both ends of a line, or the one spot.",
  launcher: "Tap where the launcher stands.",
  operator: "Tap where whoever pulls the cord stands.",
  pumper: "Tap where whoever pumps stands.",
  spectators: "Tap where the nearest spectators stand.",
};
const NEAR = 22;  // px from the middle of what a finger hits
const draft = [];  // corners put down and not sent yet, in the builder's unit
let drag = null;  // what the hand holds
let keepOut = null;  // what was chosen to keep out of: its kind and how it is drawn
let looked = null;  // the place that Closer goes to
let chosen = null;  // the corner that is spoken of: its outline and number

const tools = () => document.getElementById("tools");
const tool = () => new FormData(tools()).get("tool");
const drawsLine = () => tool() === "keep-out" && new FormData(tools()).get("form") === "line";
const ground = () => [...document.querySelectorAll(".ground > .over")].find((one) => one.getBoundingClientRect().width > 0);
const fixed = (value) => String(Number(value.toFixed(2)));

// From a place on the screen to the ground, east and north in the builder's unit, to what a finger can tell.
function place(svg, event, exact) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const { west, north, per, step } = svg.dataset, to = exact ? 0.01 : Number(step);
  return [Number(west) + at.x * per, Number(north) - at.y * per].map((value) => Math.round(value / to) * to);
}
const onSheet = (svg, [east, north]) => [(east - svg.dataset.west) / svg.dataset.per, (svg.dataset.north - north) / svg.dataset.per];
const points = (svg, corners) => corners.map((one) => onSheet(svg, one).map((value) => value.toFixed(1)).join(" "));
const written = (corners) => corners.map((one) => one.map(fixed).join(",")).join(" ");
const read = (text) => text.split(" ").filter(Boolean).map((one) => one.split(",").map(Number));

async function draw(fields, where = "/do/draw", wrong = "draw-wrong") {
  let said = "";
  try {
    const answer = await fetch(where, {
      method: "POST", body: new URLSearchParams(fields),
      headers: { "X-Bottlewright-Token": token, "Content-Type": "application/x-www-form-urlencoded" },
    });
    if (!answer.ok) said = await answer.text();
  } catch {
    said = "Nobody answers: nothing was changed.";
  }
  const line = document.getElementById(wrong);
  if (line) line.textContent = said;
  return !said;
}

// --- drawing by taps --------------------------------------------------------------------------------------------------

function showDraft() {
  const form = tools();
  if (!form) return;
  const svg = ground(), what = tool();
  document.getElementById("tool-hint").textContent = HINTS[what] ?? "";
  document.getElementById("keep-out-tools").hidden = what !== "keep-out";
  if (keepOut) for (const [name, value] of Object.entries(keepOut)) form.elements[name].value = value;
  for (const input of document.querySelectorAll("[data-middle]")) input.value = looked ? written([looked]) : "";
  document.getElementById("drawing").hidden = draft.length === 0;
  document.querySelector("[data-draw=close]").textContent = drawsLine() ? "End the line here" : "Close the outline";
  const corner = chosen && chosenOutline();
  document.getElementById("chosen").hidden = !(corner && what === "move" && corner.dataset.form !== "spot");
  for (const spot of document.querySelectorAll(".spot"))
    spot.classList.toggle("now", Boolean(chosen) && spot.id === chosen.id);
  if (!svg) return;
  const mark = looked && !draft.length ? onSheet(svg, looked).map((one) => one.toFixed(1)) : null;
  const at = points(svg, draft), drawn = svg.querySelector(".draft");
  drawn.innerHTML = at.length ? `<path class="edge" d="M${at.join("L")}"/>` + at.map((one, k) => {
    const [x, y] = one.split(" ");
    return `<circle class="${k ? "dot" : "first"}" cx="${x}" cy="${y}" r="${k ? 3 : 5}"/>`;
  }).join("") : mark ? `<path class="looked" d="M${mark.join(" ")}m-7 0h4m6 0h4m-7 -7v4m0 6v4"/>` : "";
}

async function close() {
  const data = new FormData(tools()), corners = written(draft);
  const fields = tool() === "boundary" ? { what: "boundary", corners }
    : { what: "new keep-out", corners, kind: data.get("kind"), form: data.get("form"), name: data.get("name") };
  if (!await draw(fields)) return;
  draft.length = 0;
  tools().querySelector("[name=name]").value = "";
  showDraft();
}

function tap(svg, event) {
  const what = tool(), at = place(svg, event);
  if (what === "move") { chosen = null; looked = at; showDraft(); return; }
  if (what !== "boundary" && what !== "keep-out") { draw({ what, corners: written([at]) }); return; }
  if (draft.length > 2 && !drawsLine() && distance(svg, draft[0], event) < NEAR) { close(); return; }
  if (draft.length && distance(svg, draft.at(-1), event) < 4) return;  // the second tap of two quick ones
  draft.push(at);
  document.getElementById("draw-wrong").textContent = "";
  if (what === "keep-out" && new FormData(tools()).get("form") === "spot") { draft.splice(0, draft.length - 1); close(); return; }
  showDraft();
}

function distance(svg, corner, event) {
  const at = new DOMPoint(...onSheet(svg, corner)).matrixTransform(svg.getScreenCTM());
  return Math.hypot(at.x - event.clientX, at.y - event.clientY);
}

// --- corners and places by drag and keys ------------------------------------------------------------------------------

// Of all that a finger covers, what lies nearest.
function nearest(svg, event) {
  const spots = [...svg.querySelectorAll(".spot")];
  const off = (one) => distance(svg, [Number(one.dataset.east), Number(one.dataset.north)], event);
  return spots.sort((a, b) => off(a) - off(b))[0];
}

function chosenOutline() {
  return document.getElementById(chosen.id)?.closest(".traced");
}

function hold(spot) {
  const outline = spot.closest(".traced");
  spot.dataset.held = "";
  if (outline) outline.dataset.held = "";
  return { spot, outline, corner: Number(spot.dataset.corner), now: [Number(spot.dataset.east), Number(spot.dataset.north)], moved: false };
}

function move(one, to) {
  const svg = one.spot.ownerSVGElement, [x, y] = onSheet(svg, to);
  one.now = to;
  one.moved = true;
  one.spot.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
  if (!one.outline) return;
  const corners = read(one.outline.dataset.corners);
  corners[one.corner] = to;
  one.outline.querySelector(".edge").setAttribute("d", `M${points(svg, corners).join("L")}${one.outline.dataset.form === "outline" ? "z" : ""}`);
}

async function release(one) {
  const { spot, outline } = one;
  let done = true;
  if (one.moved) done = await (outline ? redraw(outline, (corners) => { corners[one.corner] = one.now; }) : draw({ what: spot.dataset.what, corners: written([one.now]) }));
  if (!done) move(one, [Number(spot.dataset.east), Number(spot.dataset.north)]);  // as it was
  for (const held of [spot, outline]) if (held) delete held.dataset.held;
  skip();
  whole();
}

function redraw(outline, change) {
  const { what, number, name, form, corners } = outline.dataset, rows = read(corners);
  change(rows);
  return draw({ what, number, was: name, form, corners: written(rows) });
}

let finger = null;  // where it came down: a browser may move a tap to something near that can be pressed
addEventListener("pointerdown", (event) => { finger = event; }, true);
addEventListener("pointerdown", (event) => {
  const hit = event.target.closest?.(".spot");
  if (!hit || event.button > 0 || tool() !== "move") return;
  const spot = nearest(hit.ownerSVGElement, event);
  event.preventDefault();
  spot.focus({ preventScroll: true });
  hit.setPointerCapture(event.pointerId);
  chosen = { id: spot.id };
  drag = { ...hold(spot), id: event.pointerId, x: event.clientX, y: event.clientY };
  showDraft();
});
addEventListener("pointermove", (event) => {
  if (!drag || drag.id !== event.pointerId) return;
  if (!drag.moved && Math.hypot(event.clientX - drag.x, event.clientY - drag.y) < 4) return;
  move(drag, place(drag.spot.ownerSVGElement, event));
});
for (const end of ["pointerup", "pointercancel"]) {
  addEventListener(end, (event) => {
    if (!drag || drag.id !== event.pointerId) return;
    const one = drag;
    drag = null;
    release(one);
  });
}
addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-draw]"), svg = event.target.closest?.(".ground > .over");
  if (button) press(button.dataset.draw);
  else if (svg && !(tool() === "move" && event.target.closest(".spot"))) tap(svg, finger ?? event);
});

function press(what) {
  if (what === "close") { close(); return; }
  if (what === "back") draft.pop();
  if (what === "drop") draft.length = 0;
  const outline = chosen && chosenOutline(), corner = outline ? Number(document.getElementById(chosen.id).dataset.corner) : 0;
  if (outline && what === "remove") redraw(outline, (rows) => rows.splice(corner, 1));
  if (outline && what === "more") redraw(outline, (rows) => {
    const here = rows[corner], next = rows[(corner + 1) % rows.length];
    rows.splice(corner + 1, 0, [0, 1].map((k) => (here[k] + next[k]) / 2));
  });
  showDraft();
}

const STEPS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
let keyed = null;
addEventListener("keydown", (event) => {
  const spot = event.target.closest?.(".spot"), way = STEPS[event.key];
  if (!spot || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Enter" || event.key === " ") { event.preventDefault(); chosen = { id: spot.id }; showDraft(); return; }
  if (event.key === "Delete" && spot.closest(".traced")) { chosen = { id: spot.id }; press("remove"); return; }
  if (!way) return;
  event.preventDefault();
  if (!keyed || keyed.spot !== spot) keyed = hold(spot);
  const step = Number(spot.ownerSVGElement.dataset.step) * (event.shiftKey ? 10 : 1);
  move(keyed, keyed.now.map((value, k) => value + way[k] * step));
});
addEventListener("keyup", (event) => {
  if (!keyed || !STEPS[event.key]) return;
  const one = keyed;
  keyed = null;
  release(one);
});

// --- the wind ---------------------------------------------------------------------------------------------------------

let turning = null;
function turnWind(speed, towards) {
  const form = document.getElementById("wind-form"), { x, y, radius, top } = document.getElementById("rose-over").dataset;
  const point = document.getElementById("wind-point"), way = (towards % 360 + 360) % 360;
  const long = radius * Math.min(speed / top, 1), turn = way * Math.PI / 180;
  form.elements.speed.value = fixed(Math.max(speed, 0));
  form.elements.from.value = fixed(way);
  point.setAttribute("transform", `translate(${(Number(x) + long * Math.sin(turn)).toFixed(1)} ${(y - long * Math.cos(turn)).toFixed(1)})`);
  point.setAttribute("aria-valuenow", fixed(way));
  point.setAttribute("aria-valuetext", `${fixed(Math.max(speed, 0))} from ${fixed(way)}°`);
  slide(form);
}
addEventListener("pointerdown", (event) => {
  const point = event.target.closest?.(".wind-point");
  if (!point || event.button > 0) return;
  event.preventDefault();
  point.setPointerCapture(event.pointerId);
  point.dataset.held = "";
  point.focus({ preventScroll: true });
  turning = event.pointerId;
});
addEventListener("pointermove", (event) => {
  if (turning !== event.pointerId) return;
  const svg = document.getElementById("rose-over"), { x, y, radius, top } = svg.dataset;
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const east = at.x - x, north = y - at.y;
  turnWind(Math.round(Math.min(Math.hypot(east, north) / radius, 1) * top * 10) / 10, Math.round(Math.atan2(east, north) * 36 / Math.PI) * 5);
});
for (const end of ["pointerup", "pointercancel"]) {
  addEventListener(end, (event) => {
    if (turning !== event.pointerId) return;
    turning = null;
    delete document.getElementById("wind-point").dataset.held;
    skip();
    whole();
  });
}
addEventListener("keydown", (event) => {
  const way = STEPS[event.key];
  if (!event.target.closest?.(".wind-point") || !way) return;
  event.preventDefault();
  const form = document.getElementById("wind-form").elements;
  turnWind(Number(form.speed.value) + 0.5 * way[1], Number(form.from.value) + 10 * way[0]);
});

// --- forms ------------------------------------------------------------------------------------------------------------

addEventListener("change", async (event) => {
  const input = event.target;
  if (input.type === "file" && input.form?.id === "import") {
    const [file] = input.files, wrong = document.getElementById("import-wrong");
    if (!file) return;
    if (file.size > 100_000) wrong.textContent = `${file.name} has ${Math.round(file.size / 1000)} kB; a map for this page may have 100 kB: keep the edge of the field and what matters for the landing.`;
    else await draw({ name: file.name, text: await file.text() }, "/do/import", "import-wrong");
    input.value = "";
    return;
  }
  if (input.form !== tools()) return;
  if (input.name === "tool" || input.name === "form") draft.length = 0;
  const { kind, form } = tools().elements;
  if (input === kind) form.value = kind.selectedOptions[0].dataset.form;
  keepOut = { kind: kind.value, form: form.value };
  showDraft();
});
addEventListener("submit", (event) => { if (!event.target.dataset.post) event.preventDefault(); });
addEventListener("shown", showDraft);
addEventListener("resize", showDraft);
showDraft();
}
