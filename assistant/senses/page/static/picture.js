// What a question points at, the dents of a call, its knots: drawn as they lie, seen from the front.

const SVG = "http://www.w3.org/2000/svg";
const HIGH = 84; // parts, of which each is a pixel, or more where there is room
const ABOVE = 20; // the way that is counted
const BELOW = 18; // numbers
const WIDEST = { ends: 26, dents: 46, knots: 90 }; // from one to the next, likewise
const DIGIT = 8.5;
const at = document.getElementById("picture");
let shown = null;

/** Draw it; nothing where there is none. */
export function showPicture({ pointed, knots }) {
  const told = JSON.stringify([pointed, knots]);
  at.hidden = !pointed && !knots.length;
  if (shown?.told === told) return;
  shown = { told, pointed, knots };
  draw();
}

function draw() {
  if (at.hidden || !shown || !at.clientWidth) return;
  const scale = Math.max(at.clientHeight / HIGH, 1);
  const [wide, high] = [at.clientWidth / scale, at.clientHeight / scale];
  const drawn = shape("svg", { viewBox: `0 0 ${wide} ${high}`, "aria-hidden": "true" });
  drawn.append(...(shown.pointed ? row(shown.pointed, wide, high) : tied(shown.knots, wide, high)));
  at.replaceChildren(drawn);
}

function row({ thing, marks, side, count, since, goal }, wide, high) {
  const tall = { meant: [ABOVE + 2, high - BELOW], plain: [ABOVE + 0.2 * (high - ABOVE - BELOW), high - BELOW - 5] };
  const shares = marks.map((mark) => (mark.number ? 1 : mark.left_out ? (thing === "ends" ? 3 : 2) : 1));
  const all = shares.reduce((sum, one) => sum + one, 0);
  const each = Math.min(WIDEST[thing], (wide - 8) / all);
  const left = (wide - all * each) / 2;
  let before = 0;
  const middles = shares.map((share) => left + ((before += share) - share / 2) * each);
  const drawn = marks.flatMap((mark, n) => {
    const [x, span] = [middles[n], mark.meant ? tall.meant : tall.plain];
    if (!mark.number) return skipped(mark, x, (span[0] + span[1]) / 2 + 4);
    return [...(thing === "ends" ? end(mark, x, span, each, n === since) : dent(mark, x, span, each)), ...numbered(mark, x, high - 4)];
  });
  if (!count) return drawn;
  const edge = side === "right" ? left + all * each : left;
  return [...drawn, ...counted(since < 0 ? edge : middles[since], middles[goal], count)];
}

function end({ meant }, x, [from, to], each, since) {
  const [kind, thick] = meant ? ["meant", Math.min(each * 0.5, 8)] : since ? ["since", 4] : ["plain", Math.min(each * 0.2, 2)];
  return [shape("path", { class: kind, d: `M${x} ${from}V${to}`, "stroke-width": thick })];
}

/** A gap between two bars of the reed, with a dot for each end in it. */
function dent({ meant, dots, before }, x, [from, to], each) {
  const bars = [x - each / 2, x + each / 2].map((bar) => shape("path", { class: "reed", d: `M${bar} ${from}V${to}` }));
  const ends = [...Array(before).fill(null), ...dots];
  const room = each / Math.max(ends.length, 1);
  const size = Math.min(room * 0.42, 10, (to - from) * 0.4);
  const drawn = ends.flatMap((dye, n) => dot(dye, x + (n - (ends.length - 1) / 2) * Math.min(room, 21), (from + to) / 2, size));
  const asked = meant && !ends.length ? [shape("rect", { class: "asked", x: x - each / 2, y: from, width: each, height: to - from })] : [];
  return [...asked, ...bars, ...drawn];
}

const CROSSED = ["", "M0 -1V1", "M-0.7 0.7L0.7 -0.7", "M-1 0H1", "M-0.4 -0.9V0.9M0.4 -0.9V0.9"]; // by pattern, in radii

function dot(dye, x, y, size) {
  const made = shape("circle", { class: dye ? "dot" : "there", cx: x, cy: y, r: size });
  if (dye?.colour) made.style.fill = dye.colour;
  const crossed = CROSSED[dye?.pattern ?? 0];
  return crossed ? [made, shape("path", { class: "crossed", d: crossed, transform: `translate(${x} ${y}) scale(${size})` })] : [made];
}

const skipped = ({ left_out }, x, y) => [text(x, y, left_out ? `· ${left_out} ·` : "···", "left-out")];

const numbered = ({ number, numbered, meant }, x, y) => (numbered ? [text(x, y, number, meant ? "is-meant" : "number")] : []);

/** An arrow from where counting begins to what is counted to, with the number on its way, or past it where that is short. */
function counted(from, to, count) {
  const wide = String(count).length * DIGIT + 8;
  const ahead = Math.sign(to - from) || 1;
  const onWay = Math.abs(to - from) > wide + 16;
  const label = onWay ? (from + to) / 2 : to + ahead * (wide / 2 + 2);
  const line = onWay ? `M${from} 11H${label - (ahead * wide) / 2}M${label + (ahead * wide) / 2} 11H${to}` : `M${from} 11H${to}`;
  return [shape("path", { class: "way", d: `${line}M${from} 5V17` }), shape("path", { class: "head", d: `M${to - 6} 11h12l-6 9z` }), text(label, 16, count, "count")];
}

/** The ends of both warps over or under their lease sticks, and the knots between them. */
function tied(knots, wide, high) {
  const each = Math.min(WIDEST.knots, (wide - 8) / knots.length);
  const left = (wide - each * knots.length) / 2;
  const sticks = [0.2, 0.8].map((part) => part * high).map((y) => shape("path", { class: "stick", d: `M${left} ${y}h${each * knots.length}` }));
  const threads = (over) => knots.flatMap((knot, n) => (knot.over === over ? thread(knot, left + (n + 0.5) * each, high) : []));
  return [...threads(false), ...sticks, ...threads(true)];
}

const DASHED = ["none", "9 3", "3 3", "15 3", "9 3 3 3"]; // by pattern

function thread({ dye }, x, high) {
  const yarn = shape("path", { class: "new", d: `M${x} ${high / 2}V${high}`, "stroke-dasharray": DASHED[dye.pattern] });
  if (dye.colour) yarn.style.stroke = dye.colour;
  return [
    shape("path", { class: "old", d: `M${x} 0V${high / 2}` }),
    shape("path", { class: "edge-of-new", d: `M${x} ${high / 2}V${high}` }),
    yarn,
    shape("circle", { class: "knot", cx: x, cy: high / 2, r: 6 }),
  ];
}

function text(x, y, told, kind) {
  const made = shape("text", { class: kind, x, y, "text-anchor": "middle" });
  made.textContent = told;
  return made;
}

function shape(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

new ResizeObserver(draw).observe(at);
