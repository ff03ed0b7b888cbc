"""What a session means, in the words of every language; and whatever a language file lacks, a record opens."""

import string
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from random_sessions import lived

from assistant.errors import LanguageError
from assistant.meaning import Tell
from assistant.session.events import Effect, Event, Kind, Sound, Stop, Tone
from assistant.session.machine import Session
from assistant.warp.passes import Figure, Item
from assistant.warp.sequence import loads
from assistant.words import language as languages
from assistant.words.language import Language, Phrase, codes, load
from assistant.words.speech import Part, Say
from assistant.words.wording import VERBS, Wording

ENGLISH = load("en")
WARP = loads(b"{title: Two, shafts: 4, groups: [{name: edge, thread: 1 2 3 4 1 2}, {name: rose, thread: 4 3}]}", "two")
SESSIONS = 150


def told() -> dict[tuple[str, str], Tell]:
    """One of each that random sessions tell, by job and phrase."""
    found: dict[tuple[str, str], Tell] = {}
    for seed in range(SESSIONS):
        for session, _, effects in lived(seed):
            view = session.view()
            items = [item.tell for item in (*view.called, *view.following)]
            captions = [figure.caption for figure in view.figures if figure.caption]
            for tell in (*(e for e in effects if isinstance(e, Tell)), *view.prompt, *items, *captions):
                found.setdefault((session.job.name, tell.phrase), tell)
    return found


def places(phrase: Phrase) -> set[str]:
    """The places of a phrase that what is told must hold."""
    forms = phrase.values() if isinstance(phrase, dict) else [phrase]
    names = {name for form in forms for _, name, _, _ in string.Formatter().parse(form) if name}
    return {name for name in names if not name.startswith("word_")} - {"units", *VERBS}


def test_all_that_is_told_is_a_phrase_of_every_language_with_all_its_places() -> None:
    telling = told()
    assert len(telling) > 100
    for code in codes():
        language = load(code)
        for (job, name), tell in telling.items():
            phrases = {**language.phrases, **language.jobs[job]}
            assert name in phrases, (code, job, name)
            assert places(phrases[name]) <= tell.places.keys(), (code, job, name)
            text = Wording(language, job).part(tell).text
            assert text
            assert "{" not in text


def broken(language: Language, **phrases: Any) -> Language:
    """A language some of whose phrases are wrong."""
    return replace(language, phrases={**language.phrases, **phrases}, jobs={})


@pytest.mark.parametrize("wrong", ["{nobody}", "{", "{0}", "{count.real.x}", "{count:zz}", None, {"one": "1"}, 7])
def test_a_phrase_that_is_wrong_stops_nothing(wrong: Any) -> None:
    """A placeholder in a language file once locked every record that came to its phrase."""
    german = broken(load("de"), even=wrong, group=wrong)
    words = Wording(german, "thread")
    loom = Session(WARP)
    said = []
    for kind in (Kind.SIT_DOWN, Kind.NEXT, Kind.NEXT, Kind.NEXT, Kind.NEXT, Kind.NEXT):
        said += [each.text for each in words.spoken(loom.handle(Event(kind, 0.0))) if isinstance(each, Say)]
    assert "edge: 6 ends. Even?" in said  # as English has it
    assert said[-1].startswith("Alle 8")  # and the rest as German has it


def test_a_phrase_that_no_language_has_is_told_by_its_key() -> None:
    assert Wording(load("fi"), "thread").part(Tell("no such phrase", count=3)) == Part("no such phrase")
    assert Wording(load("fi"), "no such job").text(Tell("first call")) == load("fi").phrases["first call"]


def test_effects_keep_their_order_and_what_follows_is_said_as_one() -> None:
    words = Wording(ENGLISH, "thread")
    off: list[Effect] = [Sound(Tone.OFF), Tell("first call"), Tell("none off"), Stop(), Tell("none off")]
    assert list(words.spoken(off)) == [
        Sound(Tone.OFF),
        Say((Part("This is the first call."), Part("No group is off."))),
        Stop(),
        Say((Part("No group is off."),)),
    ]


def test_what_is_written_may_differ_from_what_is_spoken() -> None:
    words = Wording(ENGLISH, "thread")
    items = [
        Item(Tell("shafts", beat=True, shafts=(1, 3)), written="1/3"),
        Item(Tell("shafts", beat=True, shafts=(2,))),
    ]
    assert words.line(items) == "1/3, two"
    assert words.parts(item.tell for item in items) == (Part("one and three", beat=True), Part("two", beat=True))


def test_a_command_keeps_its_capitals_within_a_sentence() -> None:
    """A recogniser's word is in small letters; German writes its nouns with a capital."""
    asked = Wording(load("de"), "thread").text(Tell("heddles left", shaft=2))
    assert "Sag keine Ahnung, wenn" in asked
    assert "Say not sure if" in Wording(ENGLISH, "thread").text(Tell("heddles left", shaft=2))


def test_a_figure_that_is_a_word_is_shown_in_capitals() -> None:
    shown = Wording(load("sv"), "tie").figure(Figure(Tell("over"), Tell("caption: number", number=7)))
    assert (shown.text, shown.caption) == ("ÖVER", "7")


@pytest.mark.parametrize(
    "text", ["a: [", "\tb: 1", "code: de\n", '"pr\\tint": 1', "- 1", f"code: {'9' * 5000}", "[" * 50_000]
)
def test_a_language_file_that_cannot_be_read_is_one_clear_line(
    text: str, tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "zz.yaml").write_text(text, encoding="utf-8")
    monkeypatch.setattr(languages, "_FOLDER", tmp_path)
    with pytest.raises(LanguageError, match=r"zz\.yaml") as caught:
        languages.load.__wrapped__("zz")
    assert str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("entry", "wrong"),
    [
        ("commands", {"next": 5}), ("commands", {"next": []}), ("commands", ["next"]),
        ("alike", [[1]]), ("alike", 3), ("numerals", {}), ("numbers", ["zero"]), ("decoys", [True]), ("name", 3),
        ("numerals", {"thousands": ".", "grouped_from": "3", "decimal": ",", "run": "{first} bis {last}"}),
        ("numerals", {"thousands": ".", "grouped_from": 4, "decimal": None, "run": "{first} bis {last}"}),
        ("numerals", {"thousands": ".", "grouped_from": 4, "decimal": ",", "run": "{from} bis {last}"}),
        ("screen", None), ("labels", []), ("phrases", "hello"), ("jobs", {"thread": 7}),
    ],
)  # fmt: skip
def test_an_entry_of_another_form_is_one_clear_line_that_names_it(
    entry: str, wrong: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    entries = yaml.safe_load((languages._FOLDER / "de.yaml").read_text(encoding="utf-8"))
    (tmp_path / "zz.yaml").write_text(yaml.safe_dump({**entries, entry: wrong}), encoding="utf-8")
    monkeypatch.setattr(languages, "_FOLDER", tmp_path)
    with pytest.raises(LanguageError, match=rf"^zz\.yaml: not as in en\.yaml: {entry}$"):
        languages.load.__wrapped__("zz")


def lines(parts: Iterable[Part]) -> list[str]:
    return [part.text for part in parts]


def test_what_is_rendered_ahead_is_what_is_said() -> None:
    for code in codes():
        words, loom = Wording(load(code), "thread"), Session(WARP)
        ahead = set(lines(words.parts(loom.ahead())))
        for _ in range(4):
            for each in words.spoken(loom.handle(Event(Kind.NEXT, 0.0))):
                assert not isinstance(each, Say) or set(lines(each.parts)) <= ahead
