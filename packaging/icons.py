"""The page's icon as pictures, as phones and tablets want it for their home screens: drawn by a browser from icon.svg.

python packaging/icons.py
"""

import io
import shutil
import sys
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

STATIC = Path(__file__).parent.parent / "assistant" / "senses" / "page" / "static"
SIZES = (180, 192, 512)  # of Apple's home screen; the two that the manifest names
GROUND = "#16181d"  # to the edge: devices cut the corners as they like
MARGIN = 0.1  # on each side, which a device that masks icons may cut off (W3C, Web Application Manifest)
COLOURS = 8


def main() -> None:
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        sys.exit("chromium is not installed; apt install chromium")
    drawing = (STATIC / "icon.svg").read_text(encoding="utf-8")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        for size in SIZES:
            window = browser.new_page(viewport={"width": size, "height": size})
            inner = round(size * (1 - 2 * MARGIN))
            body = f"margin: 0; height: 100vh; background: {GROUND}; display: grid; place-content: center"
            window.set_content(
                f"<style>body {{ {body} }} svg {{ width: {inner}px; height: {inner}px }}</style>{drawing}"
            )
            drawn = Image.open(io.BytesIO(window.screenshot())).convert("RGB").quantize(COLOURS)
            drawn.save(STATIC / f"icon-{size}.png", optimize=True)
            window.close()
        browser.close()


if __name__ == "__main__":
    main()
