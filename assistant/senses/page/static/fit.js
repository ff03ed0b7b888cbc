// As large as the room allows: how many rows the flaps stand in, and how high a figure is.

const FACE = { beside: 0.32, least: 0.94 }; // of the height of a figure: around its text, and at least
const TALL = { digits: 1.16, letters: 1.36 }; // of the height of a figure: its line, which leaves room for Ä and Å
const EDGE = 0.04; // of the height of a figure
const CAPTION = { tall: 0.2, least: 30 }; // under a flap: of the height of a figure, and in pixels
const BORDERS_PX = 14; // of a flap, and between two
const MEASURE_PX = 100;
const pen = document.createElement("canvas").getContext("2d");

/** The rows that let the figures be largest, and their height in pixels; widths are in heights of a figure. */
export function arranged(widths, width, height, tall) {
  let best = { rows: 1, columns: widths.length, size: 0 };
  for (let rows = 1; rows <= widths.length; rows += 1) {
    const columns = Math.ceil(widths.length / rows);
    const size = Math.min((width - columns * BORDERS_PX) / widest(widths, columns), highest(height / rows - BORDERS_PX, tall + EDGE));
    if (size > best.size) best = { rows, columns, size };
  }
  return best;
}

/** The width of a grid of so many columns, each as wide as its widest. */
function widest(widths, columns) {
  const each = Array.from({ length: columns }, (_, column) => Math.max(...widths.filter((_, n) => n % columns === column)));
  return each.reduce((sum, one) => sum + one, 0);
}

const highest = (room, tall) => Math.min(room / (tall + CAPTION.tall), (room - CAPTION.least) / tall);

/** Set the flaps so. */
export function fit(flaps) {
  const faces = [...flaps.children].map((flap) => flap.firstChild);
  if (!faces.length) return;
  pen.font = `700 ${MEASURE_PX}px ${getComputedStyle(faces[0]).fontFamily}`;
  const widths = faces.map((face) => Math.max(pen.measureText(face.textContent).width / MEASURE_PX + FACE.beside, FACE.least));
  const tall = faces.some((face) => /\p{L}/u.test(face.textContent)) ? TALL.letters : TALL.digits;
  const { columns, size } = arranged(widths, flaps.parentElement.clientWidth, flaps.parentElement.clientHeight, tall);
  flaps.style.setProperty("--tall", tall);
  flaps.style.setProperty("--size", `${Math.floor(Math.max(size, 12))}px`);
  flaps.style.setProperty("--columns", columns);
}

new ResizeObserver(([{ target }]) => fit(target.firstElementChild)).observe(document.getElementById("board"));
