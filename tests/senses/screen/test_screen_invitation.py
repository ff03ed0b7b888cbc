"""The addresses of the page, shown again by a key: over the board, or in further lines."""

import asyncio
import io
from concurrent.futures import Future
from dataclasses import replace

import pytest
from at_the_loom import CALLING, ENGLISH, OFF, WELL

from assistant.senses.screen import INVITE, LEAVE
from assistant.senses.screen.invitation import Code, Invitation
from assistant.senses.screen.lines import Lines
from assistant.senses.screen.terminal import BoardApp
from assistant.senses.screen.words import ScreenWords

CODES = tuple(Code(use, f"https://192.168.178.123:20000/{use}/", ("█" * 37,) * 19) for use in ("one", "two"))
INVITED = Invitation(("secure page: one", "to look only: two"), CODES, ("Whoever has this",), "Any key closes this.")


def seen(*keys: str) -> tuple[list[str], list[str]]:
    """What a board of 80x24 shows after these keys, and those that it gave on; "!" stands for a group that is off."""
    given: list[str] = []
    app = BoardApp(ScreenWords(ENGLISH), Future, lambda key, ago: given.append(key), INVITED)

    async def look() -> list[str]:
        async with app.run_test(size=(80, 24)) as pilot:
            app.show(CALLING, WELL)
            for key in keys:
                if key == "!":
                    app.show(OFF, WELL)
                else:
                    await pilot.press(key)
            await pilot.pause()
            return [strip.text for strip in app.screen._compositor.render_strips()]

    return asyncio.run(look()), given


@pytest.mark.parametrize("key", ["space", "n", "q", "i", "x"])
def test_both_codes_cover_the_board_until_any_key_which_means_nothing_else(key: str) -> None:
    rows, given = seen(INVITE)
    assert [row.rstrip() for row in rows[1:20]] == ["█" * 37 + "  " + "█" * 37] * 19
    assert [row.strip() for row in rows[20:22]] == [code.address for code in CODES]
    assert rows[-1].strip() == "Any key closes this."
    assert given == []
    rows, given = seen(INVITE, key)
    assert "stripe 4" in "".join(rows)
    assert given == []


def test_keys_after_it_mean_what_they_mean_and_leaving_is_never_held_up() -> None:
    assert seen(INVITE, "x", "n")[1] == ["n"]
    assert seen(INVITE, LEAVE)[1] == [LEAVE]


def test_an_alarm_is_not_covered() -> None:
    assert "COUNT OFF" in "".join(seen(INVITE, "!")[0])


def test_without_a_page_the_key_is_a_key_like_any() -> None:
    given: list[str] = []
    app = BoardApp(ScreenWords(ENGLISH), Future, lambda key, ago: given.append(key))

    async def look() -> None:
        async with app.run_test(size=(80, 24)) as pilot:
            app.show(CALLING, WELL)
            await pilot.press(INVITE)

    asyncio.run(look())
    assert given == [INVITE]


def test_plain_lines_print_them_again() -> None:
    out, given = io.StringIO(), list[str]()
    lines = Lines(ENGLISH, out, keys=[])
    lines._on_key = lambda key, ago: given.append(key)
    lines.show(CALLING, replace(WELL))
    lines._press(INVITE)
    assert given == [INVITE]
    lines.invitation = INVITED
    before = out.getvalue()
    lines._press(INVITE)
    assert out.getvalue()[len(before) :].splitlines()[-3:] == [*INVITED.addresses, *INVITED.further]
    assert given == [INVITE]
