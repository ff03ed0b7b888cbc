// What is touched and typed -> answers. A key means what it means in the terminal, as the server tells.

import { enter, typed } from "./controls.js";

const LONGEST = 6; // digits of a number
const BETWEEN_DIGITS_MS = 1200; // digits typed sooner than this after each other make one number
const ONE_DIGIT = 9; // the largest number that one digit writes
const NAMES = { " ": "space", ArrowUp: "up", ArrowDown: "down", ArrowLeft: "left", ArrowRight: "right" };
let ending = 0;

/** Listen to hands and keys; `state` gives the moment shown, `send` an answer to it. */
export function listen(state, send) {
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (event.detail) button.blur(); // else a pedal that types space would press it again
    touched(button, state(), send);
  });
  document.addEventListener("keydown", (event) => keyed(event, state(), send));
  document.addEventListener("keyup", (event) => {
    const now = state();
    if (now?.switches.includes(nameOf(event))) send({ switch: nameOf(event), down: false });
  });
  window.addEventListener("blur", () => state()?.switches.forEach((key) => send({ switch: key, down: false })));
}

function touched(button, now, send) {
  if (button.dataset.digit) digit(button.dataset.digit, now, send);
  else if (button.id === "take") take(send);
  else if (button.id === "strike") enter(typed().slice(0, -1));
  else if (button.dataset.do) send({ do: button.dataset.do });
  else if (button.id === "ask-help") document.getElementById("help").showModal();
  else if (button.id === "close-help") document.getElementById("help").close();
}

function keyed(event, now, send) {
  if (!now || event.ctrlKey || event.altKey || event.metaKey || document.querySelector("dialog[open]")) return;
  const key = nameOf(event);
  if (now.switches.includes(key)) {
    event.preventDefault();
    if (!event.repeat) send({ switch: key, down: true });
  } else if (event.repeat) {
    if (key in now.keys) event.preventDefault(); // a held key counts once
  } else if (!(["space", "enter"].includes(key) && event.target.closest("button"))) {
    if (typedKey(key, now, send)) event.preventDefault();
  }
}

/** Whether the key meant something. */
function typedKey(key, now, send) {
  if (/^[0-9]$/.test(key)) {
    digit(key, now, send);
    if (!now.reads) ending = setTimeout(() => take(send), BETWEEN_DIGITS_MS);
  } else if (typed() && ["enter", "space", ".", ","].includes(key)) take(send);
  else if (typed() && key === "backspace") enter(typed().slice(0, -1));
  else if (key in now.keys) send({ do: now.keys[key] });
  else return false;
  return true;
}

/** Where ends are read whose shafts have one digit, each is taken at once. */
function digit(key, now, send) {
  clearTimeout(ending);
  enter((typed() + key).slice(0, LONGEST));
  if (now?.reads && now.largest <= ONE_DIGIT) take(send);
}

function take(send) {
  clearTimeout(ending);
  if (typed()) send({ do: "number", number: Number(typed()) });
  enter("");
}

const nameOf = ({ key }) => NAMES[key] ?? key.toLowerCase();
