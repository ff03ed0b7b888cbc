// The warp as it hangs, seen from the front: every end in its colour, how its groups stand below, where the call lies.

import { setText } from "./show.js";

const SVG = "http://www.w3.org/2000/svg";
const HIGH = 56;
const YARN = { y: 9, height: 22 };
const STATE = { y: 34, height: 20 };
const map = document.getElementById("map");
const near = document.getElementById("near");
const go = document.getElementById("go");
let hanging = null; // how it lies, which stays
let warp = null; // how its groups stand
let chosen = null; // the group that is looked at; null for the place now
let canGo = () => false;
let held = false; // it stays so until something else is touched, with its neighbours beside it

/** Have `goes` say whether one can go to a group now, and `there` called with the number of one that is gone to, and the event. */
export function onGroup(goes, there) {
  canGo = goes;
  const ask = (event) => {
    if (chosen === null || !goes()) return;
    const number = chosen + 1;
    letGo();
    there(number, event);
  };
  go.addEventListener("click", ask);
  map.addEventListener("click", (event) => hold(at(event)));
  for (const [id, further] of [["one-back", -1], ["one-on", 1]]) {
    document.getElementById(id).addEventListener("click", () => hold(chosen + further));
  }
  document.addEventListener("click", (event) => event.target.closest("#strip") || letGo());
  map.addEventListener("keydown", (event) => {
    if (event.key.toLowerCase() !== "enter" || chosen === null) return;
    event.preventDefault();
    event.stopPropagation();
    ask(event);
  });
}

/** Draw how the warp hangs. */
export function showHanging(told) {
  hanging = told;
}

/** Draw how its groups stand. */
export function showStates(told) {
  warp = told;
  draw();
  say();
}

function draw() {
  const wide = map.clientWidth;
  if (!warp || !hanging || !wide) return;
  const unit = wide / total();
  const drawn = shape("svg", { viewBox: `0 0 ${wide} ${HIGH}`, width: wide, height: HIGH, "aria-hidden": "true" });
  drawn.append(patterns());
  hanging.groups.forEach((group, number) => drawn.append(...segment(group, warp.groups[number], unit, wide)));
  if (warp.call) {
    const [x, width] = across(warp.call[0], warp.call[1], unit, wide);
    drawn.append(shape("rect", { class: "call", x: x - 1.5, width: Math.max(width, 3) + 3, y: YARN.y - 4, height: YARN.height + 8 }));
  }
  const place = Math.max(1, Math.min(across((warp.place / 1000) * total(), 0, unit, wide)[0], wide - 1));
  drawn.append(shape("path", { class: "now", d: `M${place - 6} 0h12l-6 8z` }));
  map.replaceChildren(yarns(unit, wide), drawn);
}

const total = () => hanging.groups.reduce((sum, group) => sum + group.units, 0);

/** Left edge and width of some units of the warp: the first lies where the warp begins. */
function across(start, units, unit, wide) {
  return [hanging.start === "right" ? wide - (start + units) * unit : start * unit, units * unit];
}

/** Every end in its colour; each is as wide as the screen lets it be, and none is left out before several share a pixel. */
function yarns(unit, wide) {
  const dense = window.devicePixelRatio || 1;
  const drawn = document.createElement("canvas");
  drawn.width = Math.round(wide * dense);
  drawn.height = Math.round(YARN.height * dense);
  drawn.style.cssText = `top:${YARN.y}px;width:${wide}px;height:${YARN.height}px`;
  const ink = drawn.getContext("2d");
  ink.scale(dense, dense);
  for (const group of hanging.groups) {
    let end = group.start;
    for (const [colour, ends] of group.bands) {
      const each = group.units / (group.bands.reduce((sum, [, many]) => sum + many, 0) || 1);
      const [x, width] = across(end, ends * each, unit, wide);
      ink.fillStyle = colour || "#888";
      ink.fillRect(x, 0, width, YARN.height);
      end += ends * each;
    }
  }
  return drawn;
}

function segment(group, { state, counted }, unit, wide) {
  const [x, width] = across(group.start, group.units, unit, wide);
  const gap = width > 6 ? 1 : 0;
  const [from, done] = across(group.outward ? group.start + group.units - counted : group.start, counted, unit, wide);
  return [
    shape("rect", { class: `state ${state}`, x, width: width - gap, ...STATE }),
    ...(state === "open" && done > gap ? [shape("rect", { class: "done", x: from, width: done - gap, ...STATE })] : []),
    shape("rect", { class: "edge", x, width, ...YARN }),
  ];
}

function patterns() {
  const made = shape("defs");
  const marks = { off: "M0 0L8 8M8 0L0 8", settled: "M-2 2L2 -2M0 8L8 0M6 10L10 6", checked: "M1 4L3 7L7 1", before: "M0 4h8", waiting: "M4 4h.01" };
  for (const [name, d] of Object.entries(marks)) {
    const pattern = shape("pattern", { id: `is-${name}`, width: 8, height: 8, patternUnits: "userSpaceOnUse" });
    pattern.append(shape("path", { class: `mark ${name}`, d }));
    made.append(pattern);
  }
  return made;
}

function shape(name, attributes = {}) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function say() {
  if (!warp || !hanging) return;
  const groups = Object.values(warp.groups);
  const shown = chosen ?? Math.max(groups.findIndex((group) => group.here), 0);
  setText(document.getElementById("told"), chosen === null ? warp.closed : groups[shown].words);
  near.hidden = !held;
  near.classList.toggle("is-from-right", hanging.start === "right");
  document.body.classList.toggle("is-looking", held);
  go.disabled = !held || groups[shown].here || !canGo();
  document.getElementById("one-back").disabled = shown === 0;
  document.getElementById("one-on").disabled = shown === groups.length - 1;
  map.setAttribute("aria-valuemax", groups.length);
  map.setAttribute("aria-valuenow", shown + 1);
  map.setAttribute("aria-valuetext", groups[shown].words);
}

function choose(number) {
  chosen = number === null || !hanging ? null : Math.max(0, Math.min(number, hanging.groups.length - 1));
  say();
}

function hold(number) {
  if (number === null) return;
  held = true;
  choose(number);
}

function letGo() {
  if (!held) return;
  held = false;
  choose(null);
}

/** The group at a place on the map. */
function at(event) {
  if (!warp || !hanging) return null;
  const { left, width } = map.getBoundingClientRect();
  const part = (event.clientX - left) / width;
  const unit = (hanging.start === "right" ? 1 - part : part) * total();
  return hanging.groups.findLastIndex((group) => group.start <= unit && unit <= group.start + group.units);
}

const STEPS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageUp: 10, PageDown: -10, Home: -Infinity, End: Infinity };
map.addEventListener("keydown", (event) => {
  if (event.key.toLowerCase() === "escape") return letGo();
  if (!(event.key in STEPS) || !warp) return;
  event.preventDefault();
  event.stopPropagation();
  hold(Number(map.getAttribute("aria-valuenow")) - 1 + STEPS[event.key]);
});
map.addEventListener("pointermove", (event) => event.pointerType === "mouse" && !held && choose(at(event)));
map.addEventListener("pointerleave", (event) => event.pointerType === "mouse" && !held && choose(null));
new ResizeObserver(draw).observe(map);
