// A numeric keypad: its keys by their places, with Num Lock or without, and those that are pressed one after the other.

const SHIFTED_MS = 5000; // for which the key holds that gives the next one another meaning
const NAMES = { " ": "space", ArrowUp: "up", ArrowDown: "down", ArrowLeft: "left", ArrowRight: "right" };
let shifts = "";
let shiftedAt = -Infinity;

/** The name of a key as in the terminal. */
export const nameOf = ({ key, code }, now) => now?.keypad[code] ?? NAMES[key] ?? key.toLowerCase();

/** This key with those before it that give it another meaning; "" where the meaning is still to come. */
export function pressed(key, now, at) {
  const before = at - shiftedAt <= SHIFTED_MS ? shifts : "";
  shifts = "";
  if (key !== now.shift) return before + key;
  shifts = before.length === 2 ? before : before + key;
  shiftedAt = at;
  return "";
}
