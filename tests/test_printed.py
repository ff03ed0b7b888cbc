"""What commands print, in the language of the weaver and in no other."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import assistant
from assistant import cli
from assistant.models.catalogue import catalogue
from assistant.rehearsal.outcome import Report
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, default_path
from assistant.session.machine import Session
from assistant.session.view import GroupLine, GroupState
from assistant.warp import sequence
from assistant.warp.passes import THREAD
from assistant.words.language import Phrase, codes, load
from assistant.words.printed import Printed
from assistant.words.wording import Wording

WARP = """
{title: Läufer, shafts: 4, sett: 15, reed: 10, sley: [1, 2], reed_width: 24, groups: [
  {name: Rand, thread: 8(1 2)}, {name: Rose, thread: 3(1..4), times: 2}]}
"""
ODD_DRAFT = """\
[WIF]
[CONTENTS]
WARP=no
COLOR TABLE=yes
[WEAVING]
Shafts=2
[WARP]
Threads=3
Color=1
Spacing=?
[THREADING]
1=1
1=2
2=5
5=4
[THREADING]
[WARP THICKNESS]
x=1
1=1
2=2
"""
FOREIGN = [code for code in codes() if code != "en"]
COMMANDS = (
    ["log"],
    ["log", "--pace"],
    ["next", "läufer.yaml"],
    ["next", "first-evening"],
    ["calls", "läufer.yaml", "--job", "heddles"],
    ["note", "Knoten"],
    ["end", "läufer.yaml", "--end", "3"],
    ["end", "läufer.yaml", "--from-left", "1cm"],
    ["rehearse", "läufer.yaml", "--mistake", "skip@3"],
    ["rehearse", "läufer.yaml", "--mistakes-per-1000", "20"],
    ["models"],
    ["export", "läufer.yaml", "--out", "out.wif"],
    ["import", "towel.wif", "--start", "right", "--out", "towel.yaml"],
    ["import", "towel.txt", "--start", "left", "--out", "towel.yaml"],
)
Printing = Callable[..., str]


@pytest.fixture
def printing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Printing:
    """Runs a command beside an evening that is kept, with a group off and one taken back; what it prints."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    file = tmp_path / "läufer.yaml"
    file.write_text(WARP, encoding="utf-8")
    Path("towel.txt").write_text("thread 1\n" + "".join(f"{n} {n}\n" for n in range(1, 10) if n != 7))
    Path("towel.wif").write_text(ODD_DRAFT)
    steps = [Kind.SIT_DOWN, *[Kind.NEXT] * 4, Kind.OVER, (Kind.NUMBER, 2), Kind.RESUME, Kind.NEXT, Kind.LEAVE]
    later = [Kind.SIT_DOWN, Kind.BACK, Kind.NEXT, Kind.NEXT]
    with Journal(default_path()) as journal:
        for began, job, kinds in ((1000.0, "wind", steps), (9000.0, "thread", [*steps, *later])):
            keep = journal.keep(journal.begin(file, job, sequence.load(file), began))
            for n, step in enumerate(kinds):
                kind, number = step if isinstance(step, tuple) else (step, None)
                keep(Event(kind, began + 20.0 * n, number, source="pedal"))

    def run(*words: str) -> str:
        assert cli.main(words) == 0
        return capsys.readouterr().out

    return run


def stretches(phrase: Phrase) -> Iterator[str]:
    """What stands between the places of a phrase, where it is more than a sign."""
    for text in phrase.values() if isinstance(phrase, dict) else [phrase]:
        yield from (part.strip(" ,;:()") for part in re.split(r"\{[^}]*\}", text) if re.search(r"\w{3}", part))


def every_stretch(code: str) -> set[str]:
    """Of all that is printed in a language."""
    language = load(code)
    phrases = [*language.printed.values(), *language.paper.values(), *language.states.values()]
    return {part.lower() for phrase in phrases for part in stretches(phrase)}


@pytest.mark.parametrize("code", FOREIGN)
@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_nothing_english_is_printed(printing: Printing, code: str, words: list[str]) -> None:
    typed = re.compile(r"heddlecall .*|/\S+|  \w\w  \S+: \w+")
    seen = printing(*words, "--language", code)
    for licence in sorted((model.licence for model in catalogue()), key=len, reverse=True):
        seen = seen.replace(licence, "")  # as its makers wrote it
    seen = typed.sub("", seen).lower()
    ours = " ".join(every_stretch(code))
    assert seen.strip()
    left = [part for part in every_stretch("en") if part not in ours and re.search(rf"\b{re.escape(part)}\b", seen)]
    assert not left


def test_the_log_in_german(printing: Printing) -> None:
    assert printing("log", "--language", "de").splitlines()[:4] == [
        "Läufer, Einziehen: 22 von 40 Fäden",
        "  Rand      14 von   16  falsch, 2 übrig",
        "  Rose 1     8 von   12  offen",
        "  Rose 2     0 von   12  wartend",
    ]


def test_what_comes_next_in_german(printing: Printing) -> None:
    assert printing("next", "läufer.yaml", "--language", "de").splitlines()[-2:] == [
        "als Nächstes: Einziehen: mach dort weiter, wo du aufgehört hast",
        "  heddlecall thread läufer.yaml",
    ]


@pytest.mark.usefixtures("printing")
def test_a_caution_in_german(capsys: pytest.CaptureFixture[str]) -> None:
    Path("few.yaml").write_text("{shafts: 2, heddles: {1: 2, 2: 9}, groups: [{thread: 5(1 2)}]}")
    assert cli.main(["calls", "few.yaml", "--language", "de"]) == 0
    (caution,) = capsys.readouterr().err.splitlines()
    assert caution.startswith("Vorsicht: Schaft 1 ")
    default_path().write_bytes(b"x" * 4096)
    assert cli.main(["plan", "first-evening", "--language", "de"]) == 0
    assert capsys.readouterr().err.startswith("Vorsicht: ")


def test_an_end_in_german(printing: Printing) -> None:
    told = printing("end", "läufer.yaml", "--end", "3", "--language", "de")
    assert told == (
        "Faden 3: Faden 3 von 16 in Rand: Schaft 1\n"
        "  Rohr 2 der besetzten, Rohr 108 des Blatts\n"
        "  0,17 Zoll vom rechten Rand, 2,53 Zoll vom linken, 1,18 Zoll rechts der Mitte\n"
    )


@pytest.mark.parametrize("words", [["next", "läufer.yaml"], ["log", "--pace"], ["models"]], ids=" ".join)
def test_json_is_the_same_in_every_language(printing: Printing, words: list[str]) -> None:
    assert printing(*words, "--json", "--language", "ko") == printing(*words, "--json")


def test_every_phrase_that_is_printed_is_used() -> None:
    """A key stands in the code as it is, or begins with what the code writes before a place."""
    code = "\n".join(file.read_text(encoding="utf-8") for file in Path(assistant.__file__).parent.rglob("*.py"))
    begun = tuple(re.findall(r"f[\"']([a-z]+:? [a-z0-9: ]*)\{", code))
    printed = (key for key in load("en").printed if not key.startswith(begun))
    assert [key for key in printed if not re.search(f"[\"']{re.escape(key)}[\"']", code)] == []


def test_a_rehearsal_in_german() -> None:
    words, german = Printed(load("de")), load("de")
    report = Report(Session(sequence.loads(WARP.encode(), "läufer.yaml"), THREAD, 12), Wording(german, THREAD.name))
    report.handle(Event(Kind.SIT_DOWN, 0.0))
    report.note_said(61.5, "weiter")
    report.handle(Event(Kind.UNCLEAR, 62.0))
    told = [line.line(words) for line in report.transcript]
    assert told[0].startswith("   0,0 s  Helfer   Jetzt Einziehen: Läufer.")
    assert told[1:] == ["  61,5 s  Weberin  weiter", "  62,0 s  Helfer   (Ton: unklar)"]
    assert report.lines(words)[-1] == "gesagt 0: richtig 0, falsch 0, überhört 0"


def test_a_draft_is_read_in_german(printing: Printing) -> None:
    told = printing("import", "towel.txt", "--start", "left", "--out", "towel.yaml", "--language", "de")
    assert told.splitlines()[-2:] == [
        "Warnung: kein Faden ist auf Schaft 7",
        "geschrieben nach towel.yaml: 1 Gruppe; vergleich die Ränder mit deiner Patrone",
    ]
    written = Path("towel.yaml").read_text(encoding="utf-8")
    assert written.startswith("# Gelesen aus towel.txt; Faden 1 liegt am linken Rand.\n\ntitle: towel\n")


def test_names_of_two_columns_a_letter_keep_the_table_straight() -> None:
    groups = [GroupLine("가장자리", 4, 4, GroupState.EVEN), GroupLine("edge", 4, 0, GroupState.WAITING)]
    assert Printed(load("en")).group_lines(groups) == [
        "  가장자리     4 of    4  even",
        "  edge         0 of    4  waiting",
    ]
