// The state, as it was told, onto the page. Everything is set as text.

import { fit } from "./fit.js";
import { showStand } from "./stand.js";

const TEXTS = ["title", "place", "group", "range", "following", "taken", "left", "warp", "senses", "heard", "notice"];
const at = (id) => document.getElementById(id);
let clearing = 0;

/** Show a moment of the session. */
export function showNow(now) {
  for (const id of TEXTS) setText(at(id), now[id]);
  setText(at("sound-now"), now.senses);
  setText(at("asked"), [now.aside, now.calling && !now.reads ? "" : now.asked].filter(Boolean).join(" "));
  setText(at("too-small"), "");
  document.title = now.title;
  document.body.dataset.mode = now.mode;
  document.body.classList.toggle("is-alarm", now.alarm);
  at("senses").classList.toggle("is-worse", !now.well);
  at("yarns").replaceChildren(...now.yarns.map(yarn));
  at("yarns").hidden = now.yarns.length === 0;
  showList(now);
  showStand(now.stand);
  showFigures(now);
  setText(at("said"), now.alarm ? "" : now.said);
  setText(at("alert"), now.alarm ? now.asked : "");
}

/** Say what became of a touch, for a while. */
export function say(text, forMs) {
  clearTimeout(clearing);
  setText(at("became"), text);
  at("became").hidden = false;
  clearing = setTimeout(() => (at("became").hidden = true), forMs);
}

/** Say that something is wrong with the connection; "" takes it back. */
export function showLost(text) {
  setText(at("lost"), text);
  at("lost").hidden = !text;
}

function showFigures(now) {
  const old = at("figures").children;
  if (old.length !== now.figures.length) at("figures").replaceChildren(...now.figures.map(() => element("div", "piece")));
  now.figures.forEach((piece, number) => {
    const told = JSON.stringify(piece);
    if (old[number].dataset.told === told) return;
    old[number].dataset.told = told;
    const lines = element("div", "lines");
    lines.classList.toggle("are-one-end", piece.lines.length > 1);
    lines.append(...piece.lines.map((line) => element("span", "line-of", line)));
    old[number].replaceChildren(lines, bar(piece.dyes), element("span", "caption", piece.caption));
  });
  at("figures").hidden = now.figures.length === 0;
  fit(now.row);
}

/** The yarns of a piece, beside each other. */
function bar(dyes) {
  const made = element("div", "bar");
  made.setAttribute("aria-hidden", "true");
  made.append(...dyes.map(dyed));
  return made;
}

function dyed({ colour, pattern, edge }) {
  const made = element("span", "dye");
  made.classList.add(`is-pattern-${pattern}`);
  made.classList.toggle("is-edged", edge);
  if (colour) made.style.backgroundColor = colour;
  return made;
}

function showList(now) {
  const rows = now.table.length ? [now.total, ...now.table] : [];
  at("list").hidden = rows.length === 0;
  at("list").replaceChildren(...rows.map((row) => element("p", row.startsWith("!") ? "is-off" : "", row)));
}

function yarn({ name, dye, ends }) {
  const item = element("li", "", `${name} × ${ends}`);
  item.prepend(bar([dye]));
  return item;
}

export function element(name, className = "", text = "") {
  const made = document.createElement(name);
  if (className) made.className = className;
  made.textContent = text;
  return made;
}

/** Whether the text was another before. */
export function setText(node, text) {
  if (node.textContent === text) return false;
  node.textContent = text;
  return true;
}
