// What a page keeps on this phone until the laptop has it: in the phone's memory before it says "kept", sent until it is answered.
"use strict";

// own: mark (whose entries these are), pass, addresses of the laptop; who() gives initials or nothing. Tells of all news
// by the event "outbox" of the window: { answered, said, bad, digest, stop }.
function makeOutbox(own) {
  const OFTEN = 2000, SELDOM = 15000, PATIENCE = 8000, AT_ONCE = 50;  // ms between two tries, ms for an answer, entries in one
  const memory = new Map();
  let base = null, sending = false, stopped = false, last = -Infinity, few = AT_ONCE;

  function opened() {
    return new Promise((resolve, reject) => {
      const asks = indexedDB.open("bottlewright-field", 1);
      asks.onupgradeneeded = () => asks.result.createObjectStore("entries", { keyPath: "entry" });
      asks.onsuccess = () => resolve(asks.result);
      asks.onerror = asks.onblocked = () => reject(asks.error ?? new Error("blocked"));
    });
  }

  // Done only when the browser says that it is on the phone's memory: strict, not merely handed over.
  function written(act) {
    return new Promise((resolve, reject) => {
      const change = base.transaction("entries", "readwrite", { durability: "strict" });
      act(change.objectStore("entries"));
      change.oncomplete = resolve;
      change.onerror = change.onabort = () => reject(change.error ?? new Error("refused"));
    });
  }

  function stored() {
    if (!base) return Promise.resolve([]);
    return new Promise((resolve, reject) => {
      const asks = base.transaction("entries").objectStore("entries").getAll();
      asks.onsuccess = () => resolve(asks.result.filter((one) => one.mark === own.mark));
      asks.onerror = () => reject(asks.error);
    });
  }

  // What could not be kept is shown and sent too, as long as this page stays open, and says that it is not kept.
  async function everything() {
    const kept = await stored(), known = new Set(kept.map((one) => one.entry));
    return [...kept, ...[...memory.values()].filter((one) => !known.has(one.entry)).map((one) => ({ ...one, loose: true }))];
  }

  async function put({ loose: _loose, ...given }) {
    const entry = { ...given, mark: own.mark };
    memory.set(entry.entry, entry);
    if (!base) throw new Error("this browser keeps nothing");
    await written((store) => store.put(entry));
    memory.delete(entry.entry);
  }

  const keep = (entry) => put({ ...entry, sent: "" });

  function bare({ mark: _mark, sent: _sent, loose: _loose, ...entry }) { return entry; }

  async function ask(address, entries) {
    const gone = new AbortController(), timer = setTimeout(() => gone.abort(), PATIENCE);
    try {
      const body = JSON.stringify({ pass: own.pass, now: now(), file: own.file, entries: entries.map(bare) });
      const answer = await fetch(`${address}/entries`, { method: "POST", body, signal: gone.signal, credentials: "omit" });
      return { status: answer.status, said: await answer.text() };
    } finally { clearTimeout(timer); }
  }

  // All addresses at once: a laptop that is known by two names answers by one of them, and a stop waits for none.
  const first = (entries) => Promise.any(own.addresses.map((one) => ask(one, entries))).catch(() => null);

  const tell = (news) => dispatchEvent(new CustomEvent("outbox", { detail: news }));

  // Send some, and note of each what became of it; false where nobody answered or the laptop takes nothing.
  async function deliver(entries) {
    const answer = await first(entries);
    if (!answer) { tell({ answered: false, waits: entries.length }); return false; }
    if (answer.status !== 200) {
      stopped = answer.status === 403;
      tell({ answered: true, said: answer.said, bad: true });
      return false;
    }
    const { kept, refused, digest, stop } = JSON.parse(answer.said);
    let noted = true;  // else it is sent once more later, and the laptop knows it by its mark
    for (const entry of entries) {
      const why = refused[entry.entry];
      if (kept.includes(entry.entry) || why) await put({ ...entry, sent: why ?? "yes" }).catch(() => { noted = Boolean(entry.loose); });
    }
    tell({ answered: true, said: "", digest, stop, waits: 0 });
    return noted && entries.some((one) => kept.includes(one.entry) || refused[one.entry]);
  }

  const stopsFirst = (one, other) => (other.what === "stop") - (one.what === "stop");

  async function send() {
    if (sending || stopped || !own.addresses.length) return;
    sending = true;
    last = performance.now();
    try {
      for (;;) {
        const waits = (await everything()).filter((one) => one.sent === "").sort(stopsFirst).slice(0, few);
        const went = await deliver(waits);
        few = went ? AT_ONCE : Math.max(1, Math.floor(few / 2));  // a slow laptop gets less at once
        if (!went || !waits.length) break;
      }
    } catch (error) { tell({ answered: false, said: error.message, bad: true }); }
    sending = false;
  }

  async function sendWhatWaits() {
    const stop = (await everything()).some((one) => one.sent === "" && one.what === "stop");
    if (stop || performance.now() - last >= SELDOM) send();
  }

  async function begin() {
    try {
      base = await opened();
      base.onversionchange = () => base.close();
      navigator.storage?.persist?.().catch(() => {});
    } catch { base = null; }
    send();
    setInterval(sendWhatWaits, OFTEN);
    addEventListener("online", send);
    return base !== null;
  }

  return { begin, put, keep, everything, send, deliver, bare, sendAnyway: () => { stopped = false; return send(); } };
}

function mark() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

function now() {
  const moment = new Date(), minutes = -moment.getTimezoneOffset(), two = (number) => String(Math.floor(number)).padStart(2, "0");
  const local = new Date(moment.getTime() + 60000 * minutes).toISOString().slice(0, 19);
  return `${local}${minutes < 0 ? "-" : "+"}${two(Math.abs(minutes) / 60)}:${two(Math.abs(minutes) % 60)}`;
}
