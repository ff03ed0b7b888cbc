"""Teaching from recordings: what is kept, what is left out and why, and the commands that use it."""

import json
import tracemalloc
import zipfile
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr
from weaver import NUMBERS, record, recording, say

from assistant import cli
from assistant.errors import TaughtError
from assistant.senses.ear import features
from assistant.senses.ear import taught as store
from assistant.senses.ear.clip import FRAMES
from assistant.senses.ear.embedding import BANDS
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.opening import open_engine
from assistant.senses.ear.words import TrainedWords
from assistant.senses.lesson.teach import words_to_teach
from assistant.senses.sound import EAR_RATE
from assistant.words.language import load

pytest.importorskip("hibari")

from said import pause, room

SPACE = Space(TrainedWords("en"))
FEW = {"next": "next", "repeat": "repeat", "finished": "finished"}


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


@pytest.fixture(scope="module")
def few(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return record(tmp_path_factory.mktemp("few"), FEW)


def copied(few: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "said"
    folder.mkdir()
    for file in few.iterdir():
        (folder / file.name).write_bytes(file.read_bytes())
    return folder


def run(capsys: pytest.CaptureFixture[str], *words: str | Path) -> tuple[int, list[str], str]:
    code = cli.main([str(word) for word in words])
    told = capsys.readouterr()
    return code, told.out.splitlines(), told.err


def test_teach_then_hear(few: Path, tmp_path: Path, data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, lines, _ = run(capsys, "teach", "--from", few, "--weaver", "Aino")
    file = data / "weavers" / "Aino.npz"
    assert code == 0
    assert lines[:3] == ["finished: 3 examples", "next: 3 examples", "repeat: 3 examples"]
    assert lines[3] == f"Aino has taught 3 words; how they sound is kept in {file}"
    assert file.stat().st_size < 100_000
    assert sorted(each.name for each in file.parent.iterdir()) == ["Aino.lock", "Aino.npz"]
    soundfile.write(tmp_path / "a.wav", recording("finished", 4), EAR_RATE)
    code, lines, _ = run(capsys, "hear", "--weaver", "Aino", tmp_path / "a.wav")
    assert code == 0
    assert [each["event"] for each in json.loads(lines[0])["heard"]] == ["finished"]


def test_recordings_named_as_the_command_was_called_before(
    few: Path, tmp_path: Path, data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(few, tmp_path)
    for file in list(folder.glob("finished-*")):
        file.rename(folder / file.name.replace("finished", "done"))
    code, lines, _ = run(capsys, "teach", "--from", folder, "--weaver", "Aino")
    assert (code, lines[:3]) == (0, ["finished: 3 examples", "next: 3 examples", "repeat: 3 examples"])
    assert words_to_teach(load("en"), "next, done", 0, False) == ["next", "finished"]


def test_forgotten_words_are_gone(few: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(capsys, "teach", "--from", few, "--weaver", "Aino")
    file = store.kept_in("Aino")
    assert run(capsys, "teach", "--forget", "--weaver", "Aino") == (0, [f"{file} is deleted"], "")
    assert not file.exists()
    code, _, error = run(capsys, "hear", "--weaver", "Aino", "a.wav")
    assert (code, error.count("\n")) == (2, 1)
    assert "Aino has taught nothing yet" in error
    assert run(capsys, "teach", "--forget", "--weaver", "Aino")[0] == 2


def test_a_job_with_a_weaver_who_taught_nothing_is_one_clear_line(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, error = run(capsys, "thread", "hearth-runner", "--mute", "--plain", "--weaver", "Nobody")
    assert (code, error.count("\n")) == (2, 1)
    assert "Nobody has taught nothing yet; teach with: heddlecall teach --weaver 'Nobody'" in error


@pytest.mark.parametrize(("rate", "subtype"), [(8000, "PCM_U8"), (44_100, "PCM_24"), (48_000, "FLOAT")])
def test_recordings_of_any_rate_width_and_channels(
    few: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], rate: int, subtype: str
) -> None:
    folder = copied(few, tmp_path)
    for file in folder.iterdir():
        sound = soxr.resample(soundfile.read(file)[0], EAR_RATE, rate)
        soundfile.write(file, np.stack([sound, 0.7 * sound], axis=1), rate, subtype=subtype)
    code, lines, _ = run(capsys, "teach", "--from", folder, "--weaver", "Aino")
    assert (code, len(lines)) == (0, 5)


def test_a_gate_that_leaves_moments_without_any_sound_does_no_harm(
    few: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(few, tmp_path)
    for file in folder.iterdir():
        sound, rate = soundfile.read(file, dtype="int16")
        sound[rate // 4 : rate // 4 + rate // 10] = 0
        soundfile.write(file, sound, rate)
    code, lines, _ = run(capsys, "teach", "--from", folder, "--weaver", "Aino")
    assert (code, lines[:3]) == (0, ["finished: 3 examples", "next: 3 examples", "repeat: 3 examples"])


def test_an_example_that_is_another_word_is_left_out_with_the_reason(
    few: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(few, tmp_path)
    soundfile.write(folder / "next-2.wav", recording("finished", 3), EAR_RATE)
    soundfile.write(folder / "repeat-3.wav", recording("wonderful", 0), EAR_RATE)
    code, lines, _ = run(capsys, "teach", "--from", folder, "--weaver", "Aino")
    assert code == 1
    assert lines[0] == f"{folder / 'next-2.wav'}: it sounds like finished; say it anew, or choose another word for it"
    assert lines[1].startswith(f"{folder / 'repeat-3.wav'}: it ")
    assert lines[2:5] == ["finished: 3 examples", "next: 2 examples", "repeat: 2 examples"]


def test_two_words_that_sound_alike_are_named_once_with_a_better_one(
    few: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(few, tmp_path)
    for take in range(3):
        soundfile.write(folder / f"back-{take + 1}.wav", recording("next", take + 3), EAR_RATE)
    code, lines, _ = run(capsys, "teach", "--from", folder, "--weaver", "Aino")
    assert (code, len([line for line in lines if "sound much alike" in line])) == (0, 1)
    assert lines[0].endswith("For previous, “go back” would be better.")
    assert lines[1] == "back: 3 examples"


def test_one_example_begins(few: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = copied(few, tmp_path)
    for file in folder.glob("*-[23].wav"):
        file.unlink()
    code, lines, _ = run(capsys, "teach", "--from", folder, "--weaver", "Aino")
    assert (code, lines[:3]) == (0, ["finished: 1 example", "next: 1 example", "repeat: 1 example"])
    soundfile.write(tmp_path / "a.wav", recording("finished", 4), EAR_RATE)
    _, lines, _ = run(capsys, "hear", "--weaver", "Aino", tmp_path / "a.wav")
    assert [each["event"] for each in json.loads(lines[0])["heard"]] == ["finished"]


def test_a_recording_with_no_word_or_two_is_left_out(
    few: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(few, tmp_path)
    soundfile.write(folder / "next-1.wav", np.concatenate([recording("next", 0)] * 2), EAR_RATE)
    soundfile.write(folder / "next-4.wav", np.random.default_rng(0).normal(0, 0.001, 3 * EAR_RATE), EAR_RATE)
    code, lines, _ = run(capsys, "teach", "--from", folder, "--weaver", "Aino")
    assert code == 1
    how = "on its own was found in it; say it once, with a second of quiet around it"
    assert lines[:2] == [
        f"{folder / 'next-1.wav'}: more than one word {how}",
        f"{folder / 'next-4.wav'}: no word {how}",
    ]


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("next-1.wav", b"not sound", "cannot be read as sound"),
        ("next-1.wav", b"", "cannot be read as sound"),
        ("nxt-1.wav", b"", "nxt-1 stands for no command"),
        ("next.wav", b"", "next stands for no command"),
        ("100-1.wav", b"", "100-1 stands for no command"),
        ("notes.txt", b"", "holds no recordings"),
    ],
)
def test_what_cannot_be_used_is_one_clear_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, content: bytes, told: str
) -> None:
    (tmp_path / name).write_bytes(content)
    code, lines, error = run(capsys, "teach", "--from", tmp_path, "--weaver", "Aino")
    assert (code, lines, error.count("\n")) == (2, [], 1)
    assert told in error


def test_digital_silence_and_no_folder_are_one_clear_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, error = run(capsys, "teach", "--from", tmp_path / "none", "--weaver", "Aino")
    assert (code, error.count("\n")) == (2, 1)
    soundfile.write(tmp_path / "next-1.wav", pause(1), EAR_RATE)
    code, _, error = run(capsys, "teach", "--from", tmp_path, "--weaver", "Aino")
    assert (code, error.count("\n")) == (2, 1)
    assert "there is no sound in it" in error


@pytest.mark.parametrize("name", ["", "../Aino", "a/b", " Aino", "a.b", "C:", "x" * 61])
def test_a_name_that_cannot_be_a_file(name: str) -> None:
    with pytest.raises(TaughtError, match="cannot be a weaver's name"):
        store.kept_in(name)


def test_a_damaged_file_is_one_clear_line_wherever_it_is_cut(few: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(capsys, "teach", "--from", few, "--weaver", "Aino")
    file = store.kept_in("Aino")
    whole = file.read_bytes()
    for cut in range(0, len(whole), len(whole) // 60):
        file.write_bytes(whole[:cut])
        with pytest.raises(TaughtError, match=r"is damaged; teach again with"):
            store.load_taught("Aino", SPACE)
    chance = np.random.default_rng(5)
    for _ in range(60):
        broken = bytearray(whole)
        broken[chance.integers(len(whole))] ^= 0xFF
        file.write_bytes(broken)
        code, _, error = run(capsys, "hear", "--weaver", "Aino", file)  # the file is no sound either
        assert code == 2
        assert error.count("\n") == 1


def array(shape: str, kind: str = "<f2", content: bytes = b"") -> bytes:
    """An array as .npy, with this header."""
    header = f"{{'descr': '{kind}', 'fortran_order': False, 'shape': {shape}, }}".encode()
    header += b" " * (-(len(header) + 11) % 64) + b"\n"
    return b"\x93NUMPY\x01\x00" + len(header).to_bytes(2, "little") + header + content


@pytest.mark.parametrize(
    "odd",
    [
        {"decibels": array("(1000000000000, 24)")},  # terabytes
        {"decibels": array("(10000000000, 24)")},  # as much as some machines have
        {"words": array("(3,)", "<U999999999")},
        {"words": array("(3,)", "|O", b"cos\nsystem\n(S'ls'\ntR.")},
        {"decibels": array("(-1, 24)")},
        {"decibels": array("[" * 9000)},
        {"decibels": array("(0, 24)")},
        {"lengths": array("(2,)", "<i8", np.array([2**62, 2**62]).tobytes())},
        {"lengths": array("(1,)", "<i8", np.array([10**15]).tobytes())},
        {"decibels": array("(60, 24)", "<f2", np.full((60, 24), np.nan, np.float16).tobytes())},
        {"decibels": array("(60, 24)", "<f2", np.full((60, 24), np.inf, np.float16).tobytes())},
        {"decibels": array("(60, 24)", "<c8", np.zeros((60, 24), np.complex64).tobytes())},
        {"decibels": bytes(100_000_000)},
        {"rivals": array("()", "<i8", (-1).to_bytes(8, "little", signed=True))},
        {"rivals": array("()", "<i8", (2**62).to_bytes(8, "little"))},
        {"layout": array("(2,)", "<i8", bytes(16))},
        {"layout": array("()", "|S5000", b"9" * 5000)},
    ],
)
def test_a_file_that_claims_what_it_does_not_hold_is_damaged(odd: dict[str, bytes]) -> None:
    """And takes no memory: what is claimed is laid beside what is there before anything is made of it."""
    good = {
        "layout": array("()", "<i8", (2).to_bytes(8, "little")),
        "words": array("(1,)", "<U4", "next".encode("utf-32-le")),
        "lengths": array("(1,)", "<i8", (60).to_bytes(8, "little")),
        "decibels": array("(60, 24)", "<f2", bytes(60 * 24 * 2)),
    }
    file = store.kept_in("Aino")
    file.parent.mkdir(parents=True, exist_ok=True)
    _lies(good, odd)


CLIPS, PLACES = (1, FRAMES, BANDS), (1, 128)


@pytest.mark.parametrize(
    "odd",
    [
        {"clips": array(f"(10000000000, {FRAMES}, 32)")},
        {"clips": array(f"(1, {FRAMES}, 24)", "<f2", bytes(FRAMES * 24 * 2))},
        {"clips": array(f"(1, {FRAMES}, 32)", "<f2", np.full(CLIPS, np.nan, np.float16).tobytes())},
        {"clips": array(f"(1, {FRAMES}, 32)", "<i2", bytes(FRAMES * 32 * 2))},
        {"clips": array(f"(0, {FRAMES}, 32)")},
        {"words": array("(2,)", "<U4", bytes(32))},
        {"words": array("()", "<U4", bytes(16))},
        {"places": array("(1, 128)", "<f2", np.full(PLACES, np.inf, np.float16).tobytes())},
        {"places": array("(2, 128)", "<f2", bytes(512))},
        {"places": array("(1, 3)", "<f2", bytes(6))},
        {"places": array("(1, 128)", "|S2", bytes(256))},
        {"space": array("(2,)", "<i8", bytes(16))},
        {"believed": array("(2,)", "|b1", bytes(2))},
        {"believed": array("(1,)", "|b1", bytes([1]))},
        {"believed": array("(1,)", "<f2", bytes(2))},
        {"amid": array("(2, 2, 128)", "<f2", bytes(1024))},
        {"amid": array("(2, 1, 128)", "<f2", np.full(2 * PLACES, np.inf, np.float16).tobytes())},
        {"amid": array("()", "<f2", bytes(2))},
    ],
)
def test_a_file_as_it_is_written_now_that_claims_what_it_does_not_hold_is_damaged(odd: dict[str, bytes]) -> None:
    good = {
        "layout": array("()", "<i8", (3).to_bytes(8, "little")),
        "words": array("(1,)", "<U4", "next".encode("utf-32-le")),
        "clips": array(f"(1, {FRAMES}, 32)", "<f2", bytes(FRAMES * 32 * 2)),
        "places": array("(1, 128)", "<f2", bytes(256)),
        "space": array("()", "<i8", SPACE.version.to_bytes(8, "little")),
    }
    _lies(good, odd)


def _lies(good: dict[str, bytes], odd: dict[str, bytes]) -> None:
    """The first is read, and is damaged with the other in it."""
    file = store.kept_in("Aino")
    file.parent.mkdir(parents=True, exist_ok=True)
    for entries, sound in ((good, True), ({**good, **odd}, False)):
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as out:
            for name, content in entries.items():
                out.writestr(f"{name}.npy", content)
        if sound:
            assert store.load_taught("Aino", SPACE).words() == ["next"]
            continue
        tracemalloc.start()
        with pytest.raises(TaughtError, match=r"is damaged; teach again with"):
            store.load_taught("Aino", SPACE)
        assert tracemalloc.get_traced_memory()[1] < 50_000_000
        tracemalloc.stop()


def test_what_is_kept_comes_back_and_lies_anew_where_the_network_is_another(
    few: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    run(capsys, "teach", "--from", few, "--weaver", "Aino")
    taught = store.load_taught("Aino", SPACE)
    assert taught.words() == ["finished", "next", "repeat"]
    store.keep(taught, SPACE)
    again = store.load_taught("Aino", SPACE)
    monkeypatch.setattr(SPACE, "version", 1)
    anew = store.load_taught("Aino", SPACE)
    for one, other, third in zip(again.examples, taught.examples, anew.examples, strict=True):
        assert one.word == other.word
        assert np.array_equal(one.clip, other.clip)
        assert np.array_equal(one.place, other.place)
        assert third.place == pytest.approx(other.place, abs=0.01)
        assert one.amid == pytest.approx(SPACE.amid(one.clip), abs=0.01)


@pytest.mark.parametrize("layout", [1, 2])
def test_what_an_earlier_version_kept_is_read(layout: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Energies in other bands, 0.12 s of quiet on each side; words left out at the end, in the second layout."""
    said = [(word, take) for word in (*FEW, "pause") for take in range(3)]
    energies = [features.mel_energies(room(pause(0.12), say(*each), pause(0.12))) for each in said]
    file = store.kept_in("Aino")
    file.parent.mkdir(parents=True)
    np.savez_compressed(
        file,
        layout=layout,
        words=np.array([word for word, _ in said]),
        lengths=np.array([*map(len, energies)]),
        decibels=np.float16(10 * np.log10(np.concatenate(energies))),
        rivals=3 if layout == 2 else 0,
    )
    assert store.load_taught("Aino", SPACE).words() == [*FEW, "pause"][: 4 if layout == 1 else 3]
    for word in FEW:
        soundfile.write(tmp_path / f"{word}.wav", recording(word, 4), EAR_RATE)
    _, lines, _ = run(capsys, "hear", "--weaver", "Aino", *(tmp_path / f"{word}.wav" for word in FEW))
    assert [json.loads(line)["heard"][0]["event"] for line in lines] == [*FEW]


def test_no_room_on_the_disk_leaves_what_was_taught_before(
    few: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    run(capsys, "teach", "--from", few, "--weaver", "Aino")
    before = store.kept_in("Aino").read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    code, _, error = run(capsys, "teach", "--from", few, "--weaver", "Aino")
    assert code == 2
    assert "No space left on device" in error
    assert store.kept_in("Aino").read_bytes() == before


def test_numbers_in_another_language(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The words may be anybody's: here English ones stand for Korean commands."""
    folder = record(tmp_path / "said", FEW | NUMBERS)
    assert run(capsys, "teach", "--from", folder, "--weaver", "Min Jun", "--language", "ko")[0] == 0
    engine = open_engine(load("ko"), weaver="Min Jun")
    soundfile.write(tmp_path / "a.wav", recording("next", 4), EAR_RATE)
    _, lines, _ = run(capsys, "hear", "--weaver", "Min Jun", "--language", "ko", tmp_path / "a.wav")
    (heard,) = json.loads(lines[0])["heard"]
    assert (heard["event"], heard["word"]) == ("next", engine.language.commands["next"][0])
