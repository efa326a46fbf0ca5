// The day: clocks that run by the laptop's time, whatever the phone's own says.
"use strict";

function spoken(seconds) {
  const whole = Math.max(0, Math.ceil(seconds)), minutes = Math.floor(whole / 60);
  return minutes ? `${minutes}:${String(whole % 60).padStart(2, "0")} min` : `${whole} s`;
}
function tick() {
  const now = ahead + performance.now() / 1000;
  for (const one of document.querySelectorAll("[role=timer]")) {
    const { until, since, bare } = one.dataset;
    const left = Number(until) - now;
    const text = until === undefined ? spoken(now - Number(since)) : left > 0 ? `${spoken(left)}${bare === undefined ? " more" : ""}` : "is over";
    if (one.textContent !== text) one.textContent = text;
    one.classList.toggle("over", until !== undefined && left <= 0);
  }
}
addEventListener("click", (event) => {  // a link into what is folded shut opens it
  const folded = document.getElementById(event.target.closest?.("a[data-opens]")?.dataset.opens ?? "");
  if (folded) folded.open = true;
});
setInterval(tick, 250);
addEventListener("shown", tick);
tick();
