// The scrubber of one flight: what the server worked out for each moment is put in its place; nothing is computed here.
"use strict";

const stood = { time: 0, name: "release" };  // where the hand left it, kept when the flight changes
let shownRows = "", rows = [];

// A row is a name, then numbers and moves; what is as in the row before was left out.
function readRows(course) {
  if (course.dataset.rows === shownRows) return;
  shownRows = course.dataset.rows;
  rows = shownRows.split("|").map((row) => row.split(";"));
  for (let i = 1; i < rows.length; i += 1)
    for (let k = 1; k < rows[i].length; k += 1) rows[i][k] ||= rows[i - 1][k];
}

function showMoment(index) {
  const course = document.getElementById("course"), range = document.getElementById("scrub");
  const [name, ...values] = rows[index];
  const numbers = course.querySelectorAll("output b");
  numbers.forEach((number, k) => { number.textContent = values[k]; });
  course.dataset.parts.split(" ").forEach((part, k) => {
    course.querySelector(`#moment [data-part="${part}"]`).setAttribute("transform", values[numbers.length + k]);
  });
  for (const drawn of course.querySelectorAll("[data-places]")) {
    const [x, y] = drawn.dataset.places.split("|")[index].split(" ");
    drawn.querySelector('[data-part="cursor"]').setAttribute("transform", `translate(${x} 0)`);
    drawn.querySelector('[data-part="spot"]').setAttribute("transform", `translate(${x} ${y})`);
  }
  for (const button of course.querySelectorAll("[data-moment]"))
    button.setAttribute("aria-pressed", String(Number(button.dataset.moment) === index));
  const said = [...course.querySelectorAll("output span")].map((cell) => cell.textContent);
  range.value = index;
  range.setAttribute("aria-valuetext", [name, ...said].filter((text) => text && !text.startsWith("–")).join(", "));
  Object.assign(stood, { time: parseFloat(values[0]), name });
}

// After each revision: the same named moment, or else the one nearest in time.
function putBack() {
  const course = document.getElementById("course");
  if (!course) return;
  readRows(course);
  let index = stood.name ? rows.findIndex(([name]) => name === stood.name) : -1;
  if (index < 0) {
    const off = rows.map((row) => Math.abs(parseFloat(row[1]) - stood.time));
    index = off.indexOf(Math.min(...off));
  }
  showMoment(index);
}

addEventListener("input", (event) => { if (event.target.id === "scrub") showMoment(Number(event.target.value)); });
addEventListener("click", (event) => {
  const button = event.target.closest("[data-moment]");
  if (button) showMoment(Number(button.dataset.moment));
});
addEventListener("shown", putBack);
putBack();
