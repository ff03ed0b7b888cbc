"""Every sentence that an error is raised with, in every language; and what is wrong with a file, told in some."""

import ast
import errno
import os
import re
import string
from collections import defaultdict
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
import yaml

import assistant
from assistant.errors import SequenceError
from assistant.warp.sequence import loads
from assistant.words.language import Phrase, codes, load
from assistant.words.phrases import Phrases

PACKAGE = Path(assistant.__file__).parent
FILES = sorted(PACKAGE.rglob("*.py"))
TREES = {file: ast.parse(file.read_text(encoding="utf-8")) for file in FILES}
SENTENCE = re.compile(r"[^\W\d_]{2,} \S")  # a word, and something after it
FOREIGN = [code for code in codes() if code != "en"]

Held = Mapping[str, list[ast.expr]]  # by the name of a variable, what it is given in a file


def named(node: ast.expr | None) -> str:
    """The name that is called or annotated: JournalError, error of field.error."""
    match node:
        case ast.Name(id=name) | ast.Attribute(attr=name) | ast.Constant(value=str(name)):
            return name
    return ""


CLASSES = {
    node.name for node in TREES[PACKAGE / "errors.py"].body if isinstance(node, ast.ClassDef) and node.name[0] != "_"
}
RAISING = CLASSES | {  # what makes an error: the classes, and the functions that return one
    node.name
    for tree in TREES.values()
    for node in ast.walk(tree)
    if isinstance(node, ast.FunctionDef) and named(node.returns) in CLASSES
}


def held(tree: ast.AST) -> Held:
    """What variables are given, one by one, in pairs, or row by row of a table."""
    found: defaultdict[str, list[ast.expr]] = defaultdict(list)
    for node in ast.walk(tree):
        match node:
            case ast.Assign(targets=[ast.Name(id=name)], value=value):
                found[name].append(value)
            case ast.Assign(targets=[ast.Tuple(elts=targets)], value=ast.Tuple(elts=values)):
                for target, value in zip(targets, values, strict=True):
                    found[named(target)].append(value)
    for node in ast.walk(tree):
        match node:
            case ast.For(target=ast.Tuple(elts=targets), iter=ast.Name(id=table)):
                rows = [row for value in found[table] if isinstance(value, ast.Tuple) for row in value.elts]
                for row in (row for row in rows if isinstance(row, ast.Tuple)):
                    for target, value in zip(targets, row.elts, strict=True):
                        found[named(target)].append(value)
    return found


def texts(node: ast.expr, variables: Held, deep: int = 0) -> Iterator[str]:
    """The sentences that an argument is, one of them at a time."""
    match node:
        case ast.Constant(value=str(text)) if text:
            yield text
        case ast.IfExp(body=one, orelse=other):
            yield from (*texts(one, variables, deep), *texts(other, variables, deep))
        case ast.BoolOp(values=values):
            yield from (text for value in values for text in texts(value, variables, deep))
        case ast.Name(id=name) if deep < 2:
            yield from (text for value in variables.get(name, ()) for text in texts(value, variables, deep + 1))


def calls() -> Iterator[tuple[str, ast.Call, Held]]:
    """Every call of the code by what is called, and the variables of its file."""
    for file in FILES:
        variables = held(TREES[file])
        for node in ast.walk(TREES[file]):
            if isinstance(node, ast.Call):
                yield named(node.func), node, variables


def keys() -> set[str]:
    """Those of every phrase that is no error's."""
    english = yaml.safe_load((PACKAGE / "words" / "languages" / "en.yaml").read_text(encoding="utf-8"))
    sections = [section for section in (*english.values(), *english["jobs"].values()) if isinstance(section, dict)]
    return {key for section in sections for key in section}


def sentences() -> set[str]:
    """Those given to errors; and the keys of whatever is told, which are such sentences or those of phrases."""
    given: set[str] = set()
    for name, call, variables in calls():
        if name in RAISING:
            given |= {text for each in call.args for text in texts(each, variables) if SENTENCE.search(text)}
        elif name == "Tell" and call.args:
            given |= set(texts(call.args[0], variables))
    return given


def spelled(phrase: Phrase) -> set[tuple[str, str | None]]:
    """The places of a phrase, in any of its forms, and how each is to be written there."""
    forms = phrase.values() if isinstance(phrase, dict) else [phrase]
    return {(name, spec) for form in forms for _, name, spec, _ in string.Formatter().parse(form) if name is not None}


def places(phrase: Phrase) -> set[str]:
    """The names of the places of a phrase."""
    return {name for name, _ in spelled(phrase)}


def test_the_sentences_are_found() -> None:
    assert {
        "{name} is {text}",
        "a key without its colon",
        "shafts are numbered from 1",
        "{count} ends cannot be short in a group of {ends}",
        "the loom waste",
    } <= sentences()


def test_what_is_in_the_sentence_is_a_place() -> None:
    """Nothing that a weaver wrote may become part of the sentence, which is a key."""
    put_together = (ast.JoinedStr, ast.BinOp)
    found = [(name, call.lineno) for name, call, variables in calls() if name in CLASSES
             if any(isinstance(each, put_together) for arg in call.args
                    for each in (arg, *variables.get(named(arg), ())))]  # fmt: skip
    assert found == []


def test_what_a_sentence_is_filled_with_is_given_there() -> None:
    """Where the places stand beside the sentence, in each call of an error's class."""
    for name, call, _ in calls():
        given = {keyword.arg for keyword in call.keywords}
        if (name in CLASSES or name == "Tell") and None not in given:
            for text in (text for each in call.args for text in texts(each, {})):
                assert places(text) <= given, (name, call.lineno, text)


@pytest.mark.parametrize("code", FOREIGN)
def test_a_language_has_each_sentence_with_its_places_and_no_other(code: str) -> None:
    """How a number is written is left to the numerals of the language."""
    told = load(code).errors
    raised = sentences() | {load(each).name for each in codes()}  # where a model of a language is missing
    assert sorted(raised - keys() - set(told)) == []
    assert sorted(set(told) - raised - {os.strerror(number) for number in errno.errorcode}) == []
    assert set(told) == set(load(FOREIGN[0]).errors)
    assert [key for key, phrase in told.items() if spelled(phrase) != {(name, "") for name in places(key)}] == []


def test_english_says_each_by_itself() -> None:
    assert load("en").errors == {}


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
        "scarf.yaml:1:9: shafts est une liste ; écrivez-le comme un texte, sans [ ] ni - devant"
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
