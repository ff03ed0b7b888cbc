// The areas to touch: which there are at this moment, and the number entered so far.

import { element, setText } from "./show.js";

const at = (id) => document.getElementById(id);
const FEW = 12; // numbers that find room as areas of their own
let step = null;
let range = { least: 0, largest: 0 };

/** Show what can be done at a moment of the session. */
export function showControls(now) {
  for (const button of at("large").children) {
    const { label, on } = now.large[button.dataset.do];
    button.disabled = !on;
    setText(button, label);
  }
  showApart(now.apart);
  const small = now.small.map(({ label }) => label).join();
  if (at("small").dataset.labels !== small) {
    at("small").dataset.labels = small;
    at("small").replaceChildren(...now.small.map(further));
  }
  showPad(now);
  enter(now.step === step ? typed() : "");
  step = now.step;
}

/** What is not to be done by a finger that meant to go on: in a place of its own, where nothing else ever is. */
function showApart(apart) {
  at("apart").hidden = !apart;
  if (!apart) return;
  at("apart").dataset.do = apart.do;
  setText(at("apart"), apart.label);
}

/** The digits entered so far. */
export const typed = () => at("typed").textContent;

/** Have these digits entered. */
export function enter(digits) {
  setText(at("typed"), digits);
  for (const one of document.querySelectorAll("[data-digit]")) one.disabled = !leads(digits + one.dataset.digit);
  if (at("take")) at("take").disabled = !answers(digits);
}

/** Whether these digits are a number that may answer. */
export const answers = (digits) => digits !== "" && Number(digits) >= range.least && Number(digits) <= range.largest;

/** Whether they are one, or the beginning of one. */
export function leads(digits) {
  for (let from = Number(digits), to = from; from <= range.largest; from *= 10, to = to * 10 + 9) {
    if (to >= range.least) return true;
    if (from === 0) return false;
  }
  return false;
}

const further = ({ do: kind, label }) => button(label, (made) => (made.dataset.do = kind));

function button(label, set) {
  const made = element("button", "", label);
  made.type = "button";
  set(made);
  return made;
}

/** Just the numbers that may answer, a touch each, where they are few; else digits, of which those that lead to one can be touched. */
function showPad({ pad, least, largest, reads }) {
  at("pad").hidden = !pad;
  document.body.classList.toggle("has-pad", pad);
  const few = !reads && largest - least < FEW;
  const asked = `${few} ${least} ${largest}`;
  at("pad").classList.toggle("is-one-touch", few || (reads && largest <= 9));
  if (at("pad").dataset.asked !== asked) {
    at("pad").dataset.asked = asked;
    at("digits").replaceChildren(...(few ? numbers(least, largest) : digits(largest)));
  }
  range = { least, largest };
}

const numbers = (least, largest) =>
  Array.from({ length: largest - least + 1 }, (_, more) => button(least + more, (made) => (made.dataset.number = least + more)));

const digits = (largest) => [
  ...(largest > 9 ? [..."1234567890"] : Array.from({ length: largest }, (_, one) => one + 1)).map((digit) =>
    button(digit, (made) => (made.dataset.digit = digit)),
  ),
  ...(largest > 9
    ? [
        button(document.body.dataset.strike, (made) => (made.id = "strike")),
        button(document.body.dataset.take, (made) => (made.id = "take")),
      ]
    : []),
];
