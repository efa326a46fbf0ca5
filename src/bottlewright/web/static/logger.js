// A logger's file goes to this computer's own server as it is, and comes back as a page.
"use strict";

addEventListener("change", async (event) => {
  const input = event.target, file = input.matches?.("#logger-file") && input.files[0];
  if (!file) return;
  const wrong = document.getElementById("logger-wrong"), busy = document.getElementById("logger-busy");
  const launch = new URLSearchParams(location.search).get("launch") ?? document.querySelector("[name=launch]")?.value ?? "";
  wrong.textContent = "";
  busy.textContent = `${file.name} is being read …`;
  try {
    const answer = await fetch(`/do/logger?${new URLSearchParams({ name: file.name, launch })}`, {
      method: "POST", body: file,
      headers: { "X-Bottlewright-Token": token, "Content-Type": "application/octet-stream" },
    });
    const text = await answer.text();
    if (answer.ok) location.assign(text);
    else wrong.textContent = `${file.name}: ${text}`;
  } catch {
    wrong.textContent = "Nobody answers: the file was not read.";
  }
  busy.textContent = "";
  input.value = "";
});
