// The shafts as they stand: a line for each, the front one lowest, and a mark on it for each end of the call.

const SVG = "http://www.w3.org/2000/svg";
const at = document.getElementById("stand");
const WIDE = { end: 14, least: 96 }; // pixels
const HIGH = 100; // parts

/** Show them; null: there is nothing to show. */
export function showStand(stand) {
  at.hidden = !stand;
  if (!stand) return;
  const wide = Math.max(WIDE.least, WIDE.end * stand.ends.length);
  const step = HIGH / (stand.shafts + 1);
  const height = (shaft) => HIGH - shaft * step;
  const drawn = shape("svg", { viewBox: `0 0 ${wide} ${HIGH}`, preserveAspectRatio: "none", "aria-hidden": "true" });
  for (let shaft = 1; shaft <= stand.shafts; shaft += 1) {
    drawn.append(shape("path", { class: "shaft", d: `M0 ${height(shaft)}H${wide}` }));
  }
  const each = wide / stand.ends.length;
  stand.ends.forEach((shafts, number) => {
    const middle = (number + 0.5) * each;
    const ends = [Math.min(...shafts), Math.max(...shafts)].map(height);
    if (shafts.length > 1) drawn.append(shape("path", { class: "tied", d: `M${middle} ${ends[0]}V${ends[1]}` }));
    for (const shaft of shafts) {
      const thick = Math.min(step * 0.8, 9);
      drawn.append(shape("rect", { class: "mark", x: middle - each * 0.36, width: each * 0.72, y: height(shaft) - thick / 2, height: thick }));
    }
  });
  at.replaceChildren(drawn);
}

function shape(name, attributes) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}
