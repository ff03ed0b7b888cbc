// The web socket: comes back by itself, notices when nothing comes any more, and believes nobody but its own sitting.

const SILENCE_MS = 5000; // the server says something every 2 s
const LEFT = 1012; // the code that a server closes with when its sitting ends
const AGAIN_MS = [250, 500, 1000, 2000];

/** Connect and stay connected to the server that says `sitting` first; returns what sends an object. Nothing is kept to be sent later. */
export function connect({ sitting, told, lost }) {
  let socket = null;
  let tries = 0;
  let watch = 0;
  let down = false;
  let known = false; // whether this server is the one that the page came from

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
    known = false;
    socket = new WebSocket(`ws://${location.host}${location.pathname}live`);
    socket.onmessage = ({ data }) => {
      const message = JSON.parse(data);
      known ||= message.sitting === sitting;
      if (!known) return giveUp();
      if (down) lost("");
      down = false;
      tries = 0;
      listening();
      told(message);
    };
    socket.onclose = giveUp;
    listening();
  }

  window.addEventListener("online", () => giveUp());
  open();
  return (answer) => {
    if (known && socket && socket.readyState === WebSocket.OPEN) socket.send(JSON.stringify(answer));
  };
}
