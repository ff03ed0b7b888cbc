// As large as the room allows: how many pieces stand in a row, and how high their figures are. Nothing but the figures takes room.

const GAP = 0.2; // between two pieces, in heights of the type
const LEAD = 0.06; // above a line of figures, likewise
const BAR = { share: 0.1, least: 9 }; // of the height of the type, and at least, in pixels: 8 and an edge
const CAPTION_PX = 20;
const OUT_OF_STEP = 0.7; // of its size is what a row is worth that breaks where the pattern does not repeat
const ONE_END = 0.16; // beside the figures of an end on several shafts, in heights of the type
const GIVES_WAY = 1.05; // so much larger the figures have to be without
const EDGES_PX = 8; // that nothing touches
const MEASURE_PX = 100;
const pen = document.createElement("canvas").getContext("2d");
let row = 1;

/** The arrangement in which the type is largest: pieces in a row, and the height of the type in pixels. */
export function arranged({ widths, lines, row, width, height, tall, captions }) {
  let best = { columns: widths.length || 1, size: 0, worth: 0 };
  for (let columns = 1; columns <= widths.length; columns += 1) {
    const rows = Math.ceil(widths.length / columns);
    const wide = widest(widths, columns) + (columns - 1) * GAP;
    const high = rows * lines * (tall + LEAD) + (rows - 1) * GAP;
    const room = height - (captions ? rows * CAPTION_PX : 0);
    const size = Math.min(width / wide, room / (high + rows * BAR.share), (room - rows * BAR.least) / high);
    const worth = columns % row && row % columns && rows > 1 ? size * OUT_OF_STEP : size;
    if (worth > best.worth) best = { columns, size, worth };
  }
  return best;
}

/** The width of a grid of so many columns, each as wide as its widest. */
function widest(widths, columns) {
  const each = Array.from({ length: columns }, (_, column) => Math.max(...widths.filter((_, n) => n % columns === column)));
  return each.reduce((sum, one) => sum + one, 0);
}

/** Set the figures so. What else stands on the board gives way where it makes them smaller: captions, and the shafts as they stand. */
export function fit(repeats = row) {
  row = repeats;
  const figures = document.getElementById("figures");
  const board = figures.parentElement;
  const pieces = [...figures.children];
  board.classList.remove("has-no-stand");
  if (!pieces.length) return;
  const texts = pieces.map((piece) => [...piece.firstChild.children].map((line) => line.textContent));
  const family = getComputedStyle(pieces[0]).fontFamily;
  pen.font = `400 ${CAPTION_PX * 0.75}px ${family}`;
  const captions = Math.max(...pieces.map((piece) => pen.measureText(piece.lastChild.textContent).width));
  pen.font = `700 ${MEASURE_PX}px ${family}`;
  const ink = (text) => pen.measureText(text).width / MEASURE_PX;
  const widths = texts.map((lines) => Math.max(...lines.map(ink)) + (lines.length > 1 ? ONE_END : 0));
  const rise = pen.measureText(texts.flat().join("")); // of what stands there: digits, or letters with marks on them
  const tall = (rise.actualBoundingBoxAscent + Math.max(rise.actualBoundingBoxDescent, 0)) / MEASURE_PX;
  const lines = Math.max(...texts.map((each) => each.length));
  const stand = document.getElementById("stand");
  const arrange = (width, captions) => arranged({ widths, lines, row, width, height: board.clientHeight, tall, captions });
  const room = board.clientWidth - EDGES_PX;
  const beside = stand.hidden ? 0 : stand.offsetWidth + 12;
  const alone = arrange(room, false);
  const withStand = arrange(room - beside, false);
  const hasStand = withStand.size * GIVES_WAY >= alone.size;
  const width = room - (hasStand ? beside : 0);
  const bare = hasStand ? withStand : alone;
  const captioned = arrange(width, true);
  const hasCaptions = captions > 0 && captions < width / captioned.columns && captioned.size * GIVES_WAY >= bare.size;
  const { columns, size } = hasCaptions ? captioned : bare;
  board.classList.toggle("has-no-stand", !hasStand);
  board.classList.toggle("has-no-captions", !hasCaptions);
  const type = Math.max(Math.floor(size), 12);
  figures.style.setProperty("--size", `${type}px`);
  figures.style.setProperty("--columns", columns);
  figures.style.setProperty("--tall", tall + LEAD);
  const cap = type * (pen.measureText("0").actualBoundingBoxAscent / MEASURE_PX);
  document.dispatchEvent(new CustomEvent("fitted", { detail: { cap } }));
}

new ResizeObserver(() => fit()).observe(document.getElementById("board"));
