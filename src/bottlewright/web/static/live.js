// What a page does by itself: show each new revision, send what is changed, say when nobody answers.
"use strict";

const page = document.documentElement;
const token = document.querySelector("meta[name=token]").content;
const LONGEST_WAIT = 2000;  // ms between two tries to connect
let pressed = false, waits = 100;
const underway = new Map();  // forms that are dragged, by name: whether there is more to send

// While a pointer or a key is down, what is under it stays as the hand has it.
for (const [down, up] of [["pointerdown", "pointerup"], ["keydown", "keyup"]]) {
  addEventListener(down, () => { pressed = true; }, true);
  addEventListener(up, () => { pressed = false; whole(); }, true);
}
addEventListener("blur", () => { pressed = false; whole(); });

// What was left as the hand had it while a message came is asked for again when the hand lets go.
let socket = null, skipped = false;
function whole() {
  if (!skipped || pressed || underway.size || socket?.readyState !== WebSocket.OPEN) return;
  skipped = false;
  socket.send("all");
}
function skip() {
  skipped = true;
  return false;
}

// What was written into a form that is sent as a whole stays until it is sent.
function drafted(node) {
  if (node.matches(".wrong")) return true;
  if (node.matches("[type=radio], [type=checkbox]")) return node.checked !== node.defaultChecked;
  return node.matches("input") && node.value !== node.defaultValue;
}

// A piece that is as it was shows what the file says, also where a hand had written something that was taken back.
function asWritten(piece) {
  for (const input of piece.querySelectorAll("input:not([type=hidden]), select")) {
    if (input === document.activeElement || input.ariaInvalid === "true" || input.closest("[data-draft]")) continue;
    if (input.matches("select")) input.value = [...input.options].find((one) => one.defaultSelected)?.value ?? input.options[0]?.value;
    else if (input.matches("[type=radio], [type=checkbox]")) input.checked = input.defaultChecked;
    else input.value = input.defaultValue;
  }
}

let latest = null;  // the last message that was shown

// What every page says of the day in the field: whether one is kept, whether a stop stands, what time it is there.
let ahead = Number(page.dataset.at) - performance.now() / 1000;  // s, of the laptop's clock before this page's own
function beside(message) {
  ahead = message.at - performance.now() / 1000;
  page.toggleAttribute("data-day", message.day);
  if (message.day) dispatchEvent(new Event("day"));
  const stands = document.querySelectorAll("#stands b, #stands span");
  if (stands[1].textContent === message.stop) return;
  stands[0].textContent = message.stop ? "Stop." : "";
  stands[1].textContent = message.stop;
}

function show(message) {
  if (page.dataset.revision === "0") return;  // a page that never changes
  latest = message;
  dispatchEvent(new CustomEvent("redraw", { detail: message.revision }));
  const fresh = document.createElement("div");
  fresh.id = "page";
  fresh.innerHTML = message.html;
  const busy = document.activeElement, chosen = new Map();
  Idiomorph.morph(document.getElementById("page"), fresh, {
    ignoreActiveValue: true,
    callbacks: {
      beforeNodeMorphed: (old, now) => {
        if (now.dataset && "same" in now.dataset) {  // this window has it already, or it follows when the hand rests
          if (!("late" in now.dataset)) asWritten(old);
          old.toggleAttribute("data-busy", "late" in now.dataset);
          old.ariaBusy = String("late" in now.dataset);
          return false;
        }
        if (old === busy && pressed) return skip();
        if (old === busy && old.matches("button")) old.textContent = now.textContent;  // the rest of it idiomorph leaves alone
        if (old.matches && old.matches("[data-draft] *") && drafted(old)) return false;
        if (underway.has(old.id) || (old.dataset && "held" in old.dataset)) return skip();  // as the hand has it
        if (old.matches && old.matches("[type=radio], [type=checkbox]")) old.checked = now.hasAttribute("checked");
        else if (old.matches && old.matches("input:not([type=hidden])") && old !== busy && old.value !== now.getAttribute("value"))
          old.value = now.getAttribute("value") ?? "";
        if (old.matches && old.matches("select")) chosen.set(old, now.value);
        if (old.matches && old.matches("details")) now.toggleAttribute("open", old.open);
        return true;
      },
    },
  });
  for (const [select, value] of chosen) select.value = value;  // whoever chose by hand sees what the file says now
  page.dataset.revision = message.revision;
  dispatchEvent(new Event("shown"));  // a page with a script of its own puts back what the hand had moved
}

const narrow = matchMedia("(max-width: 46rem)");  // as in style.css: the server draws for this width only

function connect() {
  const scheme = location.protocol === "https:" ? "wss:" : "ws:";
  const width = narrow.matches ? "narrow" : "wide";
  const of = page.dataset.revision === "0" ? "here" : page.dataset.page;
  socket = new WebSocket(`${scheme}//${location.host}/live/${of}?width=${width}`);
  let turned = false;
  narrow.onchange = () => { turned = true; socket.close(); };  // and come back at once with the other width
  socket.onopen = () => { waits = 100; };
  socket.onmessage = (event) => {
    const message = JSON.parse(event.data);
    if (message.session !== page.dataset.session) { location.reload(); return; }  // another server, which takes no token of the earlier one
    beside(message);
    if (message.html === undefined) return;  // a stop is told at once: its page follows when it is drawn
    page.dataset.connected = "yes";  // what is shown is up to date from here
    show(message);
  };
  socket.onclose = () => {
    if (turned) { connect(); return; }
    page.dataset.connected = "no";
    setTimeout(connect, waits);
    waits = Math.min(2 * waits, LONGEST_WAIT);
  };
}
connect();

// What a device says of the day has a name, so that it may be sent again where no answer came: it counts once.
const entryNames = new WeakMap();
function nameOf(form) {
  if (!entryNames.has(form)) entryNames.set(form, [...crypto.getRandomValues(new Uint8Array(16))].map((one) => one.toString(16).padStart(2, "0")).join(""));
  return entryNames.get(form);
}

async function send(form) {
  const body = new URLSearchParams(new FormData(form)), once = body.has("entry");
  if (once && !body.get("entry")) body.set("entry", nameOf(form));
  if (body.has("at")) body.set("at", new Date().toISOString());
  for (const slider of form.querySelectorAll("input[type=range]")) body.set(slider.name, written(slider));
  let said = "", fields = {}, revision = 0;
  try {
    const answer = await fetch(form.dataset.post, {
      method: "POST", body,
      headers: { "X-Bottlewright-Token": token, "Content-Type": "application/x-www-form-urlencoded" },
    });
    const text = await answer.text();
    entryNames.delete(form);  // whatever was answered is settled; pressed again it is another
    revision = Number(answer.headers.get("X-Revision"));
    if (answer.ok && (text || form.dataset.then)) location.assign(text || form.dataset.then);
    if (answer.ok && form.dataset.draft !== undefined) form.reset();
    said = answer.ok ? "" : text;
    fields = JSON.parse(answer.headers.get("X-Fields") ?? "{}");  // what is wrong, by the name of its field
  } catch {
    said = form.id === "stop-all" ? "SHOUT STOP: this page is not connected." : once
      ? "Not connected: nobody knows whether this arrived. Press again." : "Nobody answers: nothing was changed.";
  }
  const some = Object.keys(fields).length > 0;
  const inputs = form.querySelectorAll("input:not([type=hidden])");
  for (const wrong of form.querySelectorAll(".wrong")) {
    wrong.textContent = wrong.dataset.for ? fields[wrong.dataset.for] ?? "" : some ? "" : said;
    for (const input of inputs) input.setAttribute("aria-invalid", String(some ? input.name in fields : said !== ""));
  }
  const first = some && [...inputs].find((input) => input.name in fields);
  if (first) { first.focus(); first.select(); }
  return revision;
}

// A slider's value as the file has it, with its unit and the ± that was there.
function written(slider) {
  const { unit, spread } = slider.dataset;
  return `${slider.value} ${unit}${spread ? ` ± ${spread}` : ""}`;
}

// What is dragged sends the last place that it came to, and the next when that is on screen.
async function slide(form) {
  if (underway.has(form.id)) { underway.set(form.id, true); return; }
  do {
    underway.set(form.id, false);
    const revision = await send(form);
    const until = performance.now() + 500;
    while (Number(page.dataset.revision) < revision && performance.now() < until) await new Promise(requestAnimationFrame);
  } while (underway.get(form.id));
  underway.delete(form.id);
  whole();
}

// Undo by keys, where no text is being written that has an undo of its own.
addEventListener("keydown", (event) => {
  const key = event.key.toLowerCase(), what = key === "y" || (key === "z" && event.shiftKey) ? "redo" : key === "z" ? "undo" : "";
  if (!what || !(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches("input, textarea, select")) return;
  const form = document.querySelector(`form[data-post="/do/${what}"]`);
  if (form && !form.querySelector("button").disabled) { event.preventDefault(); send(form); }
});
addEventListener("submit", (event) => {
  if (!event.target.dataset.post) return;
  event.preventDefault();
  send(event.target);
});
addEventListener("change", (event) => {
  const form = event.target.form;
  if (form && form.dataset.live !== undefined) send(form);
});
addEventListener("input", (event) => {
  const form = event.target.form;
  if (!form || form.dataset.slide === undefined) return;
  event.target.setAttribute("aria-valuetext", `${event.target.value} ${event.target.dataset.unit}`);
  slide(form);
});
