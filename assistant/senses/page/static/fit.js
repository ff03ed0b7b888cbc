// As large as the room allows: how many pieces stand in a row, and how high their figures are. Nothing but the figures takes room.

const GAP = 0.2; // between two pieces, in heights of the type
const LEAD = 0.06; // above a line of figures, likewise
const BAR_PX = 9; // at least: 8 and an edge
const CAPTION = { px: 20, needed: 0.11, most: 40 }; // its height; where it cannot be done without, of that of the board
const OUT_OF_STEP = 0.7; // of its size is what a row is worth that breaks where the pattern does not repeat, or what belongs together
const ONE_END = 0.16; // beside the figures of an end on several shafts, in heights of the type
const GIVES_WAY = 1.05; // so much larger the figures have to be without
const EDGES_PX = 8; // that nothing touches
const MEASURE_PX = 100;
const pen = document.createElement("canvas").getContext("2d");
let shown = { row: 1, captioned: false };

/**
 * The arrangement in which the type is largest: pieces in a row, and the height of the type in pixels; 0: there is no room
 * for the captions. They stand below the pieces, which are no narrower.
 */
export function arranged({ widths, lines, row, together, width, height, tall, bar, caption }) {
  let best = { columns: widths.length || 1, size: 0, worth: 0 };
  for (let columns = 1; columns <= widths.length; columns += 1) {
    const rows = Math.ceil(widths.length / columns);
    const high = rows * lines * (tall + LEAD) + (rows - 1) * GAP;
    const room = height - rows * caption.high;
    const most = Math.min(room / (high + rows * bar), (room - rows * BAR_PX) / high);
    const size = largest(most, (size) => widest(widths, caption.widths, columns, size) + (columns - 1) * GAP * size <= width);
    const torn = rows > 1 && (together || (columns % row && row % columns));
    const worth = torn ? size * OUT_OF_STEP : size;
    if (worth > best.worth) best = { columns, size, worth };
  }
  return best;
}

/** The largest size up to this one that fits, to a hundredth; 0 where none does. */
function largest(most, fits) {
  if (most <= 0 || fits(most)) return Math.max(most, 0);
  let [low, high] = [0, most];
  while (high - low > most / 100) {
    const middle = (low + high) / 2;
    if (fits(middle)) low = middle;
    else high = middle;
  }
  return low;
}

/** The width of a grid of so many columns, each as wide as its widest piece with this size of type, or its widest caption. */
function widest(widths, captions, columns, size) {
  const wide = widths.map((one, n) => Math.max(one * size, captions[n] ?? 0));
  const each = Array.from({ length: columns }, (_, column) => Math.max(...wide.filter((_, n) => n % columns === column)));
  return each.reduce((sum, one) => sum + one, 0);
}

/**
 * Set the figures so. What else stands on the board gives way where it makes them smaller, captions and the shafts as
 * they stand, unless what is `captioned` is not understood without.
 */
export function fit(now = shown) {
  shown = now;
  const { row, captioned } = now;
  const figures = document.getElementById("figures");
  const board = figures.parentElement;
  const pieces = [...figures.children];
  board.classList.remove("has-no-stand");
  board.style.flexBasis = "";
  const spare = unused();
  if (spare) board.style.flexBasis = `${Math.floor(board.getBoundingClientRect().height + spare)}px`;
  if (!pieces.length) return;
  const texts = pieces.map((piece) => [...piece.firstChild.children].map((line) => line.textContent));
  const family = getComputedStyle(pieces[0]).fontFamily;
  const high = captioned ? Math.max(CAPTION.px, Math.min(board.clientHeight * CAPTION.needed, CAPTION.most)) : CAPTION.px;
  const captionsAt = (high) => {
    pen.font = `400 ${high * 0.75}px ${family}`;
    return { high, widths: pieces.map((piece) => pen.measureText(piece.lastChild.textContent).width) };
  };
  const captions = [captionsAt(high), captionsAt(CAPTION.px)].filter(({ widths }) => Math.max(...widths) > 0);
  pen.font = `700 ${MEASURE_PX}px ${family}`;
  const ink = (text) => pen.measureText(text).width / MEASURE_PX;
  const widths = texts.map((lines) => Math.max(...lines.map(ink)) + (lines.length > 1 ? ONE_END : 0));
  const rise = pen.measureText(texts.flat().join("")); // of what stands there: digits, or letters with marks on them
  const tall = (rise.actualBoundingBoxAscent + Math.max(rise.actualBoundingBoxDescent, 0)) / MEASURE_PX;
  const lines = Math.max(...texts.map((each) => each.length));
  const stand = document.getElementById("stand");
  const bar = Number(getComputedStyle(figures).getPropertyValue("--bar"));
  const arrange = (width, caption = { high: 0, widths: [] }) => arranged({ widths, lines, row, together: captioned, width, height: board.clientHeight, tall, bar, caption });
  const room = board.clientWidth - EDGES_PX;
  const beside = stand.hidden ? 0 : stand.offsetWidth + 12;
  const alone = arrange(room);
  const withStand = arrange(room - beside);
  const hasStand = captioned || withStand.size * GIVES_WAY >= alone.size;
  const width = room - (hasStand ? beside : 0);
  const bare = hasStand ? withStand : alone;
  const told = captions.map((caption) => ({ ...arrange(width, caption), caption })).find(({ size }) => size > 0);
  const hasCaptions = Boolean(told) && (captioned || told.size * GIVES_WAY >= bare.size);
  const { columns, size } = hasCaptions ? told : bare;
  board.classList.toggle("has-no-stand", !hasStand);
  board.classList.toggle("has-no-captions", !hasCaptions);
  const type = Math.max(Math.floor(size), 12);
  figures.style.setProperty("--size", `${type}px`);
  figures.style.setProperty("--columns", columns);
  figures.style.setProperty("--caption", `${told?.caption.high ?? CAPTION.px}px`);
  figures.style.setProperty("--tall", tall + LEAD);
  const cap = type * (pen.measureText("0").actualBoundingBoxAscent / MEASURE_PX);
  document.dispatchEvent(new CustomEvent("fitted", { detail: { cap } }));
}

/** The height that what folded away has left below the board. */
function unused() {
  const below = document.getElementById("below");
  const { left, top, bottom } = below.getBoundingClientRect();
  const whole = [...below.children].map((node) => node.getBoundingClientRect()).filter((box) => box.height && box.left <= left);
  return Math.floor(bottom - Math.max(top, ...whole.map((box) => box.bottom)));
}

const again = new ResizeObserver(() => fit());
for (const id of ["board", "strip"]) again.observe(document.getElementById(id)); // the map is drawn after the figures
