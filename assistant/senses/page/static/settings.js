// How far away the page stands, and the big mode: figures alone, and all of the page is "next".

import { setText } from "./show.js";

const LEAST = 10; // minutes of arc: what is lower is not read from there
const CLEARLY = 1.3 * LEAST; // read also without the line that says so
const MM_PER_PX = { held: 0.166, desk: 0.265 }; // of a CSS pixel: phones and tablets have 150 to 160 to the inch, other screens 96
const DISTANCES = [0.5, 1, 2, 3]; // metres
const USUAL = 2;
const at = (id) => document.getElementById(id);
let state = () => null;
let big = false;
let cap = 0;

/** Let both be set; `now` gives the moment shown. */
export function showSettings(now) {
  state = now;
  const metres = new Intl.NumberFormat(document.documentElement.lang, { style: "unit", unit: "meter" });
  at("distance").append(...DISTANCES.map((far) => new Option(metres.format(far), far, far === USUAL, far === USUAL)));
  at("ask-big").addEventListener("click", () => setBig(true));
  at("end-big").addEventListener("click", () => setBig(false));
  at("distance").addEventListener("change", judge);
}

function setBig(on) {
  big = on;
  showBig();
  at(on ? "end-big" : "ask-big").focus();
}

/** It lasts while there is something to go on to, or a group to close below it: other questions need their answers. */
export function showBig() {
  const now = state();
  const on = big && Boolean(now) && !now.largest && (now.large.next.on || now.mode === "closing");
  document.body.classList.toggle("is-big", on);
  at("whole").hidden = !on || !now.large.next.on;
  at("end-big").hidden = !on;
}

/** Minutes of arc of a height in CSS pixels, as far away as the page stands; how large a pixel is no browser tells. */
export function arcMinutes(pixels) {
  const mm = matchMedia("(pointer: coarse)").matches ? MM_PER_PX.held : MM_PER_PX.desk;
  return (Math.atan((pixels * mm) / (1000 * Number(at("distance").value))) * 180 * 60) / Math.PI;
}

/** Say where the call is too small for the distance; a line that this takes makes it no larger, so it stays until the next. */
export function judge() {
  const now = state();
  const small = now?.calling && arcMinutes(cap) < LEAST;
  setText(at("too-small"), small ? document.body.dataset.small.replace("OPTION", now.perCall) : "");
}

document.addEventListener("fitted", ({ detail }) => {
  cap = detail.cap;
  if (arcMinutes(cap) > CLEARLY) setText(at("too-small"), ""); // it was said before all was in its place
});
