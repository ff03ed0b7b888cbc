"""How the page is announced in the terminal."""

import io
import sys

import segno

from assistant.senses.page.page import Page


def open_page(share: bool, wait: bool) -> Page:
    """A page, its address printed; `wait` until the weaver has read it, where a board will cover it."""
    page = Page(share)
    print(*invitation(page.door.address, share), sep="\n", flush=True)
    if wait:
        print("Open it, then press enter here.", flush=True)
        sys.stdin.readline()
    return page


def invitation(address: str, share: bool) -> list[str]:
    """The address, and, where it is shared, a code to be photographed."""
    if not share:
        return [f"page: {address}"]
    drawn = io.StringIO()
    segno.make(address, error="l", micro=False).terminal(drawn, compact=True, border=2)
    return [
        *drawn.getvalue().splitlines(),
        f"page: {address}",
        "Whoever has this address can follow and press; it is good for this sitting only.",
    ]
