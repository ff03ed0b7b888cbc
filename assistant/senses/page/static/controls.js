// The areas to touch: which there are at this moment, and the number entered so far.

import { element, setText } from "./show.js";

const at = (id) => document.getElementById(id);
let step = null;

/** Show what can be done at a moment of the session. */
export function showControls(now) {
  for (const button of at("large").children) {
    const { label, on } = now.large[button.dataset.do];
    button.disabled = !on;
    setText(button, label);
  }
  const small = now.small.map(({ label }) => label).join();
  if (at("small").dataset.labels !== small) {
    at("small").dataset.labels = small;
    at("small").replaceChildren(...now.small.map(further));
  }
  at("pad").hidden = now.largest === 0;
  if (now.step !== step) enter("");
  step = now.step;
}

/** The digits entered so far. */
export const typed = () => at("typed").textContent;

/** Have these digits entered. */
export function enter(digits) {
  setText(at("typed"), digits);
}

const further = ({ do: kind, label }) => button(label, (made) => (made.dataset.do = kind));

function button(label, set) {
  const made = element("button", "", label);
  made.type = "button";
  set(made);
  return made;
}

at("digits").append(
  ...[..."1234567890"].map((digit) => button(digit, (made) => (made.dataset.digit = digit))),
  button(document.body.dataset.strike, (made) => (made.id = "strike")),
  button(document.body.dataset.take, (made) => (made.id = "take")),
);
