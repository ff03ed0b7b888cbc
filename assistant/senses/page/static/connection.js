// The web socket: comes back by itself, and notices when nothing comes any more.

const SILENCE_MS = 5000; // the server says something every 2 s
const LEFT = 1012; // the code that a server closes with when its sitting ends
const AGAIN_MS = [250, 500, 1000, 2000];

/** Connect and stay connected; returns what sends an object. Nothing is kept to be sent later. */
export function connect({ told, lost }) {
  let socket = null;
  let tries = 0;
  let watch = 0;
  let down = false;

  function listening() {
    clearTimeout(watch);
    watch = setTimeout(() => giveUp(), SILENCE_MS);
  }

  function giveUp({ code } = {}) {
    clearTimeout(watch);
    if (!socket) return;
    socket.onmessage = socket.onclose = null;
    socket.close();
    socket = null;
    if (!down) lost(code === LEFT ? "over" : "lost");
    down = true;
    setTimeout(open, AGAIN_MS[Math.min(tries++, AGAIN_MS.length - 1)]);
  }

  function open() {
    socket = new WebSocket(`ws://${location.host}/live`);
    socket.onmessage = (message) => {
      if (down) lost("");
      down = false;
      tries = 0;
      listening();
      told(JSON.parse(message.data));
    };
    socket.onclose = giveUp;
    listening();
  }

  window.addEventListener("online", () => giveUp());
  open();
  return (answer) => {
    if (socket && socket.readyState === WebSocket.OPEN) socket.send(JSON.stringify(answer));
  };
}
