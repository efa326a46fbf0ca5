// What a page does by itself: show each new revision, send what is changed, say when nobody answers.
"use strict";

const page = document.documentElement;
const token = document.querySelector("meta[name=token]").content;
const LONGEST_WAIT = 2000;  // ms between two tries to connect
let pressed = false, waits = 100;

// While a pointer or a key is down, what is under it stays as the hand has it.
for (const [down, up] of [["pointerdown", "pointerup"], ["keydown", "keyup"]]) {
  addEventListener(down, () => { pressed = true; }, true);
  addEventListener(up, () => { pressed = false; }, true);
}
addEventListener("blur", () => { pressed = false; });

function show(message) {
  const fresh = document.createElement("div");
  fresh.id = "page";
  fresh.innerHTML = message.html;
  const busy = document.activeElement;
  Idiomorph.morph(document.getElementById("page"), fresh, {
    ignoreActiveValue: true,
    callbacks: {
      beforeNodeMorphed: (old, now) => {
        if (old === busy && pressed) return false;
        if (old.matches && old.matches("input:not([type=hidden])") && old !== busy) {
          if (old.type === "radio" || old.type === "checkbox") old.checked = now.hasAttribute("checked");
          else if (old.value !== now.getAttribute("value")) old.value = now.getAttribute("value") ?? "";
        }
        if (old.matches && old.matches("details")) now.toggleAttribute("open", old.open);
        return true;
      },
    },
  });
  page.dataset.revision = message.revision;
}

function connect() {
  const scheme = location.protocol === "https:" ? "wss:" : "ws:";
  const socket = new WebSocket(`${scheme}//${location.host}/live/${page.dataset.page}`);
  socket.onopen = () => { waits = 100; page.dataset.connected = "yes"; };
  socket.onmessage = (event) => show(JSON.parse(event.data));
  socket.onclose = () => {
    page.dataset.connected = "no";
    setTimeout(connect, waits);
    waits = Math.min(2 * waits, LONGEST_WAIT);
  };
}
connect();

async function send(form) {
  const wrong = form.querySelector(".wrong");
  const body = new URLSearchParams(new FormData(form));
  let said = "";
  try {
    const answer = await fetch(form.dataset.post, {
      method: "POST", body,
      headers: { "X-Bottlewright-Token": token, "Content-Type": "application/x-www-form-urlencoded" },
    });
    const text = await answer.text();
    if (answer.ok && (text || form.dataset.then)) location.assign(text || form.dataset.then);
    said = answer.ok ? "" : text;
  } catch {
    said = "Nobody answers: nothing was changed.";
  }
  if (wrong) {
    wrong.textContent = said;
    for (const input of form.querySelectorAll("input:not([type=hidden])")) input.setAttribute("aria-invalid", String(said !== ""));
  }
}

addEventListener("submit", (event) => {
  if (!event.target.dataset.post) return;
  event.preventDefault();
  send(event.target);
});
addEventListener("change", (event) => {
  const form = event.target.form;
  if (form && form.dataset.live !== undefined) send(form);
});
