"""No input is waited for that never ends, and none takes more memory or time than a weaver has."""

import os
import socket
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
from refusal import refused
from taken import MOST_MB, taken

from assistant import cli
from assistant.alone import Taken, alone
from assistant.errors import DeviceMissing, LanguageError, ModelError, NotPlain, SoundFileError
from assistant.files import open_plain, read_whole
from assistant.models.catalogue import catalogue
from assistant.senses.ear import hear
from assistant.senses.ear.vosk_engine import VoskEngine
from assistant.senses.mouth.clips import Shelf
from assistant.senses.sound import EAR_RATE
from assistant.words.language import load

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="has no pipes with names")

READERS = (  # every command that reads a file which a weaver names
    ("calls", "{}"),
    ("plan", "{}"),
    ("end", "{}", "--end", "1"),
    ("thread", "{}", "--plain", "--mute"),
    ("next", "{}"),
    ("rehearse", "{}"),
    ("find", "{}", "--group", "a", "--over", "1"),
    ("export", "{}", "-o", "out.wif"),
    ("import", "{}", "--start", "right", "-o", "out.yaml"),
    ("hear", "{}"),
    ("models", "add", "sv", "--from", "{}"),
)


@pytest.fixture(autouse=True)
def apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("HEDDLECALL_DATA", "XDG_CONFIG_HOME", "XDG_DATA_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "data"))


def pipe(folder: Path) -> Path:
    os.mkfifo(folder / "pipe.wav")
    return folder / "pipe.wav"


def listening(folder: Path) -> Path:
    with socket.socket(socket.AF_UNIX) as server:
        server.bind("socket.wav")
    return folder / "socket.wav"


def endless(_: Path) -> Path:
    return Path("/dev/zero")


@pytest.mark.timeout(60)
@pytest.mark.parametrize("made", [pipe, listening, endless])
@pytest.mark.parametrize("command", READERS, ids=" ".join)
def test_what_is_no_plain_file_is_refused_at_once(
    command: tuple[str, ...], made: Callable[[Path], Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = made(tmp_path)
    told = refused(capsys, *(word.format(file) for word in command))
    assert "this is no plain file" in told
    assert str(file) in told


@pytest.mark.parametrize("command", READERS[:-1], ids=" ".join)
def test_a_folder_is_told_to_be_one(
    command: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert "Is a directory" in refused(capsys, *(word.format(tmp_path) for word in command))


@pytest.mark.timeout(60)
def test_recordings_and_what_is_kept_are_plain_files_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "said").mkdir()
    os.mkfifo(tmp_path / "said" / "next-1.wav")
    assert "this is no plain file" in refused(capsys, "teach", "--weaver", "Aino", "--from", "said")
    (tmp_path / "data" / "weavers").mkdir(parents=True, exist_ok=True)
    os.mkfifo(tmp_path / "data" / "weavers" / "Aino.npz")
    assert "Aino.npz is damaged" in refused(capsys, "hear", "--weaver", "Aino", "said/next-1.wav")


@pytest.mark.timeout(60)
def test_pipes_in_place_of_what_is_kept_are_never_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shelf = Shelf(tmp_path / "clips", "engine", "voice")
    (tmp_path / "clips").mkdir()
    os.mkfifo(shelf.file("even", 175))
    assert shelf.find("even", 175) is None

    with alone(tmp_path / "a.lock"):
        (tmp_path / "a.window").unlink()
        os.mkfifo(tmp_path / "a.window")
        with pytest.raises(Taken) as taken_by, alone(tmp_path / "a.lock"):
            pass
        assert taken_by.value.window == ""

    os.mkfifo(tmp_path / "catalogue.yaml")
    monkeypatch.setattr("assistant.models.catalogue._PLACES", (tmp_path / "catalogue.yaml",))
    with pytest.raises(ModelError, match="is damaged; install the program anew"):
        catalogue()

    os.mkfifo(tmp_path / "zz.yaml")
    monkeypatch.setattr("assistant.words.language._FOLDER", tmp_path)
    with pytest.raises(LanguageError, match=r"^zz\.yaml cannot be read: this is no plain file$"):
        load.__wrapped__("zz")
    monkeypatch.undo()

    (tmp_path / "model" / "conf").mkdir(parents=True)
    os.mkfifo(tmp_path / "model" / "conf" / "mfcc.conf")
    with pytest.raises(DeviceMissing, match="is no vosk model that can be read"):
        VoskEngine(load("sv"), tmp_path / "model")


def test_nothing_is_left_open_by_what_is_refused(tmp_path: Path) -> None:
    before = len(os.listdir("/proc/self/fd")) if Path("/proc/self/fd").exists() else 0
    for file in (pipe(tmp_path), Path("/dev/zero"), tmp_path):
        with pytest.raises(OSError):  # noqa: PT011 - NotPlain, or that it is a folder
            open_plain(file)
    assert not before or len(os.listdir("/proc/self/fd")) == before
    with pytest.raises(NotPlain):
        open_plain("/dev/zero")


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    (tmp_path / "large").write_bytes(bytes(101))
    assert read_whole(tmp_path / "large", 101) == bytes(101)
    with pytest.raises(OSError, match="File too large"):
        read_whole(tmp_path / "large", 100)


def recording(file: Path, minutes: int, *, told: int | None = None) -> Path:
    """Of noise; the header tells of so many minutes."""
    noise = (np.random.default_rng(1).standard_normal(60 * EAR_RATE) * 100).astype(np.int16)
    with soundfile.SoundFile(file, "w", EAR_RATE, 1, "PCM_16") as out:
        for _ in range(minutes):
            out.write(noise)
    if told is not None:  # the two sizes of a WAV file
        with file.open("r+b") as raw:
            for place, size in ((4, told * 60 * EAR_RATE * 2 + 36), (40, told * 60 * EAR_RATE * 2)):
                raw.seek(place)
                raw.write(size.to_bytes(4, "little"))
    return file


@pytest.mark.parametrize("command", [("hear", "next-1.wav"), ("teach", "--weaver", "Aino", "--from", ".")])
def test_a_recording_longer_than_a_lesson_is_refused_by_its_header(
    command: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    recording(tmp_path / "next-1.wav", 6)
    monkeypatch.setattr(soundfile.SoundFile, "read", None)
    assert "lasts longer than 5 minutes" in refused(capsys, *command)


def test_a_header_that_tells_too_little_or_nothing_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is read is counted, whatever the header says."""
    monkeypatch.setattr(hear, "LONGEST", 1)
    file = recording(tmp_path / "next-1.flac", 2)
    content = bytearray(file.read_bytes())
    content[21] &= 0xF0  # of FLAC's 36 bits for the number of samples; 0 is not known
    content[22:26] = bytes(4)
    file.write_bytes(content)
    with pytest.raises(SoundFileError, match="lasts longer than 1 minute"):
        list(hear.read(file))


def test_a_lesson_at_its_longest_is_read_within_bounds(tmp_path: Path) -> None:
    (tmp_path / "said").mkdir()
    recording(tmp_path / "said" / "next-1.wav", 5)
    told = taken("teach", "--weaver", "Aino", "--from", "said", folder=tmp_path)
    assert told.code == 2
    (line,) = (each for each in told.err.splitlines() if not each.startswith("caution: this takes about"))
    assert "next-1.wav: no word on its own was found in it" in line
    assert told.megabytes < 150


def sequence(tmp_path: Path, groups: str) -> Path:
    file = tmp_path / "long.yaml"
    file.write_text(f"shafts: 4\nsett: 20\nreed: 10\ngroups:\n- {groups}\n")
    return file


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ((), "caution: this takes about"),
        (("--job", "tie"), "caution: this takes about"),
        (("--audio",), "minutes; Ctrl-C ends it"),
        (("--mistakes-per-1000", "1"), "99,975 ends are too many to rehearse with mistakes; the most is 10,000"),
    ],
)
def test_a_rehearsal_of_the_longest_warp_says_what_it_takes_before_it_begins(
    options: tuple[str, ...],
    told: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def ended(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("assistant.rehearsal.run.run", ended)
    code = cli.main(["rehearse", str(sequence(tmp_path, "{name: g, thread: '3(1..4 4..1) 1', times: 3999}")), *options])
    assert code in (2, 130)
    assert told in capsys.readouterr().err


def test_a_rehearsal_of_a_warp_as_they_are_says_nothing_of_time(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["rehearse", str(sequence(tmp_path, "{name: g, thread: '6(1..4)', times: 40}"))]) == 0
    assert capsys.readouterr().err == ""


def test_so_does_hearing_many_recordings(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hear, "HEARD_IN_A_SECOND", 4)
    monkeypatch.setattr(hear, "hear_file", lambda path, *_: {"file": str(path)})
    recording(tmp_path / "next-1.wav", 1)
    assert cli.main(["hear", "next-1.wav"]) == 0
    assert capsys.readouterr().err == "caution: this takes about 15 seconds; Ctrl-C ends it\n"
    assert cli.main(["teach", "--weaver", "Aino", "--from", "."]) == 2
    assert "this takes about 15 seconds" in capsys.readouterr().err


@pytest.mark.parametrize("of", ["[", "1 "])
@pytest.mark.parametrize(
    "command", ["calls {}", "import {} --start right -o out.yaml", "hear {}", "models add sv --from {}"]
)
def test_no_file_of_any_size_takes_more_memory_than_a_weaver_has(command: str, of: str, tmp_path: Path) -> None:
    """A gigabyte, most of it a hole in the file, which takes no room on the disk."""
    file = tmp_path / "long.wav"
    with file.open("wb") as out:
        out.write((of * 12_000_000).encode()[:12_000_000])
        out.truncate(1_000_000_000)
    told = taken(*command.format(file.name).split(), folder=tmp_path)
    assert told.code == 2
    assert told.err.count("\n") == 1
    assert told.megabytes < MOST_MB


@pytest.mark.parametrize("number", ["9" * 6000, "٣", "1e999", "nan", "inf", "-0", "--3", ""], ids=lambda text: text[:6])
@pytest.mark.parametrize(
    "command",
    [
        "rehearse first-evening --mistake skip@{}",
        "rehearse first-evening --runs {} --mistakes-per-1000 1",
        "plan first-evening --cloth {}",
        "plan first-evening --cloth 1/{}",
        "plan first-evening --take-up {}",
        "plan first-evening --reeds {}",
        "end first-evening --from-right {}",
        "end first-evening --end {}",
        "find first-evening --group x --over {}",
    ],
)
def test_a_number_that_is_none_is_one_line(command: str, number: str, capsys: pytest.CaptureFixture[str]) -> None:
    refused(
        capsys,
        *(
            word.format(number)
            for word in command.replace("--", "\0").replace(" {}", "={}").replace("\0", "--").split()
        ),
    )
