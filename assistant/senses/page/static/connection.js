// The web socket: comes back by itself, notices when nothing comes any more, and believes nobody who does not know the proof.

const SILENCE_MS = 4000; // the server says something every 2 s
const LEFT = 1012; // the code that a server closes with when its sitting ends
const AGAIN_MS = [250, 500, 1000, 2000];
const SLOWLY_MS = 15000; // where there are as many pages as there may be
const TIMES = 16; // messages by which the server's clock is known: the one that came fastest counts

/**
/**
 * Connect and stay connected to the server that says `proof` first; where its sitting is another than the page's, the page
 * is opened anew. `sounded` gets sound, and for how many milliseconds it was under way. Returns what sends an answer, done
 * at a moment of this page's own clock, or undated, or sound; false where it could not. Nothing is kept to be sent later.
 * `lost` is told how: "lost", "over", "full", "gone", or "" once it is there again.
 */
export function connect({ proof, sitting, told, sounded, lost }) {
  let socket = null;
  let tries = 0;
  let watch = 0;
  let down = false;
  let known = false; // whether this server is the one that the page came from
  let ahead = []; // by how many milliseconds this page's clock was ahead of the server's, at each message

  function listening() {
    clearTimeout(watch);
    watch = setTimeout(() => giveUp(), SILENCE_MS);
  }

  function giveUp({ code } = {}, how = code === LEFT ? "over" : "lost") {
    clearTimeout(watch);
    if (!socket) return;
    socket.onmessage = socket.onclose = null;
    socket.close();
    socket = null;
    if (!down || how === "full" || how === "gone") lost(how);
    down = true;
    setTimeout(open, how === "full" ? SLOWLY_MS : AGAIN_MS[Math.min(tries++, AGAIN_MS.length - 1)]);
  }

  function openAnew() {
    socket.onmessage = null; // nothing of another sitting is shown on this page
    location.reload();
  }

  function open() {
    known = false;
    ahead = [];
    socket = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}${location.pathname}live`);
    socket.binaryType = "arraybuffer";
    socket.onmessage = ({ data }) => {
      if (data instanceof ArrayBuffer) {
        if (!known) return giveUp();
        const sentAt = new DataView(data).getUint32(0, true);
        return sounded(data.slice(4), performance.now() - Math.min(...ahead) - sentAt);
      }
      const message = JSON.parse(data);
      known ||= message.proof === proof;
      if (!known) return giveUp({}, "gone");
      if (message.full) return giveUp({}, "full");
      if ((message.sitting ?? sitting) !== sitting) return openAnew();
      ahead = [performance.now() - message.at, ...ahead].slice(0, TIMES);
      const back = down;
      down = false;
      if (back) lost("");
      tries = 0;
      listening();
      told(message);
    };
    socket.onclose = giveUp;
    listening();
  }

  window.addEventListener("online", () => giveUp());
  open();
  return (answer, moment) => {
    if (down || !known || socket?.readyState !== WebSocket.OPEN) return false;
    if (answer instanceof ArrayBuffer) return socket.send(answer) ?? true;
    const at = moment === undefined ? {} : { at: Math.max(0, Math.round(moment - Math.min(...ahead))) };
    socket.send(JSON.stringify({ ...answer, ...at }));
    return true;
  };
}
