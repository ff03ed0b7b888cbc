"""How the addresses of the page are told in the terminal, and what the page is told of them."""

from contextlib import ExitStack

import numpy as np
import pytest
from at_the_page import WORDS

from assistant.senses.page.door import OPEN, SECURE, Door, Entrance
from assistant.senses.page.invited import invitation
from assistant.senses.page.keys import Keys
from assistant.senses.screen import INVITE
from assistant.senses.screen.words import ScreenWords
from assistant.words.columns import columns, shortened
from assistant.words.glossary import KEYS as OF_EVENTS
from assistant.words.language import codes, load

KEYS = Keys.of(b"a secret")


def entrance(host: str, secure: bool = False, lasts: bool = False) -> Entrance:
    """At the longest of ports, where nothing listens."""
    doors = [Door(host, 43210, (KEYS,), scheme) for scheme in (OPEN, SECURE)]
    return Entrance(doors[0], (), ExitStack(), doors[1] if secure else None, lasts, fingerprint="A7:" * 31 + "A7")


def test_the_address_is_printed_and_where_shared_drawn_too() -> None:
    here = invitation(WORDS, entrance("127.0.0.1"))
    assert here.told(80) == [f"page: http://127.0.0.1:43210/{KEYS.hand.word}/"]
    shared = invitation(WORDS, entrance("192.168.1.2")).told(80)
    assert shared[-3:] == [
        f"page: http://192.168.1.2:43210/{KEYS.hand.word}/",
        f"to look only: http://192.168.1.2:43210/{KEYS.eye.word}/",
        "Whoever has the first address can follow and press; it is good for this sitting only.",
    ]
    assert {len(line) for line in shared[1:-3]} == {76}
    assert set("".join(shared[1:-3])) <= set(" █▀▄")


def test_an_encrypted_address_comes_first_and_says_how_it_is_known() -> None:
    told = invitation(WORDS, entrance("192.168.1.2", secure=True, lasts=True)).told(40)
    assert [line.partition(":")[0] for line in told[-5:]] == [
        *("secure page", "page", "to look only"),
        "Whoever has the first address can follow and press, in later sittings too; --new-address makes another.",
        "fingerprint of authority.crt (SHA-256)",
    ]
    assert len(told[1]) == 37  # the second code has no room beside the first


@pytest.mark.parametrize("code", codes())
@pytest.mark.parametrize(("width", "height"), [(80, 24), (79, 23), (40, 12), (200, 60)])
def test_a_board_shows_both_codes_whole_or_the_addresses_in_text(code: str, width: int, height: int) -> None:
    made = invitation(ScreenWords(load(code)), entrance("192.168.178.123", secure=True, lasts=True))
    shown = made.fitted(width, height)
    assert len(shown) == height
    assert max(map(columns, shown)) <= width
    assert shown[-1] == shortened(made.close, width)
    text = "".join(shown)
    assert all(each.address in text for each in made.codes)
    assert ("█" in text) == (width >= 76 and height >= 23)


def test_a_phone_reads_the_code_off_the_terminal() -> None:
    """With the reader of the ZXing project, light being ink as on a dark terminal."""
    zxing = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    made = invitation(WORDS, entrance("192.168.178.123", secure=True))
    drawn = [line for line in made.fitted(80, 24) if line and set(line) <= set(" █▀▄")]
    halves = [[[255 * (cell in f"█{half}") for cell in line] for half in "▀▄"] for line in drawn]
    dots = np.array([row for pair in halves for row in pair], np.uint8)
    read = zxing.read_barcodes(np.pad(dots, 4).repeat(8, 0).repeat(8, 1))
    assert sorted(each.text for each in read) == sorted(code.address for code in made.codes)


def test_the_key_that_shows_them_again_means_nothing_else() -> None:
    assert INVITE not in {key for keys in OF_EVENTS.values() for key in keys}
