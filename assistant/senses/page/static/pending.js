// What was done and is not counted yet, shown on the area that was touched.

let areas = []; // each with the step that it answered

/** An area was touched in answer to a step; null: what was done has no area. */
export function pending(area, step) {
  areas.push({ area, step });
  area?.classList.add("is-pending");
}

/** All that was done before this step has been answered; whether anything had not been. */
export function settle(step) {
  const answered = areas.filter((one) => one.step < step);
  areas = areas.filter((one) => one.step >= step);
  for (const { area } of answered) area?.classList.remove("is-pending");
  return answered.length > 0;
}
