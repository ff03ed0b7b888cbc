"""What is shown in every language: whole, filled alike, drawn in letters there are, and in no other language."""

import asyncio
import io
import re
import string
from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import ExitStack
from html import unescape
from importlib.resources import files

import pytest

from assistant.senses.page.door import Door, Entrance
from assistant.senses.page.invited import invitation
from assistant.senses.page.keys import Keys
from assistant.senses.page.state import filled, now, warp
from assistant.senses.screen.letters import GLYPHS
from assistant.senses.screen.lines import Lines
from assistant.senses.screen.terminal import BoardApp
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Event, Kind, Origin
from assistant.session.machine import Session
from assistant.session.view import GroupState, ModeName, Status, View
from assistant.warp.passes import PASSES
from assistant.warp.sequence import loads
from assistant.words.columns import columns
from assistant.words.language import Phrase, codes, load

EVERY_LANGUAGE = pytest.mark.parametrize("code", codes())
LAYOUT = (files("assistant.senses.page") / "static" / "index.html").read_text(encoding="utf-8")
ENTRANCE = Entrance(Door("192.168.1.2", 1, (Keys.of(b""),)), (), ExitStack())
DATA = "strike|take|late|lost|over|again|full|gone|small|twice|dropped"
HELD = f'(?:aria-label|aria-valuetext|alt|data-(?:{DATA}))="(.*?)"'
FOR_A_PROGRAM = {"mode", "job", "state", "do", "goes", "colour", "perCall", "thing", "side"}
UNITS = {"unit", "units"}  # a language may do without them
LONGEST_AFAR = 8  # letters of a word from afar
WARP = """
title: Probe
shafts: 4
reed: 10
sley: [2]
yarns: {rost: {name: Rost, colour: "#a4532c"}, moos: {name: Moos, colour: "#b7c4c9"}}
groups:
  - {name: Kante, thread: "1 2 3 4", yarn: rost}
  - {name: Streifen, thread: "4 3 2 1 4 3", yarn: "2 moos, 1 rost"}
  - {name: Rand, thread: "1 2 3 4 1 2 3 4", yarn: rost}
"""
NEXT, SHORT, OVER, NUMBER = Kind.NEXT, Kind.SHORT, Kind.OVER, Kind.NUMBER
EVENINGS: dict[str, list[Kind | tuple[Kind, int]]] = {  # a job -> what happens, through every mode
    "thread": [
        *(
            Kind.FINISHED,
            Kind.BACK,
            NEXT,
            Kind.PAUSE,
            Kind.RESUME,
            NEXT,
            NEXT,
            NEXT,
            Kind.UNEVEN,
            Kind.HEDDLE_LEFT,
            Kind.BACK,
            OVER,
            (NUMBER, 1),
            Kind.PASS_ON,
            Kind.BACK,
            Kind.GO_TO,
            (NUMBER, 2),
            Kind.NEXT,
            Kind.RESUME,
            Kind.FIND,
        ),
        *(
            (NUMBER, 0),
            (NUMBER, 0),
            (NUMBER, 0),
            NEXT,
            NEXT,
            NEXT,
            NEXT,
            Kind.FINISHED,
            (NUMBER, 2),
            Kind.REDO,
            Kind.BACK,
        ),
        *(Kind.NOTE, Kind.WHERE, Kind.SETTLE, NEXT, Kind.BACK, (OVER, 2), NEXT, NEXT, Kind.LEAVE),
    ],
    "check": [NEXT, (NUMBER, 1), NEXT, NEXT, NEXT, Kind.PAUSE, NEXT, Kind.SETTLE, Kind.LEAVE],
    "heddles": [NEXT, NEXT, (SHORT, 1), NEXT, *[NEXT] * 8],
    "sley": [*[NEXT] * 9],
}


def forms(phrase: Phrase | list[str]) -> list[str]:
    return [phrase] if isinstance(phrase, str) else list(phrase.values() if isinstance(phrase, dict) else phrase)


def places(phrase: Phrase) -> set[str]:
    return {name for text in forms(phrase) for _, name, _, _ in string.Formatter().parse(text) if name}


@EVERY_LANGUAGE
def test_every_text_is_there_and_fills_the_same_places(code: str) -> None:
    english, language = load("en"), load(code)
    assert set(language.screen) == set(english.screen)
    assert set(language.states) == set(english.states) >= {state.value for state in GroupState}
    for name, phrase in language.screen.items():
        assert places(phrase) - UNITS == places(english.screen[name]) - UNITS
        assert all(text == text.strip() != "" for text in forms(phrase))
        assert isinstance(phrase, str) or set(phrase) == {"one", "other"}
    assert all(f"job {job}" in language.screen and PASSES[job].unit in language.screen for job in PASSES)


@EVERY_LANGUAGE
def test_words_from_afar_are_short_and_drawn_in_letters_there_are(code: str) -> None:
    """Hangul is written in the letters of the terminal."""
    screen = load(code).screen
    off = [text for name in ("short", "over", "differs") for text in forms(screen[name])]
    afar = [str(phrase) for name, phrase in screen.items() if name.startswith("afar ")]
    for word in " ".join(
        [*afar, *(text.format(count=7, unit=forms(screen["end"])[0]).upper() for text in off)]
    ).split():
        assert sum(letter.isalpha() for letter in word) <= LONGEST_AFAR
        assert code == "ko" or set(word) <= set(GLYPHS)


def evening(job: str) -> Iterator[tuple[View, Status]]:
    """A job from sitting down to the end, as screens get to see it."""
    loom = Session(loads(WARP.encode(), "probe.yaml"), PASSES[job])
    loom.handle(Event(Kind.SIT_DOWN, 0.0))
    yield loom.view(), Status(hears=False, speaks=True)
    for at, key in enumerate(EVENINGS[job], 1):
        kind, number = key if isinstance(key, tuple) else (key, None)
        event = Event(kind, 5.0 * at, number, Origin.VOICE if kind is Kind.REDO else "key")
        loom.handle(event)
        yield loom.view(), Status(hears=True, speaks=bool(at % 2), heard=event)


def foreign(code: str) -> set[str]:
    """The English words that this language does not have."""
    english, own = (
        {
            word
            for section in (language.labels, language.states, language.screen, language.phrases, language.commands)
            for phrase in section.values()
            for text in forms(phrase)
            for word in re.findall(r"[^\W\d_]{3,}", re.sub("{.*?}", " ", text).lower())
        }
        for language in (load("en"), load(code))
    )
    return english - own - {word for text in WARP.lower().split() for word in re.findall(r"\w+", text)}


def words_in(text: str) -> set[str]:
    return set(re.findall(r"[^\W\d_]{3,}", text.lower()))


def test_every_text_of_the_layout_is_one_of_the_screens() -> None:
    wanted = {text for text in re.findall("{{(.*?)}}", LAYOUT) if not text.startswith("label ")}
    assert wanted - {"lang", "sitting", "marks", "proof", "secure"} <= set(load("en").screen)


def read(state: object) -> Iterator[str]:
    """The texts of a state of the page, but for those that a program reads."""
    match state:
        case str(text):
            yield text
        case list(parts):
            yield from (text for part in parts for text in read(part))
        case dict(entries):
            yield from (text for name, part in entries.items() if name not in FOR_A_PROGRAM for text in read(part))


@pytest.mark.parametrize("code", sorted({*codes()} - {"en"}))
def test_whole_evenings_in_another_language_show_no_english_word(code: str) -> None:
    words, out = ScreenWords(load(code)), io.StringIO()
    lines, shown, modes = Lines(load(code), out, keys=[]), [], set()
    for view, status in (moment for job in EVENINGS for moment in evening(job)):
        modes.add(view.mode)
        lines.show(view, status)
        shown += [*read(now(words, view, status)), *read(warp(words, view))]
    assert modes == set(ModeName)
    page = filled(LAYOUT, words, {"marks": "", "proof": "", "sitting": "", "secure": ""})
    assert f'<html lang="{code}">' in page
    texts = " ".join(re.findall(HELD, page) + re.findall(">([^<]+)<", page.replace("Heddlecall", "")))
    invited = invitation(words, ENTRANCE)
    shown += [out.getvalue(), unescape(texts), *invited.further, *(code.use for code in invited.codes), invited.close]
    shown += words.keys_at_the_end()
    assert words_in(" ".join(shown)) & foreign(code) == set()


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
@EVERY_LANGUAGE
def test_the_board_finds_room_in_every_language(code: str, size: tuple[int, int]) -> None:
    """Every row is as wide as the terminal, and of the keys none is cut off."""
    words = ScreenWords(load(code))
    seen: dict[ModeName, tuple[View, Status]] = {}
    for view, status in evening("thread"):
        seen.setdefault(view.mode, (view, status))

    async def look() -> None:
        app = BoardApp(words, Future, lambda key, at: None)
        async with app.run_test(size=size) as pilot:
            for view, status in seen.values():
                app.show(view, status)
                await pilot.pause()
                rows = [strip.text for strip in app.screen._compositor.render_strips()]
                assert {columns(row) for row in rows} == {size[0]}
                text = " ".join(" ".join(rows).split())
                keys = words.keys_at_the_end() if view.mode is ModeName.COMPLETE else words.keys(view.offers)
                assert all(" ".join(key.split()) in text for key in keys)
                assert words.title(view) in text
                assert " ".join(words.asked(view).split()) in text

    asyncio.run(look())
