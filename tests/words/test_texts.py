"""What a weaver reads comes from the language files: no text that is shown or printed stands in the code."""

import ast
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
import yaml

import assistant
from assistant.words.language import Phrase, codes, load

PACKAGE = Path(assistant.__file__).parent
SHOWING = (  # whatever shows something belongs here, a folder or a file
    *("senses/screen", "senses/page", "senses/lesson/lesson.py", "senses/lesson/live.py", "senses/lesson/screen.py"),
    *("senses/ear/glance.py", "senses/ear/room.py", "senses/mouth/speaker.py", "senses/pedal/teach.py", "sitting"),
    *("paper/cards.py", "paper/plan.py", "paper/story.py", "paper/table.py", "paper/retold.py", "finding.py"),
    *("paper/fault.py", "warp/fault.py", "finding_in_reed.py", "front"),
    *(
        "paper/log.py",
        "paper/sheet.py",
        "paper/spot.py",
        "words/printed.py",
        "session/history.py",
        "session/upcoming.py",
    ),
    *("writing/rules.py", "writing/telling.py", "writing/view.py", "writing/typing.py"),
    *("rehearsal/outcome.py", "rehearsal/coverage.py", "rehearsal/demo.py"),
    *("warp/draft/values.py", "warp/draft/yarns.py"),
    *("models/catalogue.py", "models/add.py", "models/progress.py"),
)
STATIC = PACKAGE / "senses" / "page" / "static"
FILES = sorted(
    file for shown in SHOWING for file in ((PACKAGE / shown).rglob("*.py") if "." not in shown else [PACKAGE / shown])
)
FOR_PEOPLE = re.compile(r"[^\W\d_]{2,} [^\W\d_]{2,}|\b[A-Z][a-z]+\b")  # two words, or one with a capital
NOT_SHOWN = {"CSS", "CSS_PATH", "OURS_ONLY", "PROGRAM"}  # names that hold what a program reads
SECTIONS = (
    "phrases",
    "labels",
    "states",
    "screen",
    "lesson",
    "hearing",
    "pedal",
    "paper",
    "printed",
    "plan",
    "front",
    "writing",
)
SHARED = {
    *("minutes", "hours and minutes", "dents", "notes", "column notes"),
    *("part program", "part pedal", "part terminal"),
    *("key enter", "key plus", "key minus", "key point"),
}  # in some languages as in English
COMMAND = "heddlecall "  # begins what is to be typed
NAMING = {"name", "thread_name_prefix", "encoding"}  # arguments that name something for a developer


def keys() -> set[str]:
    """Every key of a phrase, of any section; those of errors are no English file's."""
    sections = yaml.safe_load((PACKAGE / "words" / "languages" / "de.yaml").read_text(encoding="utf-8")).values()
    return {str(key) for section in sections if isinstance(section, dict) for key in section}


def shown(node: ast.AST) -> Iterator[str]:
    """The texts in code that a weaver may read: no docstring, annotation, error, name, value of an enum or log."""
    match node:
        case ast.Raise() | ast.Expr(value=ast.Constant()) | ast.ClassDef(bases=[ast.Name(id="StrEnum")]):
            return
        case ast.Assign(targets=[ast.Name(id=name)]) if name in NOT_SHOWN:
            return
        case ast.keyword(arg=name) if name in NAMING:
            return
        case ast.Call(func=ast.Attribute(value=ast.Name(id="_log"))):
            return
        case ast.Constant(value=str(text)):
            yield text
    for field, child in ast.iter_fields(node):
        if field not in ("annotation", "returns", "bases", "decorator_list", "type_params"):
            for each in child if isinstance(child, list) else [child]:
                if isinstance(each, ast.AST):
                    yield from shown(each)


def texts(code: str) -> list[str]:
    """What of a file's code reads like a text for people, and is no key of a phrase, nor a piece of one."""
    known = keys()
    found = (text for text in shown(ast.parse(code)) if FOR_PEOPLE.search(text) and not text.startswith(COMMAND))
    return [text for text in found if not any(text in key for key in known)]


def test_a_text_is_found_where_one_is() -> None:
    code = '"""Doc string."""\ndef f(x: "Some Type"):\n    "Says so."\n    raise E("not for her")\n'
    assert texts(code) == []
    assert texts(code + 'print("Not begun yet.")\nsay(f"{n} groups closed")\nsay("count off")\nLABEL = "Next"\n') == [
        *("Not begun yet.", " groups closed", "Next"),
    ]


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(PACKAGE)))
def test_no_text_stands_in_the_code(file: Path) -> None:
    assert texts(file.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("code", sorted({*codes()} - {"en"}))
def test_no_text_of_a_language_is_left_in_english(code: str) -> None:
    english, own = load("en"), load(code)
    for section in SECTIONS:
        theirs, ours = getattr(english, section), getattr(own, section)
        alike = {
            key for key, phrase in ours.items() if forms(phrase) & forms(theirs.get(key, "")) and key not in SHARED
        }
        assert alike == set(), section


def forms(phrase: Phrase) -> set[str]:
    """The forms of a phrase that have a word in them beside their places."""
    texts = [phrase] if isinstance(phrase, str) else phrase.values()
    return {text for text in texts if re.search(r"[^\W\d_]{3,}", re.sub("{.*?}", "", text))}


class Layout(HTMLParser):
    """What of a layout would be read as it stands."""

    def __init__(self) -> None:
        super().__init__()
        self.read: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.read += [value for name, value in attrs if value and name in ("aria-label", "title", "alt", "lang")]

    def handle_data(self, data: str) -> None:
        self.read.append(data)


def test_the_page_has_only_the_name_of_the_program_of_its_own() -> None:
    layout = Layout()
    layout.feed((STATIC / "index.html").read_text(encoding="utf-8"))
    own = {re.sub("{{.*?}}", "", text).strip() for text in layout.read}
    assert own == {"", "Heddlecall"}


@pytest.mark.parametrize("file", sorted(STATIC.glob("*.js")), ids=lambda file: file.name)
def test_no_text_stands_in_a_script(file: Path) -> None:
    code = re.sub(r"(?m)//.*$|/\*.*?\*/", "", file.read_text(encoding="utf-8"))
    quoted = [text for pair in re.findall(r'"([^"\n]*)"|`([^`]*)`', code) for text in pair]
    assert [text for text in quoted if re.search(r"[a-z]{2,} [a-z]{2,}|^[A-Z][a-z]+$", text)] == []
