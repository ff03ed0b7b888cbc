"""What is told of a failure: every English sentence that an error is raised with stands in every language."""

import ast
import re
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from string import Formatter

import pytest

import assistant
from assistant.errors import SequenceError
from assistant.warp.sequence import loads
from assistant.words.language import Language, codes, load
from assistant.words.phrases import Phrases

PACKAGE = Path(assistant.__file__).parent
RAISING = ("warp", "cli/ears.py", "cli/records.py", "cli/rehearsals.py", "finding.py", "drafting.py")
FILES = sorted(
    file for part in RAISING for file in ((PACKAGE / part).rglob("*.py") if "." not in part else [PACKAGE / part])
)
TAKES_SENTENCES = re.compile(r"(?!Value|Type|Lookup)[A-Z]\w+Error|_?error|complaint|_no_shaft|_within")
HOLDS_A_SENTENCE = {"what", "todo", "too_many", "too_few", "_TODO", "_FOR_INSTANCE", "_WITH_A_SPACE"}
SENTENCE = re.compile(r"[^\W\d_]{2,} \S")  # a word, and something after it
OTHERS = [code for code in codes() if code != "en"]


def texts(node: ast.AST) -> Iterator[str]:
    """The texts in an expression, those within calls left aside but for a Tell's."""
    match node:
        case ast.Constant(value=str(text)):
            yield text
        case ast.Call(func=ast.Name(id="Tell"), args=[sentence, *_]):
            yield from texts(sentence)
        case ast.Tuple() | ast.IfExp() | ast.BoolOp():
            for child in ast.iter_child_nodes(node):
                yield from texts(child)


def sentences(code: str) -> set[str]:
    """The sentences that errors are raised with in a file's code, and what of their places is in words."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(code)):
        match node:
            case ast.Call(func=ast.Name(id="Tell"), args=[sentence, *_]):
                found.update(texts(sentence))
            case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)) if TAKES_SENTENCES.fullmatch(name):
                found.update(text for arg in node.args for text in texts(arg) if SENTENCE.search(text))
            case ast.Assign(targets=[ast.Name(id="_PLAIN")], value=ast.Tuple(elts=rows)):
                found.update(text for row in rows if isinstance(row, ast.Tuple) for text in list(texts(row))[1:])
            case ast.Assign(targets=[target]):
                names = {each.id for each in ast.walk(target) if isinstance(each, ast.Name)}
                told = texts(node.value) if names & HOLDS_A_SENTENCE else ()
                found.update(text for text in told if SENTENCE.search(text))
    return found


EVERY = {text for file in FILES for text in sentences(file.read_text(encoding="utf-8"))}


def keys(language: Language) -> set[str]:
    """Every key that a Tell may have."""
    sections = [getattr(language, field.name) for field in fields(language)]
    return {key for section in (*sections, *language.jobs.values()) if isinstance(section, dict) for key in section}


def parsed(phrase: str | dict[str, str]) -> list[tuple[str, str | None]]:
    """The places of a phrase and how each is to be written, in the order of their names."""
    form = phrase if isinstance(phrase, str) else phrase["other"]
    return sorted((name, spec) for _, name, spec, _ in Formatter().parse(form) if name)


def test_the_sentences_of_errors_are_found_where_they_are() -> None:
    code = 'what = "this is {odd}"\nraise PlanError(what, odd=1)\nfield.error("no {x}" if f("a b") else "not one", x=1)'
    assert sentences(code) == {"this is {odd}", "no {x}", "not one"}


@pytest.mark.parametrize("code", OTHERS)
def test_every_sentence_of_an_error_stands_in_the_language(code: str) -> None:
    assert sorted(EVERY - keys(load(code))) == []
    assert set(load(code).errors) == set(load("de").errors)


@pytest.mark.parametrize("code", OTHERS)
def test_a_sentence_fills_the_places_of_the_english_one(code: str) -> None:
    """How a number is written is left to the numerals of the language."""
    for english, phrase in load(code).errors.items():
        assert parsed(phrase) == [(name, "") for name, _ in parsed(english)], english


def told(text: str, code: str) -> str:
    """What is wrong with the text of a sequence file, in a language."""
    with pytest.raises(SequenceError) as raised:
        loads(text.encode(), "scarf.yaml")
    return Phrases.read(load(code), "phrases", "errors").told(raised.value.tell)


def test_what_is_wrong_with_a_file_is_told_in_the_language_of_the_weaver() -> None:
    """What she wrote herself, and what the file has to have, stays as it is written."""
    assert told("shafts: 4\ngroups: [{thread: 1 2 9}]", "de") == (
        "scarf.yaml:2:23: es gibt keinen Schaft 9; dieser Webstuhl hat die Schäfte 1 bis 4"
    )
    assert told("shafts: 4\ngroups: []", "de") == (
        "scarf.yaml:2:9: groups ist leer; schreib zum Beispiel - thread: 1 2 3 4"
    )
    assert told("shafts: 4\ngroups: 7", "sv") == (
        "scarf.yaml:2:9: groups är ingen lista; skriv till exempel - thread: 1 2 3 4"
    )
    assert told("shafts: [4]\ngroups: [{thread: 1}]", "fr") == (
        "scarf.yaml:1:9: shafts est une liste; écrivez-le comme un texte, sans [ ] ni - devant"
    )
    assert told("shafts: 4000\ngroups: [{thread: 1}]", "fi") == (
        "scarf.yaml:1:9: shafts on '4000'; kirjoita kokonaisluku, vähintään 1 ja enintään 64"
    )


def test_braces_that_a_weaver_wrote_are_no_places() -> None:
    assert told("shafts: 4\n'{most}': 1\ngroups: [{thread: 1}]", "de").startswith(
        "scarf.yaml:2:1: unbekannter Schlüssel '{most}'; "
    )
    assert told("shafts: 4\ngroups: [{thread: 1, name: {a: b}}]", "de") == (
        "scarf.yaml:2:28: name enthält Schlüssel; schreib es als Text, ohne { } oder Doppelpunkt darin"
    )
