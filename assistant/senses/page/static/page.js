// Joins the connection, what is shown, and what is touched.

import { connect } from "./connection.js";
import { showControls } from "./controls.js";
import { listen } from "./touch.js";
import { onGroup, showHanging, showStates } from "./map.js";
import { pending, settle } from "./pending.js";
import { judge, showBig, showSettings } from "./settings.js";
import { offerCodes, offerHome, offerWholeScreen } from "./offers.js";
import { say, showLost, showNow } from "./show.js";
import { hearAgain, obeyEar, offerHearing, showHearing } from "./listen.js";
import { comeBack, fallSilent, obey, offerSpeech, play, showSpeech } from "./speak.js";
import { stayAwake } from "./awake.js";

const { proof, sitting, lost, over, again, full, gone, late, dropped, twice } = document.body.dataset; // whose page this is, and texts in its language
const looksOnly = document.body.classList.contains("looks-only");
const lasts = document.body.classList.contains("lasts");
const LOST = { lost, over: lasts ? `${over} ${again}` : over, full, gone };
const SAID = { late, dropped, twice };
const SAID_MS = 3000;
const FROM_DOOR = "#door"; // ends the address of a page that was opened from the front door
const BACK_MS = { over: 2000, lost: 10000 }; // where the front door tells more; it leads here again if the sitting goes on
const at = (id) => document.getElementById(id);
let now = null;
let hanging = null;
let warp = null;
let sound = null;
let how = "";
let leaving = 0;

const send = connect({
  proof,
  sitting,
  sounded: play,
  told(message) {
    obey(message);
    obeyEar(message);
    if (message.sound) showSound((sound = merged(sound, message.sound)));
    if (message.now) {
      now = merged(now, message.now);
      settle(now.step);
      showControls(now);
      showBig();
      showNow(now);
      judge();
    }
    if (message.hangs) showHanging((hanging = merged(hanging, message.hangs)));
    if (message.warp) {
      warp = merged(warp, message.warp);
      setTimeout(() => showStates(warp)); // once the figures have changed
    }
    if (message.uncounted) {
      settle(Infinity);
      say(SAID[message.uncounted], SAID_MS);
    }
  },
  lost(told) {
    how = told;
    if (how) fallSilent();
    else {
      comeBack();
      hearAgain();
    }
    clearTimeout(leaving);
    if (location.hash === FROM_DOOR && how in BACK_MS) leaving = setTimeout(() => history.back(), BACK_MS[how]);
    showLost([LOST[how], settle(Infinity) ? dropped : ""].filter(Boolean).join(" "));
    document.body.classList.toggle("is-lost", how !== "");
  },
});

/** Where it sounds and listens; offered where a page may. */
function showSound(sound) {
  at("ask-sound").hidden = false;
  showSpeech(sound);
  showHearing(sound);
}

/** What was told, with what is told to have changed of it. */
function merged(before, change) {
  if (!isTold(before) || !isTold(change)) return change;
  const both = { ...before };
  for (const [key, value] of Object.entries(change)) both[key] = merged(before[key], value);
  return both;
}

const isTold = (value) => value !== null && typeof value === "object" && !Array.isArray(value);

/** Send what was done by an event of the browser, and show it as not yet counted; what cannot be sent is dropped, and said so. */
function answer(done, event, area = null) {
  if (!now) return;
  if (send({ step: now.step, ...done }, event.timeStamp)) {
    if (done.do) pending(area, now.step);
  } else if (!("down" in done && !done.down)) showLost([LOST[how], dropped].filter(Boolean).join(" "));
}

listen(() => (looksOnly ? null : now), answer);
onGroup(() => (looksOnly ? "" : now?.goes), (number, event) => answer({ do: now.goes, number, finger: event.type === "click" }, event));
showSettings(() => now);
offerSpeech(send);
offerHearing(send);
at("ask-sound").addEventListener("click", () => at("sound").showModal());
at("close-sound").addEventListener("click", () => at("sound").close());
stayAwake();
offerWholeScreen();
offerCodes();
offerHome();
