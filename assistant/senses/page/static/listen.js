// The page as the microphone: what it hears is sent as it comes, while the computer listens here.

import { setText } from "./show.js";

const RATE = 16000; // samples a second, as the ear takes them
const HERE = "here";
const WISHED = { channelCount: 1, echoCancellation: true, noiseSuppression: false, autoGainControl: false };
const at = (id) => document.getElementById(id);
let send = () => false;
let turn = 0; // the computer's number for this page's listening; 0: it does not
let stream = null;
let context = null;

/** Let the weaver choose, where a browser gives a microphone at all; `sends` sends a message, or sound. */
export function offerHearing(sends) {
  send = sends;
  at("listen-here").addEventListener("click", begin);
  at("listen-there").addEventListener("click", () => send({ listen: false, turn }));
}

/** Who listens, as the computer has it. */
export function showHearing({ listen }) {
  const may = window.isSecureContext && Boolean(navigator.mediaDevices?.getUserMedia);
  at("listen-here").hidden = !listen || !may || listen === HERE;
  at("listen-there").hidden = listen !== HERE;
  at("cannot-listen").hidden = !listen || may;
}

/** What the computer says about listening. */
export function obeyEar({ listening }) {
  if (listening === undefined) return;
  turn = listening;
  if (!turn) letGo();
}

/** The connection is there again: a page that still hears asks to have its turn back. */
export function hearAgain() {
  const before = turn;
  turn = 0;
  if (before && stream) send({ listen: true, turn: before });
}

async function begin() {
  fault("");
  try {
    letGo();
    stream = await navigator.mediaDevices.getUserMedia({ audio: WISHED });
    context = new AudioContext({ sampleRate: RATE, latencyHint: "interactive" });
    await context.audioWorklet.addModule("microphone.js");
    const blocks = new AudioWorkletNode(context, "blocks", { numberOfOutputs: 0, channelCount: 1, channelCountMode: "explicit" });
    blocks.port.onmessage = ({ data }) => turn && send(data);
    context.createMediaStreamSource(stream).connect(blocks);
    stream.getTracks().forEach((track) => track.addEventListener("ended", () => send({ listen: false, turn })));
    send({ listen: true, turn: 0 });
  } catch (error) {
    letGo();
    fault(error.name === "NotAllowedError" ? "refused" : "none");
  }
}

function letGo() {
  stream?.getTracks().forEach((track) => track.stop());
  context?.close();
  stream = context = null;
}

const fault = (why) => setText(at("hearing-fault"), why && at("hearing-fault").dataset[why]);
