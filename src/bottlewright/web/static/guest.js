// A phone that joined: what its role may not write is shown, and can't be changed.
"use strict";

const may = new Set(page.dataset.may.split(" "));
function holdBack() {
  for (const form of document.querySelectorAll("form[data-post]")) {
    if (may.has(form.dataset.post)) continue;
    form.classList.add("not-yours");
    for (const one of form.elements) one.disabled = true;
  }
  for (const drawn of may.has("/do/draw") ? [] : document.querySelectorAll(".over, .over [tabindex]")) {
    drawn.classList.add("not-yours");
    drawn.removeAttribute("tabindex");
  }
  for (const grip of document.querySelectorAll(".handle, .load-point")) {
    if (may.has(grip.dataset.to ?? "/do/change")) continue;
    grip.classList.add("not-yours");
    grip.setAttribute("aria-disabled", "true");
    grip.removeAttribute("tabindex");
  }
}
addEventListener("shown", holdBack);
holdBack();
