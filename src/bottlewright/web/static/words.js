// A word of the trade explains itself where it stands; without this script the link leads to a page of its own.
"use strict";

const saying = document.getElementById("word");
addEventListener("click", async (event) => {
  const link = event.target.closest?.("a.word");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  const answer = await fetch(`${link.pathname}?bare=yes`);
  if (!answer.ok) return;
  saying.querySelector("div").innerHTML = await answer.text();
  saying.showModal();
});
saying.addEventListener("click", (event) => { if (event.target === saying) saying.close(); });
