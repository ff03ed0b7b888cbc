// What a page may offer beside the session: the whole screen, the codes of its addresses, a place among the device's programs.

const at = (id) => document.getElementById(id);

/** All of the screen, by a button that also gives it back; where the browser has no such thing there is no button. */
export function offerWholeScreen() {
  const button = at("ask-whole-screen");
  button.hidden = !document.fullscreenEnabled;
  button.addEventListener("click", () => {
    const done = document.fullscreenElement ? document.exitFullscreen() : document.documentElement.requestFullscreen();
    done.catch(() => {}); // the browser would not
  });
  document.addEventListener("fullscreenchange", () => button.setAttribute("aria-pressed", document.fullscreenElement !== null));
}

/** The codes, fetched when they are wished for. */
export function offerCodes() {
  at("ask-codes").addEventListener("click", () => {
    const show = at("codes").hidden;
    for (const figure of at("codes").querySelectorAll("figure:not(:has(img))")) {
      const code = new Image();
      code.alt = figure.dataset.alt;
      code.src = figure.dataset.src;
      figure.append(code);
    }
    at("codes").hidden = !show;
    at("ask-codes").setAttribute("aria-expanded", show);
    if (show) at("codes").scrollIntoView();
  });
}

/** Only where the address lasts: elsewhere an icon on the home screen would lead nowhere the next day. */
export function offerHome() {
  if (!document.body.classList.contains("lasts")) return;
  const link = document.createElement("link");
  link.rel = "manifest";
  link.href = "manifest.webmanifest";
  document.head.append(link);
}
