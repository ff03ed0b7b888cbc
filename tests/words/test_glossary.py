"""Every event has its words, its label and its keys in one table, and all that shows them agrees."""

from pathlib import Path

import pytest

from assistant.senses.page.state import LARGE, SMALL
from assistant.senses.pedal.keys import BY_KEY
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Kind
from assistant.session.hints import IN_JOB, IN_MODE, YES_OR_NO
from assistant.words.glossary import Glossary, capitalised
from assistant.words.language import codes, load

GUIDE = Path(__file__).parents[2] / "DEVELOPERS.md"
EVERY_LANGUAGE = pytest.mark.parametrize("code", codes())


def test_every_event_stands_in_the_glossary_once() -> None:
    assert {entry.event for entry in Glossary(load("en"))} == {kind.value for kind in Kind}
    keys = [key for entry in Glossary(load("en")) for key in entry.keys]
    assert len(keys) == len(set(keys))
    assert {key: entry.event for entry in Glossary(load("en")) for key in entry.keys} == {**BY_KEY, "0-9": Kind.NUMBER}


@EVERY_LANGUAGE
def test_label_line_of_keys_and_spoken_word_agree(code: str) -> None:
    """A label differs from the word that is spoken first by capitals at most."""
    words, commands = ScreenWords(load(code)), load(code).commands
    line = words.keys()
    for entry in words.glossary:
        assert entry.spoken == tuple(commands.get(entry.event, ()))
        assert entry.label[:1].upper() == entry.label[:1] != ""
        assert not entry.spoken or entry.label.lower() == entry.spoken[0].lower()
        assert not entry.keys or any(key.endswith(f" {entry.label}") for key in line)
    for kind in (*LARGE, *SMALL):
        assert words.glossary.label(kind) == words.glossary.entry(kind).label


@EVERY_LANGUAGE
def test_no_two_events_have_one_label(code: str) -> None:
    labels = [entry.label for entry in Glossary(load(code))]
    assert len(set(labels)) == len(labels)


@EVERY_LANGUAGE
def test_labels_of_their_own_stand_where_an_event_has_no_word_or_means_something_narrower(code: str) -> None:
    language = load(code)
    unspoken = {kind.value for kind in Kind} - set(language.commands)
    needed = unspoken | {str(name) for name in (*IN_MODE.values(), *IN_JOB.values(), *YES_OR_NO.values())}
    assert needed <= set(language.labels) <= needed | set(language.commands)


def test_a_label_is_its_word_with_a_capital_and_the_rest_as_it_is() -> None:
    assert [capitalised(text) for text in ("not sure", "étroit", "다시", "")] == ["Not sure", "Étroit", "다시", ""]
    assert Glossary(load("en")).label("over") == "Left over"
    assert Glossary(load("de")).label("unsure") == "Keine Ahnung"


def table(glossary: Glossary) -> list[str]:
    """The glossary as a table for a document, in Markdown."""
    rows = (
        (f"`{entry.event}`", ", ".join(entry.spoken), entry.label, " ".join(f"`{key}`" for key in entry.keys))
        for entry in glossary
    )
    return [
        "| event | spoken | label | key |",
        "| --- | --- | --- | --- |",
        *(f"| {' | '.join(row)} |" for row in rows),
    ]


@pytest.mark.skipif(not GUIDE.exists(), reason="no guide beside the tests")
def test_the_guide_holds_the_glossary() -> None:
    """Where this fails, put what `table` gives into DEVELOPERS.md."""
    assert "\n".join(table(Glossary(load("en")))) in GUIDE.read_text(encoding="utf-8")
