// Joins the connection, what is shown, and what is touched.

import { connect } from "./connection.js";
import { showControls } from "./controls.js";
import { listen } from "./touch.js";
import { onGroup, showMap } from "./map.js";
import { showLost, showNow } from "./show.js";
import { stayAwake } from "./awake.js";

const { sitting, lost, over, late } = document.body.dataset; // whose page this is, and texts in its language
const LOST = { lost, over };
let now = null;

const send = connect({
  sitting,
  told(message) {
    if (message.now) {
      now = message.now;
      showNow(now);
      showControls(now);
    }
    if (message.warp) showMap(message.warp);
    if (message.late) showLost(late, 3000);
  },
  lost(how) {
    showLost(LOST[how] ?? "");
    document.body.classList.toggle("is-lost", how !== "");
  },
});

listen(() => now, (answer) => now && send({ step: now.step, ...answer }));
onGroup((number) => now?.goes && send({ step: now.step, do: now.goes, number }));
stayAwake();
