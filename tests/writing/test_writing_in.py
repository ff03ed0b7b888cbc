"""A threading is written in with the program itself: durable row by row, and taken up where it was left."""

import os
import select
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from on_paper import RUNNER, presses
from terminals import in_terminal

from assistant import cli
from assistant.drafting import SEQUENCE
from assistant.errors import WritingError
from assistant.files import write_whole
from assistant.folders import data
from assistant.outfile import Outfile
from assistant.senses.devices import Devices
from assistant.senses.ear import Heard
from assistant.senses.mouth import SilentMouth
from assistant.senses.screen import OnKey
from assistant.session.events import Kind
from assistant.sitting.writing import Writing
from assistant.warp.sequence import load
from assistant.words.keypad import PAD
from assistant.words.language import load as load_language
from assistant.writing.kept import FOLDER, kept_for
from assistant.writing.moves import Move, MoveKind
from assistant.writing.view import SlipView

WRITE = (sys.executable, "-m", "assistant", "write", "rug.yaml", "--mute", "--deaf")
ROW = Move(MoveKind.ENTER, "1432")
WAIT_S = 60.0
OF_KEYPAD = {key.name: f"\x1bO{key.sequence}" for key in PAD if key.sequence}  # as a terminal sends them


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))


def kept() -> list[Move]:
    with kept_for(Path("rug.yaml")) as there:
        return [*there.moves]


def told(process: "subprocess.Popen[str]", what: str) -> None:
    """Read until this is told."""
    assert process.stdout
    for line in process.stdout:
        if what in line:
            return
    raise AssertionError(what)


def test_what_was_read_back_outlives_a_kill_and_is_gone_on_with() -> None:
    with subprocess.Popen([*WRITE], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1) as process:
        assert process.stdin
        for line, answer in (("4", "edge"), ("2", "left"), ("1432", "1, 4, 3, 2"), ("+3", "12 ends"), ("12", "1, 2")):
            process.stdin.write(f"{line}\n")
            told(process, answer)
        process.kill()
    assert [move.text for move in kept()] == ["4", "2", "1432", "3", "12"]
    assert not Path("rug.yaml").exists()
    done = subprocess.run([*WRITE], input="*\n1439\n34\n", capture_output=True, text=True, check=True)
    assert "What was written is here. Group 1: 14 of 14 ends in all. Last row: 1, 2" in done.stdout
    assert "there is no shaft 9; this loom has shafts 1 to 4" in done.stdout
    assert done.stdout.endswith("What is written is kept.\n")  # the lines were at an end
    assert [move.text for move in kept()] == ["4", "2", "1432", "3", "12", "", "34"]


def drawn(terminal: int) -> Iterator[str]:
    """What comes from a terminal, until it is gone or nothing comes for long."""
    while select.select([terminal], [], [], WAIT_S)[0]:
        try:
            yield os.read(terminal, 65536).decode(errors="replace")
        except OSError:
            return


def test_300_ends_are_written_in_with_a_keypad_at_a_terminal() -> None:
    process, terminal = in_terminal(WRITE, {**os.environ, "TERM": "xterm-256color"}, (30, 100))
    keys, text, typed = [*presses(RUNNER)], "", False
    for more in drawn(terminal):
        text += more
        if not typed and "How many shafts" in text:  # it is up, and has asked for a keypad of its own
            os.write(terminal, "".join(OF_KEYPAD[key] for key in keys).encode())
            typed = True
    os.close(terminal)
    assert process.wait(WAIT_S) == 0
    assert [end.shafts[0] for end in load("rug.yaml").every_end()] == RUNNER.ends
    assert (len(RUNNER.ends), len(keys)) == (300, 81)
    assert "300 ends in 18 groups" in text
    assert kept() == []


def test_a_file_that_is_there_is_not_written_over_unasked(capsys: pytest.CaptureFixture[str]) -> None:
    Path("rug.yaml").write_text("title: mine\n")
    assert cli.main(["write", "rug.yaml", "--mute", "--deaf"]) == 2
    assert "is there already; choose another name, or write over it with --replace" in capsys.readouterr().err
    assert cli.main(["write", "b.yaml", "1 2"]) == 2
    assert "--start is needed: right or left" in capsys.readouterr().err


def test_a_line_that_was_cut_off_was_never_answered() -> None:
    with kept_for(Path("rug.yaml")) as there:
        there.add(ROW)
        (file,) = (data() / FOLDER).glob("*.jsonl")
    whole = file.read_bytes()
    for cut in range(0, len(whole), 7):
        file.write_bytes(whole[:cut])
        with kept_for(Path("rug.yaml")) as there:
            assert there.moves in ((), (ROW,))
            there.add(ROW)
        assert kept()[-1] == ROW
    assert file.stat().st_mode & 0o077 == 0 or sys.platform == "win32"


def test_what_cannot_be_read_is_put_by_and_not_thrown_away() -> None:
    with kept_for(Path("rug.yaml")):
        (file,) = (data() / FOLDER).glob("*.jsonl")
    first = b'["heddlecall write", 1]\n'
    for bad in (first.replace(b"1", b"2"), first + b'["enter"]\n', b"\xff\n", first + b'["enter", 1]\n'):
        write_whole(file, bad)
        with pytest.raises(WritingError, match="begin anew with --fresh"), kept_for(Path("rug.yaml")):
            pass
        assert file.read_bytes() == bad
    with kept_for(Path("rug.yaml"), fresh=True) as there:
        assert there.moves == ()
    assert bad in [each.read_bytes() for each in file.parent.glob("*before*")]


def test_one_window_writes_a_file_at_a_time() -> None:
    with kept_for(Path("rug.yaml")):
        with pytest.raises(WritingError, match="is being written in another window"), kept_for(Path("rug.yaml")):
            pass
        with kept_for(Path("other.yaml")):
            pass


def test_a_move_that_cannot_be_kept_is_no_part_of_what_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    with kept_for(Path("rug.yaml")) as there:
        there.add(ROW)
        with monkeypatch.context() as disk:
            disk.setattr(os, "fsync", full)
            with pytest.raises(WritingError, match="what was read back is kept"):
                there.add(Move(MoveKind.ENTER, "12"))
        there.add(Move(MoveKind.MIRROR))
    assert kept() == [ROW, Move(MoveKind.MIRROR)]


class LastTold:
    """A screen that keeps what was told last."""

    lines = False

    def __init__(self) -> None:
        self.told: list[str] = []

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        main()

    def show(self, view: SlipView, notice: str) -> None:
        self.told = [*self.told, view.told][-1:]


def said(kind: str | None, number: int | None = None, row: tuple[int, ...] = ()) -> Heard:
    return Heard(kind, "", number, 1.0, 0.0, 0.0, 0.0, row)


def test_by_voice_rows_are_numbers_and_words_do_the_rest() -> None:
    screen = LastTold()
    with kept_for(Path("rug.yaml")) as there:
        out = Outfile(Path("rug.yaml"), SEQUENCE)
        writing = Writing(out, there, load_language("en"), SilentMouth(), screen, Devices())
        asked: list[tuple[int, bool]] = []
        writing.ask(lambda largest, rows, _: asked.append((largest, rows)))
        for heard in (
            *(said(Kind.NUMBER, 4), said(Kind.NUMBER, 1), said(Kind.READ, row=(1, 4, 3, 2))),
            *(said(Kind.REPEAT), said(Kind.READ, row=(3,)), said(Kind.NEXT), said(Kind.READ, row=(1, 2, 3))),
            *(said(Kind.GO_TO), said(Kind.NUMBER, 1), said(None), said(Kind.UNEVEN), said(Kind.READ, row=(4, 4))),
            *(said(Kind.BACK), said("colour"), said(Kind.READ, row=(1, 1, 2)), said("name"), said(Kind.NUMBER, 3)),
            *(said(Kind.NEXT), said(Kind.REPEAT, row=(2,)), said(Kind.READ, row=(4, 3)), said("times", row=(3, 1))),
            *(said(Kind.REPEAT), said("times", row=(2,)), said("mirror"), said(Kind.FINISHED), said(Kind.FINISHED)),
        ):
            writing.hear(heard)
        writing.run([])
    assert screen.told[0].startswith("45 ends in 4 groups, on 4 shafts.")
    written = load("rug.yaml")
    assert [end.shafts[0] for end in written.every_end()] == [
        *[1, 4, 3, 2] * 3,
        *[1, 2, 3, 2, 1] * 2,
        *[4, 3] * 6,
        *[4, 3] * 5,
        4,
    ]
    assert written.groups[1].name.startswith("border")
    assert [end.yarn for end in written.groups[1].ends] == ["yarn1", "yarn1", "yarn2", "yarn1", "yarn1"]
    assert asked[:6] == [(99, False), (2, False), (4, True), (4, True), (99, True), (4, True)]
