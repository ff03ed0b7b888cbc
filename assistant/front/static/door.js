// The front door: shows what stands there, and sends what is chosen. Everything is set as text.

import { connect } from "./connection.js";

const { proof, sitting, lost, over, full, gone } = document.body.dataset;
const LOST = { lost, over, full, gone };
const BACK = ["Escape", "q", "Q", "0", "/", "*", "Backspace"];
const MOVES = { ArrowDown: 1, "+": 1, ArrowUp: -1, "-": -1 };
const TYPED_MS = 200; // between tellings of what is typed so far
const at = (id) => document.getElementById(id);
let now = null;
let telling = 0;

const send = connect({
  proof,
  sitting,
  sounded() {},
  told(message) {
    if (message.front) show(message.front);
  },
  lost(how) {
    at("lost").hidden = how === "";
    at("lost").textContent = LOST[how] ?? "";
    document.body.classList.toggle("is-lost", how !== "");
  },
});

function show(next) {
  if (next.lang !== document.documentElement.lang) return location.reload();
  const before = now;
  now = next;
  if (next.go && before?.runs && !before.go) location.assign(next.go);
  at("go").hidden = !next.go;
  if (next.go) at("go").href = next.go;
  document.title = next.title;
  setText("title", next.title);
  setText("said", next.said);
  setText("keys", next.keys);
  at("back").hidden = next.is_hall || (next.runs && !next.keys);
  setText("line", next.line);
  if (before?.step === next.step && before.runs === next.runs && before.go === next.go) return;
  const reads = next.reading.length > 0;
  setText("heading", next.title);
  at("told").hidden = at("picks").hidden = reads;
  at("told").replaceChildren(...next.told.map(paragraph));
  at("picks").hidden = reads || next.asked !== "";
  at("picks").replaceChildren(...next.offered.map(pick));
  at("asking").hidden = reads || next.asked === "";
  setText("asked", next.asked);
  at("text").value = next.typed;
  at("reading").hidden = !reads;
  at("reading").textContent = next.reading.join("\n");
  if (next.go) at("go").focus();
  else if (reads) at("reading").focus();
  else if (next.asked) at("text").focus();
  else at("picks").querySelectorAll("button")[next.at]?.focus();
}

function setText(id, text) {
  if (at(id).textContent !== text) at(id).textContent = text;
}

function paragraph(text) {
  const line = document.createElement("p");
  line.textContent = text;
  return line;
}

function pick({ digit, label, about, line, is_so: isSo }) {
  const button = document.createElement("button");
  button.type = "button";
  button.disabled = now.runs;
  button.classList.toggle("is-so", isSo);
  for (const [kind, text] of Object.entries({ digit, label, about })) {
    const part = document.createElement("span");
    part.textContent = text;
    part.className = kind;
    if (text) button.append(part, " ");
  }
  button.addEventListener("click", () => press(digit));
  button.addEventListener("focus", () => setText("line", line));
  const item = document.createElement("li");
  item.append(button);
  return item;
}

const press = (key) => now && send({ step: now.step, key });

/** What is typed so far, so that the command it makes is shown. */
function tellTyped() {
  clearTimeout(telling);
  telling = setTimeout(() => send({ step: now.step, typed: at("text").value }), TYPED_MS);
}

function keyed(event) {
  if (!now || event.repeat || event.ctrlKey || event.altKey || event.metaKey) return;
  const typing = event.target === at("text");
  if (typing && event.key === "Enter") {
    clearTimeout(telling);
    send({ step: now.step, text: at("text").value });
  } else if (event.key === "Escape" || (!typing && BACK.includes(event.key))) press("escape");
  else if (typing) return;
  else if (/^[1-9]$/.test(event.key)) press(event.key);
  else if (event.key in MOVES && !now.reading.length) move(MOVES[event.key]);
  else if (event.key === "Enter" && (now.reading.length || event.target === document.body)) press("enter");
  else return;
  event.preventDefault();
}

function move(by) {
  const buttons = [...at("picks").querySelectorAll("button")];
  const from = buttons.indexOf(document.activeElement);
  buttons.at((from + by) % buttons.length)?.focus();
}

document.addEventListener("keydown", keyed);
at("text").addEventListener("input", tellTyped);
at("back").addEventListener("click", () => press("escape"));
