"""The board in a terminal of 80x24 and of 200x60."""

import asyncio
from concurrent.futures import Future
from dataclasses import replace

import pytest
from at_the_loom import CALLING, CLOSING, EVERY, FINISHED, OFF, PAUSED, WELL, WORDS, called, figure, items, read

from assistant.meaning import Tell
from assistant.senses.screen.terminal import BoardApp
from assistant.session.events import Kind
from assistant.session.view import Band, ModeName, Status, View

SMALL, LARGE = (80, 24), (200, 60)
SIZES = pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80x24", "200x60"])


def on_screen(app: BoardApp) -> list[str]:
    """Every row of the terminal, as text."""
    return [strip.text for strip in app.screen._compositor.render_strips()]


def shown(view: View, size: tuple[int, int], status: Status = WELL, *keys: str) -> list[str]:
    """The rows of a terminal that shows this, after these keys."""

    async def look() -> list[str]:
        app = BoardApp(WORDS, Future, lambda key, at: None)
        async with app.run_test(size=size) as pilot:
            app.show(view, status)
            await pilot.pause()
            await pilot.press(*keys)
            await pilot.pause()
            return on_screen(app)

    return asyncio.run(look())


@SIZES
@pytest.mark.parametrize("mode", ModeName)
def test_every_state_fills_the_terminal_and_no_more(mode: ModeName, size: tuple[int, int]) -> None:
    rows = shown(EVERY[mode], size)
    assert len(rows) == size[1]
    assert {len(row) for row in rows} == {size[0]}
    text = " ".join(" ".join(rows).split())
    assert WORDS.asked(EVERY[mode]) in text
    assert "q Leave" in rows[-1]


@SIZES
@pytest.mark.parametrize(
    "ends",
    [
        ((1,), (2,), (3,), (4,)),
        ((24,), (13,), (9,), (20,)),
        ((3, 7), (4,), (3, 7), (4,)),
        ((23, 24), (13, 20), (22, 23), (20, 24)),
        ((8,),),
    ],
)
def test_the_shafts_are_read_from_afar(ends: tuple[tuple[int, ...], ...], size: tuple[int, int]) -> None:
    rows = shown(called(*(figure("/".join(map(str, end)), str(n)) for n, end in enumerate(ends, 215))), size)
    assert read(rows) == ["/".join(map(str, end)) for end in ends]
    numbers = [word for row in rows for word in row.replace("─", " ").split() if word in {"215", "216", "217", "218"}]
    assert numbers == ["215", "216", "217", "218"][: len(ends)]


@SIZES
def test_the_counts_stand_around_the_figures(size: tuple[int, int]) -> None:
    rows = [" ".join(row.split()) for row in shown(CALLING, size)]
    assert rows[0] == "Hearth runner, thread hears you, speaks"
    assert rows[1] == "stripe 4: group 5 of 12 15 to 18 of 24"
    assert "heard: next about 3 h 10 min left, by your own pace" in rows
    (progress,) = (row for row in rows if row.startswith("warp "))
    assert progress.endswith("214 of 1,000 ends, 21 %")
    assert "▄▄▄▄" in progress
    assert "▲ ▄ 1 open" in rows


@SIZES
def test_the_next_call_and_the_yarns_stand_below_the_figures(size: tuple[int, int]) -> None:
    yarns = (Band("rust silk", "#a4532c", 3), Band("mist wool", "#b7c4c9", 1))
    rows = shown(replace(CALLING, following=items("4, 3, 2, 1"), yarns=yarns), size)
    assert [row.strip() for row in rows if "then" in row or "×" in row] == [
        "then 4, 3, 2, 1",
        "rust silk × 3, mist wool × 1",
    ]


@SIZES
def test_of_the_keys_stand_those_that_mean_something_now(size: tuple[int, int]) -> None:
    told = " ".join(" ".join(shown(replace(CALLING, offers=(Kind.NEXT, Kind.LEAVE)), size)).split())
    assert told.endswith("space Next, q Leave")
    assert "Uneven" not in told


@SIZES
def test_silent_and_deaf_is_said_with_the_reason(size: tuple[int, int]) -> None:
    why = "no loudspeaker was found; plug one in, or see the README about sound on this computer"
    rows = shown(CALLING, size, Status(hears=False, speaks=False, notices=(Tell("silent", why=why),)))
    assert rows[0].rstrip().endswith("does not hear, is silent")
    assert f"note: silent: {why}" in " ".join(" ".join(rows).split())
    assert read(rows) == ["1", "2", "3", "4"]


@SIZES
def test_a_count_that_is_off_strikes_without_colour(size: tuple[int, int]) -> None:
    async def look() -> None:
        app = BoardApp(WORDS, Future, lambda key, at: None)
        async with app.run_test(size=size) as pilot:
            app.show(OFF, WELL)
            await pilot.pause()
            rows = on_screen(app)
            assert any("COUNT OFF: Thread it again" in row for row in rows)
            assert any("┏" in row for row in rows)
            assert any("┗" in row for row in rows)
            assert read(rows)[0] == "2"
            assert "reverse" in str(app.query_one("#figures").styles.text_style)
            app.show(CALLING, WELL)
            await pilot.pause()
            assert not any("┏" in row for row in on_screen(app))
            assert "reverse" not in str(app.query_one("#figures").styles.text_style)

    asyncio.run(look())


def test_without_colours_the_board_says_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    colourful = [shown(view, SMALL) for view in (CALLING, OFF, FINISHED)]
    monkeypatch.setenv("NO_COLOR", "1")
    assert [shown(view, SMALL) for view in (CALLING, OFF, FINISHED)] == colourful


def test_the_list_of_groups_is_moved_through() -> None:
    top = "\n".join(shown(FINISHED, SMALL))
    assert "959 of 960 ends counted in 40 groups; OFF: group 7" in top
    assert "stripe 7         24       22  OFF, 2 short" in top
    assert "stripe 40" not in top
    bottom = "\n".join(shown(FINISHED, SMALL, WELL, "end"))
    assert "stripe 40        24       24  even" in bottom
    assert "expected  counted  state" in bottom
    assert "stripe 2 " in "\n".join(shown(FINISHED, SMALL, WELL, "end", "home", "down"))
    assert "stripe 22        24       24  settled, 1 over" in "\n".join(shown(FINISHED, SMALL, WELL, "pagedown"))
    assert "stripe 40" in "\n".join(shown(FINISHED, LARGE))


@SIZES
def test_a_terminal_that_changes_its_size(size: tuple[int, int]) -> None:
    async def look() -> None:
        app = BoardApp(WORDS, Future, lambda key, at: None)
        async with app.run_test(size=(100, 30)) as pilot:
            app.show(CALLING, WELL)
            await pilot.resize_terminal(*size)
            await pilot.pause()
            rows = on_screen(app)
            assert (len(rows[0]), len(rows)) == size
            assert read(rows) == ["1", "2", "3", "4"]

    asyncio.run(look())


def test_a_terminal_too_small_for_figures_still_shows_the_call() -> None:
    assert any("1 2 3 4" in row for row in shown(CALLING, (30, 10)))


def test_keys_are_told_by_name_and_how_long_ago_they_came() -> None:
    typed: list[tuple[str, float]] = []

    async def look() -> None:
        app = BoardApp(WORDS, Future, lambda key, ago: typed.append((key, ago)))
        async with app.run_test(size=SMALL) as pilot:
            await pilot.press("space", "enter", "backspace", "n", "N", "7", "plus", "minus", "greater_than_sign")
            await pilot.press("less_than_sign", "pageup", "ctrl+c", "ctrl+q", "tab", "q")

    asyncio.run(look())
    assert [key for key, _ in typed] == [
        *("space", "enter", "backspace", "n", "n", "7", "+", "-", ">", "<", "pageup", "ctrl+c", "ctrl+q", "tab", "q"),
    ]
    assert all(ago >= 0 for _, ago in typed)


def test_the_board_goes_when_the_session_is_over() -> None:
    async def look() -> None:
        session: Future[None] = Future()
        app = BoardApp(WORDS, lambda: session, lambda key, at: None)
        async with app.run_test(size=SMALL) as pilot:
            app.show(PAUSED, WELL)
            await pilot.pause()
            assert app.is_running
            session.set_result(None)
            while app.is_running:
                await pilot.pause(0.01)

    asyncio.run(look())


def test_the_closing_question_is_read_from_afar() -> None:
    rows = shown(CLOSING, SMALL)
    assert read(rows) == ["EVEN?"]
