// A phone that waits for the laptop: it looks every two seconds whether somebody gave it a role.
"use strict";

const asked = "/join/state";
let before = null;
async function look() {
  try {
    const answer = await fetch(asked), now = await answer.text();
    if (before !== null && now !== before && !document.querySelector("form")) location.replace("/join");
    before = now;
  } catch { /* the laptop is away for a moment: look again */ }
  setTimeout(look, 2000);
}
if (!document.querySelector("form")) look();
