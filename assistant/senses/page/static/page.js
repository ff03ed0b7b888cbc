// Joins the connection, what is shown, and what is touched.

import { connect } from "./connection.js";
import { showControls } from "./controls.js";
import { listen } from "./touch.js";
import { showMap } from "./map.js";
import { showLost, showNow } from "./show.js";
import { stayAwake } from "./awake.js";

const LOST = {
  lost: "Connection lost. What is shown may be old: go by the voice, or the terminal. Trying again …",
  over: "This sitting is over; everything is saved.",
};
let now = null;

const send = connect({
  told(message) {
    if (message.now) {
      now = message.now;
      showNow(now);
      showControls(now);
    }
    if (message.warp) showMap(message.warp);
    if (message.late) showLost("That was not counted: the session had already gone on.", 3000);
  },
  lost(how) {
    showLost(LOST[how] ?? "");
    document.body.classList.toggle("is-lost", how !== "");
  },
});

listen(() => now, (answer) => now && send({ step: now.step, ...answer }));
stayAwake();
