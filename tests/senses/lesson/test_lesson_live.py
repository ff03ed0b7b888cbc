"""A lesson as it runs, with made-up devices: what is printed, kept and told when something goes away."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from test_lesson import said

from assistant import cli
from assistant.errors import DeviceMissing
from assistant.meaning import Tell
from assistant.senses.ear import taught as store
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.words import TrainedWords
from assistant.senses.lesson import live
from assistant.senses.lesson.live import Quiet, Said
from assistant.senses.mouth import SilentMouth

Heard = Quiet | Said
SPACE = Space(TrainedWords("en"))


class Ear:
    """A microphone in whose place all is said at once; it may be away at first."""

    heard: tuple[Heard, ...] = ()
    away = 0  # times it is looked for in vain

    def __init__(self, *_: object) -> None:
        self._away = self.away

    def start(self, on_heard: Callable[[Heard], None]) -> None:
        self._on_heard = on_heard
        if not self._away:
            self._hear()

    def alive(self) -> bool:
        return not self._away

    def awake(self) -> bool:
        return True

    def shut(self) -> None:
        pass

    def reopen(self) -> None:
        self._away -= 1
        if self._away:
            raise DeviceMissing("away")
        self._hear()

    def close(self) -> None:
        pass

    def _hear(self) -> None:
        for heard in self.heard:
            self._on_heard(heard)


@pytest.fixture(autouse=True)
def loom(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No loudspeaker, nobody at the keyboard, and a weaver who says two words."""
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path))
    monkeypatch.setattr(live, "Microphone", Ear)
    monkeypatch.setattr(live, "open_mouth", lambda *_: (SilentMouth(), Tell("silent", why="no loudspeaker found")))
    monkeypatch.setattr("assistant.senses.screen.lines.typed_lines", lambda: iter(()))
    monkeypatch.setattr(Ear, "heard", (Quiet(), *spoken("next", "back")))


def spoken(*words: str) -> list[Said]:
    examples = [said(word, take) for word in words for take in range(3)]
    return [Said(each.clip, each.place) for each in examples]


def teach(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, list[str], str]:
    code = cli.main(["teach", "--weaver", "Aino", *words])
    told = capsys.readouterr()
    return code, told.out.splitlines(), told.err


def test_without_a_loudspeaker_what_would_be_said_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    code, lines, _ = teach(capsys, "--words", "next,back")
    assert code == 0
    assert "silent: no loudspeaker found" in lines
    assert "To go one step back: previous" in lines
    assert "heard 2 of 3" in lines
    assert lines[-4:] == [
        "next: 3 examples",
        "back: 3 examples",
        f"Aino has taught 2 words; how they sound is kept in {store.kept_in('Aino')}",
        "try them: heddlecall hear --weaver Aino",
    ]
    kept = store.load_taught("Aino", SPACE).examples[0].clip
    assert np.allclose(kept, said("next", 0).clip, atol=0.01)


def test_a_microphone_that_went_away_is_told_and_taken_up_again(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Ear, "away", 3)
    code, lines, _ = teach(capsys, "--words", "next,back")
    assert code == 0
    assert any("the microphone is gone" in line for line in lines)


def test_what_was_taught_before_stays_beside_a_few_new_words(capsys: pytest.CaptureFixture[str]) -> None:
    teach(capsys, "--words", "next,back")
    Ear.heard = (Ear.heard[0], *spoken("finished"))
    assert teach(capsys, "--words", "finished")[0] == 0
    assert store.load_taught("Aino", SPACE).words() == ["next", "back", "finished"]


def test_a_damaged_file_is_told_and_does_not_stand_in_the_way(capsys: pytest.CaptureFixture[str]) -> None:
    teach(capsys, "--words", "next,back")
    file = store.kept_in("Aino")
    file.write_bytes(file.read_bytes()[:100])
    code, lines, _ = teach(capsys, "--words", "next,back")
    assert code == 0
    assert any("is damaged" in line for line in lines)
    assert store.load_taught("Aino", SPACE).words() == ["next", "back"]


def test_a_full_disk_leaves_what_was_taught_before(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    teach(capsys, "--words", "next,back")
    before = store.kept_in("Aino").read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    code, lines, error = teach(capsys, "--words", "next,back")
    assert (code, error.count("\n")) == (2, 1)
    assert "No space left on device" in error
    assert not any("I have learnt" in line for line in lines)
    assert store.kept_in("Aino").read_bytes() == before


def test_all_that_a_weaver_reads_is_in_her_language(capsys: pytest.CaptureFixture[str]) -> None:
    code, lines, _ = teach(capsys, "--words", "next,back", "--language", "de")
    assert code == 0
    assert {"Wort 1 von 2", "2 von 3 gehört", "next: 3 Beispiele"} <= set(lines)
    assert any(line.startswith("Leertaste weiter") for line in lines)
    assert lines[-1].startswith("probier sie aus: heddlecall hear")
