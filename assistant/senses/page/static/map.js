// The map: every group in proportion, its yarns above, its state below, in words where it is pointed at.

import { setText } from "./show.js";

const SVG = "http://www.w3.org/2000/svg";
const HIGH = 48;
const YARN = { y: 8, height: 18 };
const STATE = { y: 28, height: 18 };
const map = document.getElementById("map");
let warp = null;
let chosen = null; // the group that words are shown of; null for the place now

/** Have `go` called with the number of a group that is touched, or chosen by enter. */
export function onGroup(go) {
  map.addEventListener("click", (event) => {
    pointed(event);
    if (chosen !== null) go(chosen + 1);
  });
  map.addEventListener("keydown", (event) => {
    if (event.key.toLowerCase() !== "enter" || chosen === null) return;
    event.preventDefault();
    event.stopPropagation();
    go(chosen + 1);
  });
}

/** Draw the warp. */
export function showMap(told) {
  warp = told;
  draw();
  say();
}

function draw() {
  const wide = map.clientWidth;
  if (!warp || !wide) return;
  const total = warp.groups.reduce((sum, group) => sum + group.units, 0);
  const drawn = shape("svg", { viewBox: `0 0 ${wide} ${HIGH}`, width: wide, height: HIGH, "aria-hidden": "true" });
  drawn.append(patterns());
  for (const group of warp.groups) drawn.append(...segment(group, wide / total));
  const place = Math.min((warp.place / warp.wide) * wide, wide - 1);
  drawn.append(shape("path", { class: "now", d: `M${place - 6} 0h12l-6 7z M${place - 1} 6h2v${HIGH - 6}h-2z` }));
  map.replaceChildren(drawn);
}

function segment(group, unit) {
  const x = group.start * unit;
  const width = group.units * unit;
  const gap = width > 6 ? 1 : 0;
  return [
    ...yarns(group, x, width - gap),
    shape("rect", { class: `state ${group.state}`, x, width: width - gap, ...STATE }),
    ...(group.state === "open" ? [shape("rect", { class: "done", x, width: ((width - gap) * group.counted) / group.units, ...STATE })] : []),
  ];
}

function yarns({ bands }, x, width) {
  const ends = bands.reduce((sum, band) => sum + band.ends, 0) || 1;
  let left = x;
  const drawn = bands.map((band) => {
    const wide = (width * band.ends) / ends;
    left += wide;
    return shape("rect", { class: "yarn", x: left - wide, width: wide, ...YARN, ...(band.colour ? { fill: band.colour } : {}) });
  });
  return [...drawn, shape("rect", { class: "edge", x, width, ...YARN })];
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
  if (!warp) return;
  const here = Math.max(warp.groups.findIndex((group) => group.here), 0);
  const shown = chosen ?? here;
  setText(document.getElementById("told"), chosen === null ? warp.closed : warp.groups[shown].words);
  map.setAttribute("aria-valuemax", warp.groups.length);
  map.setAttribute("aria-valuenow", shown + 1);
  map.setAttribute("aria-valuetext", warp.groups[shown].words);
}

function choose(number) {
  chosen = number === null ? null : Math.max(0, Math.min(number, warp.groups.length - 1));
  say();
}

function pointed(event) {
  if (!warp) return;
  const { left, width } = map.getBoundingClientRect();
  const total = warp.groups.reduce((sum, group) => sum + group.units, 0);
  const unit = ((event.clientX - left) / width) * total;
  choose(warp.groups.findLastIndex((group) => group.start <= unit));
}

const STEPS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageUp: 10, PageDown: -10, Home: -Infinity, End: Infinity };
map.addEventListener("keydown", (event) => {
  if (!(event.key in STEPS) || !warp) return;
  event.preventDefault();
  event.stopPropagation();
  choose(Number(map.getAttribute("aria-valuenow")) - 1 + STEPS[event.key]);
});
map.addEventListener("pointermove", pointed);
map.addEventListener("pointerdown", pointed);
map.addEventListener("pointerleave", () => choose(null));
map.addEventListener("blur", () => choose(null));
new ResizeObserver(draw).observe(map);
