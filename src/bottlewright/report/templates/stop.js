// Stop: one tap, no question, on every page. Until the laptop has it, the page says in large letters: shout.
"use strict";

function makeStop(outbox) {
  const SOON = 1500;  // ms after which nobody is left waiting for an answer
  const CUT = "SHOUT STOP: this phone is not connected";
  const panel = document.createElement("section");
  panel.className = "shout";
  panel.hidden = true;
  panel.setAttribute("role", "alertdialog");
  panel.setAttribute("aria-labelledby", "shout-says");
  panel.innerHTML = '<h2 id="shout-says"></h2><p id="shout-where"></p><p>Nobody goes near the launcher. Whoever pumps stops pumping.</p><button type="button" id="shout-back">Back to the page</button>';
  document.body.append(panel);
  const [says, where] = panel.querySelectorAll("h2, p"), back = panel.querySelector("button");
  let called = null;  // the stop that the panel speaks of

  function show(heading, line) {
    if (says.textContent !== heading) says.textContent = heading;
    where.textContent = line;
    panel.hidden = false;
  }

  back.addEventListener("click", () => { panel.hidden = true; });
  addEventListener("keydown", (event) => { if (event.key === "Escape") panel.hidden = true; });

  async function state() {
    if (!called || panel.hidden) return;
    const entry = (await outbox.everything()).find((one) => one.entry === called.entry) ?? called;
    const at = entry.at.slice(11, 16);
    if (entry.sent === "yes") show("STOP", `The laptop has it, ${at}. It stands until the person in charge lifts it. Shout it too.`);
    else if (entry.sent) show("SHOUT STOP: the laptop did not take it", `${entry.sent}.`);
    else show(CUT, entry.loose ? `Called ${at}. NOT KEPT: leave this page open, it is sent when the laptop answers.` : `Called ${at}. It is kept on this phone, and is sent when the laptop answers.`);
  }

  async function stop(words = "") {
    const entry = { entry: mark(), what: "stop", at: now(), ...(words ? { says: words } : {}) };
    called = { ...entry, sent: "", loose: true };
    show("SHOUT STOP", "Telling the laptop …");
    back.focus();
    const soon = setTimeout(state, SOON);
    await outbox.keep(entry).then(() => { called.loose = false; }).catch(() => { /* in this page's memory, and the panel says so */ });
    await outbox.deliver([called]).catch(() => false);
    clearTimeout(soon);
    await state();
  }

  addEventListener("outbox", ({ detail }) => {
    if (detail.bad && detail.said && called && !panel.hidden && says.textContent !== "STOP") show("SHOUT STOP: the laptop did not take it", `${detail.said}. What is kept here is sent again.`);
    else state();
  });

  // A tap is enough, and so is a key: the button itself does it, nothing is sent as a form.
  document.addEventListener("click", (event) => {
    if (!event.target.closest("[data-stop]")) return;
    event.preventDefault();
    stop();
  }, true);
  return { stop, state };
}

// A page of the server that is joined brings its pass with it: what it keeps goes to the laptop also after that began anew.
let joinedOnce = false;
function joinedWith(pass) {
  if (!pass || joinedOnce) return;
  joinedOnce = true;
  const outbox = makeOutbox({ pass, mark: pass.slice(0, pass.indexOf(".") + 17), addresses: [location.origin] });
  makeStop(outbox);
  outbox.begin();
}
joinedWith(document.querySelector("meta[name=pass]")?.content);

// A page that was open before the day was prepared gets its pass once there is a day: its stop is kept like any other.
let askedLast = -Infinity;  // ms
async function joinLate() {
  if (joinedOnce || performance.now() - askedLast < 5000) return;
  askedLast = performance.now();
  try {
    const fresh = new DOMParser().parseFromString(await (await fetch(location.href)).text(), "text/html");
    joinedWith(fresh.querySelector("meta[name=pass]")?.content);
  } catch { /* the laptop is away for a moment: the next message asks again */ }
}
addEventListener("day", joinLate);
