"""What is told of the page's addresses, in the terminal and on the page itself: codes to be photographed, and links.

Whoever came by what is a sitting's own is told nothing that outlasts it.
"""

import io
from collections.abc import Callable, Mapping

import segno

from assistant.senses.page.door import Entrance
from assistant.senses.page.doorkeeper import Guest
from assistant.senses.page.keys import Keys
from assistant.senses.screen.invitation import Code, Invitation
from assistant.senses.screen.words import ScreenWords


def invitation(words: ScreenWords, entrance: Entrance) -> Invitation:
    """All of it, for whoever sits at this machine."""
    door, secure, close = entrance.door, entrance.secure, words.text("any key")
    in_the_open = words.text("address", address=door.address)
    if not (secure or door.overheard):
        return Invitation((in_the_open,), (), (), close)
    best = secure or door
    keys = best.keys[0]
    hand, eye = best.to(keys.hand), best.to(keys.eye)
    addresses = [words.text("secure address", address=hand)] if secure else []
    further = [*map(words.tell, entrance.cautions), words.text("whoever, lasting" if entrance.lasts else "whoever")]
    if secure:
        further.append(words.text("fingerprint", fingerprint=entrance.fingerprint))
    return Invitation(
        (*addresses, in_the_open, words.text("looking address", address=eye)),
        (_code(words.text("use hand"), hand), _code(words.text("use eye"), eye)),
        tuple(further),
        close,
    )


def _code(use: str, address: str) -> Code:
    drawn = io.StringIO()
    _encoded(address).terminal(drawn, compact=True, border=2)
    return Code(use, address, tuple(drawn.getvalue().splitlines()))


def _encoded(address: str) -> segno.QRCode:
    return segno.make(address, error="l", micro=False)


def facts(entrance: Entrance, guest: Guest) -> Mapping[str, str]:
    """What the page is given for a guest: the proof to expect, what it may offer, and where it is reached encrypted."""
    secure = entrance.secure
    marks = {
        "looks-only": guest.key.looks_only,
        "is-overheard": guest.door.overheard,
        "has-secure": guest.door.overheard and secure is not None,
        "has-authority": guest.door is secure,
        "has-codes": _shared(entrance) and not guest.key.looks_only,
        "lasts": entrance.lasts and secure is not None and guest.keys == secure.keys[0],
    }
    return {
        "proof": guest.key.proof,
        "marks": " ".join(mark for mark, on in marks.items() if on),
        "secure": secure.to(guest.key) if secure and guest.door.overheard else "",
    }


def made(entrance: Entrance) -> Mapping[str, Callable[[Guest], bytes]]:
    """The files that are made for a guest; an empty one is not for them."""

    def code(address: Callable[[Keys], str]) -> Callable[[Guest], bytes]:
        return lambda guest: b"" if guest.key.looks_only or not _shared(entrance) else _drawn(address(guest.keys))

    best = entrance.secure or entrance.door
    return {
        "hand.svg": code(lambda keys: best.to(keys.hand)),
        "eye.svg": code(lambda keys: best.to(keys.eye)),
        "authority.crt": lambda guest: entrance.authority if guest.door is entrance.secure else b"",
    }


def _shared(entrance: Entrance) -> bool:
    return entrance.secure is not None or entrance.door.overheard


def _drawn(address: str) -> bytes:
    drawn = io.BytesIO()
    _encoded(address).save(drawn, kind="svg", border=4, light="white", xmldecl=False, omitsize=True)
    return drawn.getvalue()
