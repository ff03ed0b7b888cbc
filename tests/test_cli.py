"""The commands, as they are typed."""

import json
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from refusal import refused

from assistant import cli
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, default_path
from assistant.warp import sequence
from assistant.words.language import codes, load


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))


def printed(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert cli.main(words) == 0
    told: dict[str, object] = json.loads(capsys.readouterr().out)
    return told


def test_the_call_sheet_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    sheet = printed(capsys, "calls", "first-evening", "--per-call", "3", "--json")
    assert set(sheet) == {"title", "ends", "groups", "calls"}
    assert sheet["ends"] == 24
    assert sheet["groups"][1] == {"name": "middle", "ends": 16, "shafts": {"1": 4, "2": 4, "3": 4, "4": 4}}  # type: ignore[index]
    calls = sheet["calls"]
    assert calls[0] == {  # type: ignore[index]
        "group": "right edge",
        "first_end": 1,
        "ends": [[1], [2], [3]],
        "in_heddles": [1, 1, 1],
        "text": "right edge, 4 ends: one, two, three",
    }
    assert calls[1] == {"group": "right edge", "first_end": 4, "ends": [[4]], "in_heddles": [1], "text": "four"}  # type: ignore[index]


def test_an_end_on_two_shafts_in_the_call_sheet(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "pairs.yaml"
    file.write_text("{shafts: 8, groups: [{name: pairs, thread: 3/7 1}]}")
    sheet = printed(capsys, "calls", str(file), "--json")
    assert sheet["calls"][0]["ends"] == [[3, 7], [1]]  # type: ignore[index]
    assert sheet["calls"][0]["text"] == "pairs, 2 ends: three and seven, one"  # type: ignore[index]


def test_the_call_sheet_on_paper_counts_in_the_group_and_in_all(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["calls", "first-evening"]) == 0
    told = capsys.readouterr()
    assert "      8    12   1  4  3  2" in told.out
    assert told.err == ""


def test_a_loom_with_too_few_heddles_is_cautioned(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "few.yaml"
    file.write_text("{shafts: 2, heddles: {1: 2, 2: 9}, groups: [{thread: 5(1 2)}]}")
    assert cli.main(["calls", str(file)]) == 0
    assert "shaft 1 needs 5 heddles, the loom has 2: 3 missing" in capsys.readouterr().err


def test_a_rehearsal_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    report = printed(capsys, "rehearse", "hearth-runner", "--mistake", "skip@10", "--mistake", "skip@40", "--json")
    assert set(report) == {"ends", "calls", "groups", "alerts", "heard"}
    assert report["alerts"] == [{"group": "stripe 1", "off_by": 1}, {"group": "stripe 2", "off_by": 1}]
    assert {group["state"] for group in report["groups"]} == {"even"}  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["calls", "nothing.yaml"], "there is no such file or example"),
        (["calls"], "the following arguments are required: FILE"),
        (["calls", "first-evening", "--per-call", "13"], "--per-call"),
        (["thread", "first-evening", "--language", "xx"], "--language"),
        (["log"], "no sitting yet"),
        (["log", "first-evening"], "no sitting yet"),
        (["rehearse", "first-evening", "--mistake", "skip@25"], "the warp has ends 1 to 24"),
        (["rehearse", "first-evening", "--mistake", "sneeze@2"], "write KIND@END"),
        (["hear", "no-such.wav"], "no-such.wav"),
        (["speak", "hello", "--voice", "no such voice", "--out", "x.wav"], "no such voice"),
        (["write", "a.yaml", "1 2 x", "--start", "right"], "'1 2 x':5: there is no block called 'x'"),
        (["write", "a.yaml", " ", "--start", "right"], "' ' has no ends"),
        (["write", "a.yaml", "65", "--start", "right"], "this loom has shafts 1 to 64"),
        (["--page", "thread", "first-evening"], "options stand behind the command: --page"),
    ],
)
def test_bad_input_is_one_clear_line(capsys: pytest.CaptureFixture[str], words: list[str], line: str) -> None:
    assert line in refused(capsys, *words)


@pytest.fixture
def evening(tmp_path: Path) -> Path:
    """A warp with a title that would be a script, an evening of it kept, and its file."""
    file = tmp_path / "runner.yaml"
    file.write_text("{title: <script>alert(1)</script>, shafts: 4, groups: [{name: '=edge', thread: 12(1 2 3 4)}]}")
    with Journal(default_path()) as journal:
        record = journal.begin(file, "thread", sequence.load(file), 0.0)
        for kind, at in ((Kind.SIT_DOWN, 0.0), *((Kind.NEXT, 20.0 * n) for n in range(1, 10))):
            journal.keep(record)(Event(kind, at, source="pedal"))
    return file


def test_a_note_is_kept_where_the_weaver_is(capsys: pytest.CaptureFixture[str], evening: Path) -> None:
    assert cli.main(["note", "a  knot\nat the <b>clip</b>"]) == 0
    assert capsys.readouterr().out == "noted: <script>alert(1)</script>, thread, =edge at 36 of 48\n"
    assert cli.main(["note", "other", "--file", str(evening), "--job", "thread"]) == 0
    capsys.readouterr()
    notes = printed(capsys, "log", "--json")["notes"]
    assert [note["text"] for note in notes] == ["a knot at the <b>clip</b>", "other"]  # type: ignore[attr-defined]


def test_the_log_as_json_keeps_what_it_had_and_tells_more(capsys: pytest.CaptureFixture[str], evening: Path) -> None:
    told = printed(capsys, "log", str(evening), "--json")
    assert told["groups"] == [{"name": "=edge", "expected": 48, "counted": 36, "left_over": 0, "state": "open"}]
    assert told["ends"] == 48
    assert {"title", "job", "sittings", "pace", "seconds", "group_times", "moments", "notes", "heard"} <= set(told)
    assert told["pace"] == pytest.approx(180 / 36)


def test_a_record_is_written_as_a_report_and_as_a_table(
    capsys: pytest.CaptureFixture[str], evening: Path, tmp_path: Path
) -> None:
    report, table = tmp_path / "out.html", tmp_path / "out.csv"
    assert cli.main(["log", str(evening), "--report", str(report), "--csv", str(table)]) == 0
    assert capsys.readouterr().out == f"{report} and {table}: thread of <script>alert(1)</script>\n"
    assert "&lt;script&gt;" in report.read_text(encoding="utf-8")
    assert ",'=edge,end,48,36,open," in table.read_text(encoding="utf-8")


def test_the_own_pace_says_what_it_rests_on(capsys: pytest.CaptureFixture[str], evening: Path) -> None:
    assert cli.main(["log", "--pace"]) == 0
    assert capsys.readouterr().out.startswith("thread     5.0 s an end, from 36 ends in 1 sitting at ")
    assert cli.main(["plan", str(evening)]) == 0
    told = capsys.readouterr().out
    assert "thread: about 4 min, at your pace" in told
    assert ", by common practice" in told


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["note", " \n "], "nothing to note"),
        (["note", "x" * 501], "up to 500 characters"),
        (["note", "bell \a"], "plain text"),
        (["note", "half \udcff"], "plain text"),
        (["note", "knot", "--file", "first-evening"], "no sitting yet"),
        (["log", "--report", "out.pdf"], "end the name so"),
        (["log", "--csv", "out.html"], "end the name so"),
        (["log", "--report", "no/such/folder/out.html"], "there is no folder"),
        (["thread", "first-evening", "--volume-cap", "3"], "is no volume"),
        (["thread", "first-evening", "--volume", "50"], "--volume: '50' is no volume; write -30 to 0"),
        (["check", "first-evening", "--volume", "-31"], "is no volume"),
        (["speak", "one", "--volume", "1"], "is no volume"),
        (
            ["thread", "first-evening", "--echo-canceller", "--microphone", "usb"],
            "--echo-canceller chooses both devices",
        ),
        (["speak", "one", "--speed", "9000"], "--speed: '9000' is no speed; write 100 to 320 words a minute"),
        (["teach", "--weaver", "ann", "--speed", "99"], "is no speed"),
        (["thread", "first-evening", "--speed", "321"], "is no speed"),
        (["thread", "first-evening", "--speed", "fast"], "is no speed"),
        (["thread", "first-evening", "--stand-up", "soon"], "no whole number from 0 to 999"),
    ],
)
def test_a_record_or_a_wish_that_cannot_be_is_one_clear_line(
    capsys: pytest.CaptureFixture[str], evening: Path, words: list[str], line: str
) -> None:
    assert line in refused(capsys, *words)


def test_a_slip_in_a_file_is_named_by_line_and_column(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "slip.yaml"
    file.write_text("shafts: 4\ngroups:\n  - {name: edge, thread: 1 2 5 4}\n")
    assert f"{file}:3:30: there is no shaft 5; this loom has shafts 1 to 4" in refused(capsys, "calls", str(file))


def test_a_plan_of_a_cloth_of_which_there_is_no_file(capsys: pytest.CaptureFixture[str]) -> None:
    """In the units in which the width is written."""
    plan = printed(capsys, "plan", "--width", "50cm", "--cloth", "2m", "--sett", "8/cm", "--yarn", "6 Nm", "--json")
    assert (plan["unit"], plan["groups"], plan["ends"]) == ("cm", [], plan["cloth"]["ends"])  # type: ignore[index]
    assert plan["cloth"]["yarns"][0]["metres_per_kg"] == 6000  # type: ignore[index]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("plan", "name a sequence file; or, where there is none yet, write --width and --sett"),
        ("plan --width 20in", "name a sequence file; or, where there is none yet, write --width and --sett"),
        ("plan hearth-runner --sett 20", "--sett is what the sequence file says; leave it out"),
        ("plan hearth-runner --edges 0", "--edges is what the sequence file says; leave it out"),
        ("plan --width 20in --sett 20 --card x.html", "cards are made of a sequence file; name one"),
        ("plan --width 20in --sett 20 --repeat 0", "the repeat is '0'; write a whole number from 1 to 100000"),
        ("plan --width 20in --sett many", "the sett: 'many' cannot be read"),
        ("plan --width 20in --sett 0.000001", "sett is 1e-06; look for a wrong number"),
        ("plan --width 20in --sett 20 --yarn 8/2", "the count '8/2' cannot be read"),
    ],
)
def test_what_a_plan_of_a_cloth_cannot_do_without(typed: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(shlex.split(typed)) == 2
    assert said in capsys.readouterr().err


def test_a_plan_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    plan = printed(capsys, "plan", "lattice-curtain", "--json")
    assert set(plan) == {
        *("ends", "groups", "heddles", "width", "unit", "dents"),
        *(
            "first_dent",
            "from_centre",
            "sley",
            "warp_faced",
            "cloth",
            "beams",
            "yarns",
            "sections",
            "lashed",
            "times",
            "cautions",
        ),
    }
    assert plan["heddles"]["1"]["needed"] == 85  # type: ignore[index]


def test_a_warp_the_loom_cannot_take_is_exit_code_1(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "few.yaml"
    file.write_text("{shafts: 2, heddles: {1: 2, 2: 9}, groups: [{thread: 5(1 2)}]}")
    assert cli.main(["plan", str(file)]) == 1
    assert "shaft  1: needs 5, has 2" in capsys.readouterr().out


def test_cards_are_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    card = tmp_path / "card.html"
    assert cli.main(["plan", "first-evening", "--card", str(card), "--job", "thread"]) == 0
    assert "Call sheet" in card.read_text(encoding="utf-8")


def test_an_end_is_found_in_every_way(capsys: pytest.CaptureFixture[str]) -> None:
    for way in (["--end", "70"], ["--from-right", "3.48in"], ["--dent", "35"]):
        assert cli.main(["end", "hearth-runner", *way, "--json"]) == 0
        ends = {spot["end"] for spot in json.loads(capsys.readouterr().out)}
        assert 70 in ends


def test_a_draft_goes_out_and_comes_back(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    wif, yaml = tmp_path / "scarf.wif", tmp_path / "scarf.yaml"
    assert cli.main(["export", "lakeside-scarf", "--out", str(wif)]) == 0
    assert cli.main(["import", str(wif), "--out", str(yaml), "--start", "right"]) == 0
    assert "right edge, up to end 1" in capsys.readouterr().out
    before, after = (printed(capsys, "calls", name, "--json") for name in ("lakeside-scarf", str(yaml)))
    threading = [[end for call in sheet["calls"] for end in call["ends"]] for sheet in (before, after)]  # type: ignore[attr-defined]
    assert threading[0] == threading[1]


@pytest.mark.parametrize(
    "words",
    [
        ["plan", "first-evening", "--reeds", "0"],
        ["plan", "first-evening", "--take-up", "-3"],
        ["end", "first-evening", "--end", "25"],
        ["end", "first-evening", "--from-right", "wide"],
        ["import", "no-such.wif", "--out", "x.yaml", "--start", "left"],
        ["plan", "first-evening", "--card", "card.doc"],
    ],
)
def test_a_plan_or_a_draft_that_cannot_be_is_one_clear_line(
    capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    assert refused(capsys, *words).startswith("heddlecall")


def test_an_error_is_told_in_the_language_of_the_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "no_reed.yaml"
    file.write_text("{shafts: 4, groups: [{thread: 1 2}]}", encoding="utf-8")

    def failed(code: str) -> str:
        assert cli.main(["calls", str(file), "--job", "sley", "--language", code]) == 2
        return capsys.readouterr().err

    english = "there is no sley plan to follow; write reed, with sett or sley, in the file"
    assert failed("en") == f"heddlecall: {english}\n"
    assert failed("de") == (
        "heddlecall: es gibt keinen Plan für das Blattstechen; schreib reed, mit sett oder sley, in die Datei\n"
    )
    monkeypatch.delitem(load("de").errors, english)
    assert failed("de") == failed("en"), "a sentence that a language lacks is English"


def test_the_help_waits_for_nothing_heavy() -> None:
    """What a command needs is imported when it runs."""
    heavy = "numpy", "hashlib", "assistant.session", "assistant.finder"
    code = (
        "import sys, assistant.cli as c; c.commands(); assert 'yaml' not in sys.modules; "
        f"c.parsed(['log']); print([n for n in {heavy} if n in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout == "[]\n"


@pytest.mark.parametrize("code", codes())
def test_a_comma_that_ends_a_value_is_one_line_in_every_language(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], code: str
) -> None:
    """Of a place in a phrase that is called as the phrase's own argument is."""
    file = tmp_path / "f.yaml"
    file.write_text("{shafts: 4, groups: [{thread: 1 2, 3}]}")
    assert f"{file}:1:36: " in refused(capsys, "calls", str(file), "--language", code)


def test_a_link_that_leads_to_itself_is_one_clear_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    loop = tmp_path / "loop.yaml"
    loop.symlink_to(loop)
    for command in ("log", "next", "calls"):
        assert str(loop) in refused(capsys, command, str(loop))


def test_shafts_that_are_typed_become_a_sequence_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert cli.main(["write", "my rug.yaml", "edge", "--start", "left"]) == 2
    assert cli.main(["write", "my rug.yaml", "4(1..4), 1/3", "--start", "left"]) == 0
    assert capsys.readouterr().out.splitlines()[-1].startswith("written to my rug.yaml: 1 group")
    warp = sequence.load("my rug.yaml")
    assert (warp.title, warp.start, warp.loom.shafts) == ("my rug", "left", 4)
    assert [end.shafts for end in warp.every_end()] == [*[(1,), (2,), (3,), (4,)] * 4, (1, 3)]
    assert cli.main(["write", "my rug.yaml", "1 2", "--start", "left"]) == 2
