// The map of loads on Tune: the ring is dragged, or another place is pressed; the two sliders carry what it says.
"use strict";

const between = (low, high, share) => low + Math.min(Math.max(share, 0), 1) * (high - low);
const numbers = (text) => text.split(" ").map(Number);

// Put both sliders where a pointer is on the map, and the ring with it.
function load(ring, event) {
  const place = new DOMPoint(event.clientX, event.clientY).matrixTransform(ring.ownerSVGElement.getScreenCTM().inverse());
  const [left, top, right, bottom] = numbers(ring.dataset.box);
  const shares = [(place.x - left) / (right - left), (bottom - place.y) / (bottom - top)];
  const form = document.getElementById("load-form");
  const sliders = form.querySelectorAll("input[type=range]");
  [ring.dataset.water, ring.dataset.pressure].forEach((ends, which) => {
    sliders[which].value = between(...numbers(ends), shares[which]);
  });
  ring.setAttribute("transform", `translate(${between(left, right, shares[0])} ${between(bottom, top, shares[1])})`);
  slide(form);
}

let held = null;
addEventListener("pointerdown", (event) => {
  const ring = event.target.closest?.(".load-point");
  if (!ring) return;
  held = ring.id;
  ring.dataset.held = "";
  ring.setPointerCapture(event.pointerId);
  event.preventDefault();
});
addEventListener("pointermove", (event) => { if (held) load(document.getElementById(held), event); });
for (const end of ["pointerup", "pointercancel"]) {
  addEventListener(end, () => {
    if (held) delete document.getElementById(held).dataset.held;
    held = null;
  });
}
addEventListener("click", (event) => {
  const ring = event.target.closest?.("#figure-loads svg")?.querySelector(".load-point");
  if (ring) load(ring, event);
});
