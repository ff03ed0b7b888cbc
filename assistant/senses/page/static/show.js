// The state, as it was told, onto the page. Everything is set as text.

import { fit } from "./fit.js";

const TEXTS = ["title", "place", "group", "following", "taken", "left", "warp", "senses", "heard", "notice"];
const at = (id) => document.getElementById(id);
let clearing = 0;

/** Show a moment of the session. */
export function showNow(now) {
  for (const id of TEXTS) setText(at(id), now[id]);
  setText(at("asked"), [now.aside, now.asked].filter(Boolean).join(" "));
  document.title = now.title;
  document.body.dataset.mode = now.mode;
  document.body.classList.toggle("is-alarm", now.alarm);
  at("senses").classList.toggle("is-worse", !now.well);
  showFlaps(now.figures);
  showList(now);
  at("yarns").replaceChildren(...now.yarns.map(yarn));
  at("yarns").hidden = now.yarns.length === 0;
  setText(at("said"), now.alarm ? "" : now.said);
  setText(at("alert"), now.alarm ? now.asked : "");
}

/** Say that something is wrong with the connection; "" takes it back. */
export function showLost(text, forMs = 0) {
  clearTimeout(clearing);
  setText(at("lost"), text);
  at("lost").hidden = !text;
  if (forMs) clearing = setTimeout(() => showLost(""), forMs);
}

function showFlaps(figures) {
  const old = at("flaps").children;
  if (old.length !== figures.length) at("flaps").replaceChildren(...figures.map(flap));
  figures.forEach(({ text, caption }, number) => {
    const [face, under] = old[number].children;
    if (setText(face, text)) turn(face);
    setText(under, caption);
  });
  at("flaps").hidden = figures.length === 0;
  fit(at("flaps"));
}

function flap() {
  const made = element("div", "flap");
  made.append(element("span", "face"), element("span", "caption"));
  return made;
}

function turn(face) {
  if (!matchMedia("(prefers-reduced-motion: no-preference)").matches) return;
  face.animate([{ filter: "brightness(0.55)" }, { filter: "none" }], { duration: 160 });
}

function showList(now) {
  const rows = now.table.length ? [now.total, ...now.table] : [];
  at("list").hidden = rows.length === 0;
  at("list").replaceChildren(...rows.map((row) => element("p", row.startsWith("!") ? "is-off" : "", row)));
}

function yarn({ name, colour, ends }) {
  const item = element("li", "", `${name} × ${ends}`);
  const swatch = element("span", "swatch");
  swatch.setAttribute("aria-hidden", "true");
  if (colour) swatch.style.backgroundColor = colour;
  item.prepend(swatch);
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
