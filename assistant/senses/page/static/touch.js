// What is touched and typed -> answers. A key means what it means in the terminal, as the server tells.

import { answers, enter, leads, typed } from "./controls.js";
import { nameOf, pressed } from "./keypad.js";
import { closeHints, say } from "./show.js";

const LONGEST = 6; // digits of a number
const BETWEEN_DIGITS_MS = 1200; // digits typed sooner than this after each other make one number
const ONE_DIGIT = 9; // the largest number that one digit writes
const ENTERED_MS = 1500; // after a number was taken by itself, for the enter that was meant to end it
const SAID_MS = 4000;
const NEXT = "next";
const BACK = "back";
const HELP = "help";
const LEAVE = "leave";
const OF_ITS_OWN = "#map, #list, select"; // what arrows and page keys move
const down = new Set(); // switches that are
let ending = 0;
let takenAt = -Infinity; // by itself

/** Listen to hands and keys; `state` gives the moment shown, `send` an answer to it, with the event and the area it came by. */
export function listen(state, send) {
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (event.detail) button.blur(); // else a pedal that types space would press it again
    touched(button, state(), giving(state, send, event, button));
  });
  document.addEventListener("keydown", (event) => keyed(event, state(), send, giving(state, send, event)));
  document.addEventListener("keyup", (event) => letGo(nameOf(event, state()), send, event));
  window.addEventListener("blur", (event) => [...down].forEach((key) => letGo(key, send, event)));
  at("leave").addEventListener("close", (event) => {
    if (at("leave").returnValue === LEAVE) send({ do: LEAVE, finger: false }, event);
  });
}

/** Gives on what an event means, by a finger or a key; leaving is asked about first. */
function giving(state, send, event, button = null) {
  const finger = button !== null && event.detail > 0;
  return (kind, number) => {
    if (kind === LEAVE || (kind === NEXT && state()?.complete)) return askToLeave();
    const area = button ?? [...document.querySelectorAll("button")].find((one) => one.dataset.do === kind && one.offsetParent && !one.disabled);
    send({ do: kind, finger, ...(number === undefined ? {} : { number }) }, event, area);
  };
}

function letGo(key, send, event) {
  if (down.delete(key)) send({ switch: key, down: false }, event);
}

function askToLeave() {
  at("leave").returnValue = "";
  at("leave").showModal();
}

function touched(button, now, give) {
  if (button.dataset.digit) digit(button.dataset.digit, now, give);
  else if (button.dataset.number) give("number", Number(button.dataset.number));
  else if (button.id === "take") take(now, give);
  else if (button.id === "strike") enter(typed().slice(0, -1));
  else if (button.dataset.do) give(button.dataset.do);
  else if (button.id === "ask-help") at("help").showModal();
  else if (button.id === "close-hints") closeHints();
  else if (button.id === "close-help") at("help").close();
  else if (button.dataset.leave !== undefined) at("leave").close(button.dataset.leave);
}

function keyed(event, now, send, give) {
  if (!now || event.ctrlKey || event.altKey || event.metaKey) return;
  const key = nameOf(event, now);
  const dialog = document.querySelector("dialog[open]");
  if (dialog) {
    if (event.code in now.keypad && !event.repeat && answered(dialog, key, now, event.timeStamp)) event.preventDefault();
  } else if (isSwitch(key, now, event.target)) {
    event.preventDefault();
    if (event.repeat) return;
    down.add(key);
    send({ switch: key, down: true }, event);
  } else if (event.repeat) {
    if (key in now.keys) event.preventDefault(); // a held key counts once
  } else if (!(["space", "enter"].includes(key) && event.target.closest("button"))) {
    if (typedKey(key, now, give, event.timeStamp)) event.preventDefault();
  }
}

/** A presenter's keys go on and back, unless there is a list to move through. */
const isSwitch = (key, now, target) =>
  now.switches.includes(key) || (now.presenter.includes(key) && !now.complete && !target.closest(OF_ITS_OWN));

/** Whether a key of the keypad meant something to a dialog: to leave, or to close it. */
function answered(dialog, key, now, time) {
  const all = pressed(key, now, time);
  if (dialog.id === "leave" && (key === now.goesOn || now.keys[all] === LEAVE)) close(dialog, LEAVE);
  else if ([BACK, HELP].includes(now.keys[all])) close(dialog, "");
  else return false;
  return true;
}

/** None of its buttons has the next key, as else until the next picture is drawn. */
function close(dialog, value) {
  dialog.close(value);
  if (dialog.contains(document.activeElement)) document.activeElement.blur();
}

/** Whether the key meant something. */
function typedKey(key, now, give, time) {
  const isDigit = /^[0-9]$/.test(key);
  if (key.length > 1 && !(key in now.keys)) return false;
  const all = pressed(key, now, time);
  if (!all) take(now, give);
  else if (all !== key) give(now.keys[all] ?? HELP);
  else if (key === now.goesOn && !now.largest) give(NEXT);
  else if (isDigit) {
    digit(key, now, give);
    if (!now.reads && typed()) ending = setTimeout(() => ((takenAt = performance.now()), take(now, give)), BETWEEN_DIGITS_MS);
  } else if (typed() && ["enter", "space", ".", ","].includes(key)) take(now, give);
  else if (typed() && key === "backspace") enter(typed().slice(0, -1));
  else if (key === "enter" && time - takenAt <= ENTERED_MS) takenAt = -Infinity;
  else if (key in now.keys) give(now.keys[key]);
  else return false;
  return true;
}

/** One that leads to no number that may answer is none of it, and what is told of it is told aloud, too. Where ends are read whose shafts have one digit, each is taken at once. */
function digit(key, now, give) {
  clearTimeout(ending);
  const digits = (typed() + key).slice(0, LONGEST);
  if (!now?.reads && !leads(digits)) {
    refuse(now);
    give("number", Number(digits));
    return enter("");
  }
  enter(digits);
  if (now?.reads && now.largest <= ONE_DIGIT) take(now, give);
}

function take(now, give) {
  clearTimeout(ending);
  if (!typed()) return;
  if (!now?.reads && !answers(typed())) refuse(now);
  else give("number", Number(typed()));
  enter("");
}

/** Say in words which numbers may answer. */
const refuse = (now) => now && say(now.numbers, SAID_MS);

const at = (id) => document.getElementById(id);
