"""A phrase by its key, whatever a language file lacks."""

from typing import Any

import pytest

from assistant.errors import FindError, SequenceError
from assistant.meaning import Tell
from assistant.words.phrases import Phrases

ENGLISH: dict[str, Any] = {
    "ends": {"one": "1 end", "other": "{count} ends"},
    "of": "{done} of {all}",
    "nowhere else": "{what} left",
}


def test_the_form_goes_by_the_count() -> None:
    phrases = Phrases({"ends": {"one": "ein Faden", "other": "{count} Fäden"}}, ENGLISH)
    assert [phrases.text("ends", count=count) for count in (0, 1, 2)] == ["0 Fäden", "ein Faden", "2 Fäden"]


def test_a_tell_in_a_place_is_worded_first() -> None:
    phrases = Phrases({}, ENGLISH)
    assert phrases.told(Tell("of", done=Tell("ends", count=1), all=Tell("ends", count=7))) == "1 end of 7 ends"


@pytest.mark.parametrize(
    "broken",
    [{}, {"of": "{nothing}"}, {"of": "{done"}, {"of": "{}"}, {"of": "{done.x}"}, {"of": "{done:q}"}, {"of": None},
     {"of": {"one": "1"}}, {"of": ["a"]}],
)  # fmt: skip
def test_what_a_language_lacks_or_breaks_is_english(broken: dict[str, Any]) -> None:
    assert Phrases(broken, ENGLISH).text("of", done=3, all=4) == "3 of 4"


def test_what_english_lacks_too_is_its_key() -> None:
    assert Phrases({}, {}).text("nowhere else") == "nowhere else"
    assert Phrases({}, ENGLISH).text("of", done=3) == "of"


def test_a_sentence_that_a_language_lacks_is_english_with_its_places() -> None:
    """What a weaver typed is never taken for a place."""
    error = FindError("there is no group {name!r}; there are: {groups}", name="{groups}", groups=("A {0}", "B"))
    assert str(error) == "there is no group '{groups}'; there are: A {0}, B"
    assert Phrases({}, {}).told(error.tell) == str(error)
    words = {error.tell.phrase: "Gruppe {name} fehlt; da sind: {groups}"}
    assert Phrases(words, {}).told(error.tell) == "Gruppe {groups} fehlt; da sind: A {0}, B"


def test_an_error_within_an_error_is_worded_too() -> None:
    within = SequenceError("{what} is off", "look", what="it", column=3)
    error = SequenceError(within.what, within.todo, file="a.yaml", line=2, column=3)
    assert str(error) == "a.yaml:2:3: it is off; look"
    assert Phrases({"{what} is off": "{what} ist falsch", "look": "sieh nach"}, {}).told(error.tell) == (
        "a.yaml:2:3: it ist falsch; sieh nach"
    )
