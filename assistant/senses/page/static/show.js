// The state, as it was told, onto the page. Everything is set as text.

import { fit } from "./fit.js";
import { showPicture } from "./picture.js";
import { showStand } from "./stand.js";

const TEXTS = ["title", "place", "group", "range", "following", "taken", "left", "warp", "senses", "heard", "notice"];
const at = (id) => document.getElementById(id);
let clearing = 0;
let toldOf = null; // the step

/** Show a moment of the session. */
export function showNow(now) {
  for (const id of TEXTS) setText(at(id), now[id]);
  setText(at("sound-now"), now.senses);
  setText(at("asked"), [now.aside, now.calling && !now.reads && !now.refused ? "" : now.asked].filter(Boolean).join(" "));
  setText(at("too-small"), "");
  document.title = now.title;
  document.body.dataset.mode = now.mode;
  document.body.dataset.job = now.job;
  document.body.classList.toggle("is-alarm", now.alarm);
  at("senses").classList.toggle("is-worse", !now.well);
  at("yarns").replaceChildren(...now.yarns.map(yarn));
  at("yarns").hidden = now.yarns.length === 0;
  showList(now);
  showPicture(now);
  showStand(now.stand);
  showFigures(now);
  tell(now);
}

/** Have a screen reader say what became of an event: one sentence, once, also where the one before was the same. */
function tell({ step, said, alarms }) {
  if (step === toldOf) return;
  toldOf = step;
  const [region, other] = alarms ? [at("alert"), at("said")] : [at("said"), at("alert")];
  setText(other, "");
  setText(region, region.textContent === said ? `${said}\u00a0` : said);
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
  fit(now);
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
  at("list").style.setProperty("--columns", Math.max(1, ...now.table.map(columns)));
  at("list").replaceChildren(...rows.map((row) => element("p", row.startsWith("!") ? "is-off" : "", row)));
}

/** Columns of a line in letters of one width, of which East Asian ones take two. */
const columns = (line) => [...line].length + [...line].filter((letter) => letter >= "\u1100").length;

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

const UNPARTED = / (?=[?!:;»%])/g; // a space before which no line ends

/** Whether the text was another before. */
export function setText(node, text) {
  const legible = text.replace(UNPARTED, "\u00a0");
  if (node.textContent === legible) return false;
  node.textContent = legible;
  return true;
}
