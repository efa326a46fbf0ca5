// The saved page of the field: keeps what is written on this phone before it says so, and sends it when the laptop answers.
"use strict";

const data = JSON.parse(document.getElementById("data").textContent);
const at = (id) => document.getElementById(id);
const list = at("kept"), outbox = makeOutbox(data), { everything, put, bare } = outbox;
makeStop(outbox);

// --- what is written ---------------------------------------------------------------------------------------------

const LIMITS = { speed_m_s: [0, 60], from_deg: [0, 360], gauge_Pa: [0, 3e6], peak_Pa: [0, 3e6], number: [1, 999], angle_deg: [0.1, 89], distance_m: [1, 2000], eye_m: [0, 10] };

function number(input) {
  const text = input.value.trim().replace(",", "."), per = Number(input.dataset.per ?? 1);
  const [low, high] = LIMITS[input.name], digits = (one) => Number((one / per).toPrecision(3));
  const value = /^[0-9]+(\.[0-9]+)?$/.test(text) ? Number(text) * per : NaN;
  if (!(value >= low && value <= high)) throw new Error(`${input.labels[0].firstChild.textContent.trim()}: a number from ${digits(low)} to ${digits(high)}`);
  if (input.name === "number" && !Number.isInteger(value)) throw new Error("the number of a launch is a whole one");
  return value;
}

function whoWrites() {
  const who = at("who")?.value.trim().toUpperCase();
  if (who && !/^(\p{L}{1,3}|[0-9]{1,3})$/u.test(who)) throw new Error("who writes: at most three letters, or a number up to 999");
  return who ? { who } : {};
}

// A form keeps a remark of its kind, or calls out what the day itself takes, whoever says it.
function entryOf(form) {
  const { kind, what } = form.dataset;
  const entry = { entry: mark(), at: now(), ...(what ? { what } : { kind, design: data.digest }), ...whoWrites() };
  for (const input of form.querySelectorAll("[name]")) {
    const text = input.value.trim();
    input.setAttribute("aria-invalid", "false");
    if (text === "" && !input.required) continue;
    if (!(input.name in LIMITS)) { entry[input.name] = text; continue; }
    try { entry[input.name] = Number(number(input).toPrecision(6)); } catch (error) {
      input.setAttribute("aria-invalid", "true");
      input.focus();
      throw error;
    }
  }
  if (entry.photo && !/^[\w][\w .()-]{0,80}\.(jpe?g|png|webp)$/i.test(entry.photo)) throw new Error("photo: the name of a picture file, such as IMG_0012.jpg");
  return entry;
}

const ONCE = "[name=remark], [name=says], [name=photo], [name=angle_deg], [name=speed_m_s], [name=gauge_Pa], [name=peak_Pa]";

addEventListener("submit", async (event) => {
  const form = event.target, told = form.querySelector(".told");
  event.preventDefault();
  if (!form.dataset.kind && !form.dataset.what) return;
  told.classList.remove("bad");
  told.textContent = "";
  let entry;
  try {
    entry = entryOf(form);
    await outbox.keep(entry);
    told.textContent = `Kept, ${entry.at.slice(11, 16)}.${entry.what ? " Say it aloud too." : ""}`;
    for (const input of form.querySelectorAll(ONCE)) input.value = "";
    if (form.dataset.kind === "launch") form.elements.number.value = entry.number + 1;
    height();
  } catch (error) {
    told.classList.add("bad");
    told.textContent = entry ? `NOT KEPT: ${error.message}. Write it on paper too.` : `Not kept. ${error.message}.`;
  }
  await show();
  outbox.send();
});

const shown = (value, what, places) => `${(value / data.units[what][1]).toFixed(places)} ${data.units[what][0]}`;
const SAYS = {
  wind: (one) => `Wind ${shown(one.speed_m_s, "speed", 1)}${one.from_deg === undefined ? "" : ` from ${one.from_deg}°`}`,
  pressure: (one) => `Gauge ${shown(one.gauge_Pa, "pressure", 2)}`,
  launch: (one) => `Launch ${one.number}`,
  sight: (one) => `${one.angle_deg}° from ${shown(one.distance_m, "length", 1)}: ${words(sighted(one.angle_deg, one.distance_m, one.eye_m))}`,
  remark: () => "Remark",
};
const CALLS = {
  stop: () => "STOP",
  thunder: () => "Thunder heard",
  "near miss": () => "Near miss",
  note: () => "Note",
  pumped: (one) => `Bottle ${one.vessel} was pumped up${one.peak_Pa === undefined ? "" : ` to ${shown(one.peak_Pa, "pressure", 2)}`}, and ${ENDED[one.ended]}`,
};
const ENDED = { launched: "it was launched", vented: "the pressure was let off", leak: "it leaked", burst: "it burst" };

async function show() {
  const all = (await everything()).sort((one, other) => (one.at < other.at ? 1 : -1));
  list.replaceChildren(...all.map((one) => {
    const row = document.createElement("li"), head = document.createElement("b"), state = document.createElement("span");
    head.textContent = (SAYS[one.kind] ?? CALLS[one.what])(one);
    state.textContent = `${one.at.slice(11, 16)} · ${one.sent === "yes" ? "on the laptop" : one.sent ? `the laptop refused it: ${one.sent}` : one.loose ? "NOT KEPT: on this open page only" : "on this phone only"}`;
    state.classList.toggle("bad", one.sent !== "yes" && (one.sent !== "" || Boolean(one.loose)));
    row.append(head, ...(one.remark || one.says ? [one.remark || one.says, document.createElement("br")] : []), state);
    return row;
  }));
  const waits = all.filter((one) => one.sent === "").length;
  waited = waits > 0;
  at("count").textContent = all.length === 0 ? "Nothing yet." : `${all.length} written, ${waits} not on the laptop yet.`;
}

// --- height of an angle: as bottlewright.logbook.sighting has it ----------------------------------------------------

function sighted(angle, distance, eye) {
  const steep = angle * Math.PI / 180;
  return { height: eye + distance * Math.tan(steep), off: distance * (data.angle_off_deg * Math.PI / 180) / Math.cos(steep) ** 2 };
}
function words({ height, off }) { return `${shown(height, "length", 1)} ± ${shown(off, "length", 1)}`; }

const sight = document.querySelector("form[data-kind=sight]");
function height() {
  if (!sight) return;
  try {
    const [angle, distance, eye] = ["angle_deg", "distance_m", "eye_m"].map((name) => number(sight.elements[name]));
    at("height").textContent = `${words(sighted(angle, distance, eye))}, for ± ${data.angle_off_deg}° alone`;
  } catch { at("height").textContent = ""; }
}
sight?.addEventListener("input", height);

// The phone's tilt: how far its long edge points above level, looking from the foot to the head. Turning the phone about
// that edge changes nothing; past upright the angle goes down again.
const raised = (beta) => Math.asin(Math.sin(beta * Math.PI / 180)) * 180 / Math.PI;
const TYPE_IT = "Read the angle off the printed quadrant and type it in.";
const NO_TILT = {
  insecure: `A page that came over the network gets no tilt from any browser. Save the page, and open the file. Or: ${TYPE_IT}`,
  refused: `This phone was told not to give its tilt to pages. Its settings may allow it. Or: ${TYPE_IT}`,
  none: `This browser does not give the phone’s tilt here. ${TYPE_IT}`,
};
let tilt = null;

async function tiltGiven() {
  if (!isSecureContext) return "insecure";
  if (typeof DeviceOrientationEvent === "undefined") return "none";
  if (!DeviceOrientationEvent.requestPermission) return "";
  try {
    return await DeviceOrientationEvent.requestPermission() === "granted" ? "" : "refused";
  } catch { return "refused"; }
}

at("tilt")?.addEventListener("click", async () => {
  const says = at("tilt-says"), why = await tiltGiven();
  if (why) { says.textContent = NO_TILT[why]; return; }
  addEventListener("deviceorientation", (event) => {
    if (event.beta === null) return;
    tilt = raised(event.beta);
    at("take").hidden = false;
    says.textContent = `${tilt.toFixed(1)}°. Look along the long edge, from the foot to the head. Level should say 0: it may be a degree or two off.`;
  });
  setTimeout(() => { if (tilt === null) says.textContent = NO_TILT.none; }, 2000);
});
at("take")?.addEventListener("click", () => { sight.elements.angle_deg.value = tilt.toFixed(1); height(); });

// --- sending -----------------------------------------------------------------------------------------------------

let waited = false;  // whether something was on this phone only
addEventListener("outbox", async ({ detail }) => {
  await show();
  if (detail.bad && detail.answered) tell(`The laptop does not take it: ${detail.said}. What is kept here is sent later.`, true);
  else if (detail.bad) tell(`Not sent: ${detail.said}. What is kept stays here.`, true);
  else if (!detail.answered) tell(waited ? "The laptop does not answer. What is kept goes there when it does." : "");
  else { older(detail.digest); stands(detail.stop); tell(waited ? "" : "The laptop answers. All that was kept is there."); }
});

function tell(text, bad = false) {
  at("sent").textContent = text;
  at("sent").classList.toggle("bad", bad);
}

function stands(stop) {
  const box = at("stands"), said = `Stop. ${stop}${stop.endsWith(".") ? "" : "."} So says the laptop: nothing goes on.`;
  box.hidden = !stop;
  if (stop && box.textContent !== said) box.textContent = said;
}

function older(digest) {
  const box = at("older");
  box.hidden = !digest || digest === data.digest;
  const said = `The design on the laptop is another now (${digest.slice(0, 8)}). This page was saved for ${data.digest.slice(0, 8)}: pressures, distances and wind limits may be others. Save the page anew.`;
  if (!box.hidden && box.textContent !== said) box.textContent = said;
}

at("send").addEventListener("click", () => { outbox.sendAnyway(); });
at("file").addEventListener("click", async () => {
  const rows = (await everything()).filter((one) => one.sent !== "yes").map((one) => JSON.stringify(bare(one)));
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([rows.map((row) => `${row}\n`).join("")], { type: "text/plain" }));
  link.download = `field-${now().slice(0, 10)}.jsonl`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  tell(`${rows.length} not on the laptop: a copy is in the downloads. On the laptop put it into logbook/days, beside the designs.`);
});

// --- beginning ---------------------------------------------------------------------------------------------------

// Ink on white whatever the phone is set to; dusk is asked for.
at("dusk").addEventListener("click", () => {
  at("dusk").setAttribute("aria-pressed", String(document.documentElement.classList.toggle("dusk")));
});

outbox.begin().then(async (keeps) => {
  if (!keeps) {
    at("nothing-kept").hidden = false;
    at("nothing-kept").textContent = "This browser keeps nothing: what you write here is lost when the page closes. Write it on paper too.";
  }
  await show();
});
