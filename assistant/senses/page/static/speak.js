// The page as the mouth: plays what is sent, at once, and tells how much of it was heard. The computer decides who sounds.

import { setText } from "./show.js";

const RATE = 22050; // samples a second
const FULL_SCALE = 32767;
const FADE_S = 0.003;
const TURNED_S = 0.02; // in which a new volume is reached
const TELL_S = 0.1; // between two reports, by the clock of the sound: where that stops, the computer hears of nothing
const LATE_MS = 800; // what was under way for longer is not played: the computer may have said it meanwhile
const HERE = "here";
const at = (id) => document.getElementById(id);
let send = () => false;
let context = null;
let loudness = null; // the volume
let voice = null; // of the utterance: what is cut off
let playing = new Set();
let turn = 0; // the computer's number for this page's sounding; 0: it does not sound
let due = 0; // when the last sample that came is played, on the context's clock
let got = 0; // samples that came in this turn
let toldAt = 0; // milliseconds, by the page's clock

/** Let the weaver choose; `sends` sends a message, and says whether it could. */
export function offerSpeech(sends) {
  send = sends;
  at("speak-here").addEventListener("click", begin);
  at("speak-there").addEventListener("click", () => send({ speak: false, turn }));
}

/** Where it sounds, as the computer has it. */
export function showSpeech({ speak }) {
  at("speak-here").hidden = at("headphones").hidden = !speak || speak === HERE;
  at("speak-there").hidden = speak !== HERE;
}

/** What the computer says about sound: whose turn it is, how loud, that what is being said is cut off. */
export function obey(message) {
  if (message.turn !== undefined) take(message.turn);
  if (!turn) return;
  if (message.cut) cut();
  if (message.gain !== undefined) {
    const now = context.currentTime;
    loudness.gain.cancelScheduledValues(now).setValueAtTime(loudness.gain.value, now);
    loudness.gain.linearRampToValueAtTime(message.gain, now + TURNED_S);
  }
}

/** Play what came, behind what came before; it was under way for so long. */
export function play(bytes, underWayMs) {
  if (!turn) return;
  if (underWayMs > LATE_MS) return take(0); // and tell no more: the computer takes over
  const samples = new Int16Array(bytes);
  const sound = new AudioBuffer({ length: samples.length, sampleRate: RATE });
  sound.getChannelData(0).set(Float32Array.from(samples, (sample) => sample / FULL_SCALE));
  const source = new AudioBufferSourceNode(context, { buffer: sound });
  source.connect(voice);
  source.addEventListener("ended", () => playing.delete(source));
  playing.add(source);
  const start = Math.max(due, context.currentTime);
  source.start(start);
  due = start + samples.length / RATE;
  got += samples.length;
}

/** The connection is lost: fall silent. */
export function fallSilent() {
  if (turn) cut();
}

/** It is there again: a page that could sound on asks to have its turn back. */
export function comeBack() {
  const before = turn;
  take(0);
  if (before && context.state === "running") send({ speak: true, turn: before });
}

/** Wants the touch that is under way: without one no browser lets a page sound. */
async function begin() {
  try {
    context ??= new AudioContext({ sampleRate: RATE, latencyHint: "interactive" });
    await context.resume();
    loudness ??= new GainNode(context, { gain: 0 });
    loudness.connect(context.destination);
    send({ speak: true, turn: 0 });
    setText(at("speech-fault"), "");
  } catch {
    setText(at("speech-fault"), at("speech-fault").dataset.none);
  }
}

function take(given) {
  if (context) cut();
  turn = given;
  got = due = 0;
  toldAt = performance.now();
  if (turn) tell(turn);
}

function cut() {
  const now = context.currentTime;
  voice?.gain.setValueAtTime(1, now).linearRampToValueAtTime(0, now + FADE_S);
  for (const source of playing) source.stop(now + FADE_S);
  playing = new Set();
  voice = new GainNode(context);
  voice.connect(loudness);
  due = Math.min(due, now);
}

/** Tell how much was heard, again and again as long as the sound's own clock goes on; a device that slept has lost its turn. */
function tell(mine) {
  if (turn !== mine) return;
  const now = performance.now();
  if (now - toldAt > LATE_MS) return take(0);
  toldAt = now;
  const heard = context.currentTime - (context.outputLatency || context.baseLatency || 0);
  const left = Math.max(0, Math.round((due - heard) * RATE));
  send({ played: Math.max(0, got - left), got, turn });
  const clock = new ConstantSourceNode(context, { offset: 0 });
  clock.connect(context.destination);
  clock.addEventListener("ended", () => tell(mine));
  clock.start();
  clock.stop(context.currentTime + TELL_S);
}
