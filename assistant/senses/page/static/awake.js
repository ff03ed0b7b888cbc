// Keep the screen on while the page is looked at, where the browser allows it.

/** Ask for it now, and again whenever the page comes back into view. */
export function stayAwake() {
  const ask = () => {
    if (document.visibilityState === "visible") navigator.wakeLock?.request("screen").catch(() => {});
  };
  document.addEventListener("visibilitychange", ask);
  document.addEventListener("pointerdown", ask, { once: true });
  ask();
}
