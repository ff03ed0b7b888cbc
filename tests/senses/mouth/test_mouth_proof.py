"""Numbers as they are rendered, heard by the ear; and rendered otherwise where it does not understand them."""

import time
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from waiting import wait

from assistant import cli
from assistant.senses.ear.numbers import EarForNumbers
from assistant.senses.mouth import SPEED
from assistant.senses.mouth.clips import Shelf, Speech
from assistant.senses.mouth.player import MOUTH_RATE, Player, Samples
from assistant.senses.mouth.proof import RENDERINGS, Proof, Understood
from assistant.senses.mouth.speaker import Speaker, speech_of
from assistant.senses.mouth.voicebox import Voicebox
from assistant.senses.mouth.voices import choose
from assistant.words.language import codes, load
from assistant.words.speech import Part, Say

TEENS = (3, 5, 6)  # 13 and 30, 15 and 50, 16 and 60: those mistaken most


@pytest.fixture(scope="module")
def box() -> Iterator[Voicebox]:
    with Voicebox() as box:
        yield box


def speech(box: Voicebox, code: str, folder: Path) -> Speech:
    return speech_of(box, choose(box.voices(), load(code).voice), SPEED, folder)


class Hard:
    """An ear that is never sure, and at last likes one clip better than the others."""

    enough = 2.0

    def __init__(self, likes: int) -> None:
        self.likes, self.heard = likes, list[Samples]()

    def hear(self, clip: Samples) -> Mapping[int, float]:
        self.heard.append(clip)
        return {15: 0.5, 50: 0.6 if len(self.heard) == self.likes else 0.4}


@pytest.mark.parametrize("code", codes())
def test_fifteen_and_fifty_and_their_like_are_told_apart(box: Voicebox, code: str, tmp_path: Path) -> None:
    """None is taken for another of all that the ear knows; `heddlecall voices --check` goes through all of these."""
    said, ear = speech(box, code, tmp_path), EarForNumbers(code)
    pairs = {number for unit in TEENS for number in (10 + unit, 10 * unit)}
    proofs = [said.prove(str(number), number, SPEED, ear) for number in sorted(pairs)]
    assert [proof for proof in proofs if proof.verdict is Understood.OTHER] == []
    assert all(proof.lead > 0 for proof in proofs)


def test_what_is_understood_at_once_is_kept_as_it_is_usually_said(box: Voicebox, tmp_path: Path) -> None:
    said, ear = speech(box, "de", tmp_path), EarForNumbers("de")
    proof = said.prove("4", 4, SPEED, ear)
    assert (proof.verdict, proof.way, proof.likeliest) == (Understood.RIGHT, 0, 4)
    assert said.proof("4", SPEED) == proof
    assert said.proof("5", SPEED) is None


def test_what_no_way_makes_sure_is_kept_as_it_is_taken_for_most(box: Voicebox, tmp_path: Path) -> None:
    said, ear = speech(box, "en", tmp_path), Hard(likes=3)
    proof = said.prove("50", 50, SPEED, ear)
    assert len(ear.heard) == len(RENDERINGS)
    assert (proof.way, proof.verdict) == (2, Understood.UNSURE)
    assert len(said.render("50", SPEED)) == len(ear.heard[2])
    assert said.prove("50", 50, SPEED, Hard(likes=0)).verdict is Understood.OTHER


def test_a_number_is_said_in_the_words_of_its_language(box: Voicebox, tmp_path: Path) -> None:
    said = speech(box, "sv", tmp_path)
    assert len(said.render("39", SPEED)) == pytest.approx(len(said.render("trettionio", SPEED)), rel=0.01)


def test_a_proof_of_another_form_or_none_is_no_proof(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    proof = Proof(15, 0, 50, 0.7, Understood.OTHER, -0.5)
    assert Proof.read(proof.text()) == proof
    for text in ("", "[]", "{}", '{"form": 1}', proof.text().replace("other", "odd")):
        assert Proof.read(text) is None
    monkeypatch.setattr("assistant.senses.mouth.proof.FORM", 0)
    assert Proof.read(proof.text().replace('"form": 0', '"form": 1')) is None
    assert Shelf(tmp_path, "engine", "voice").proof("15", SPEED) is None


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("0", 0),
        ("99", 99),
        ("fifteen", 15),
        ("100", None),
        ("٣", None),
        ("", None),
        ("15 ends", None),
        ("fünfzehn", None),
    ],
)
def test_numbers_that_the_ear_knows_are_listened_to(
    box: Voicebox, tmp_path: Path, text: str, number: int | None
) -> None:
    assert speech(box, "en", tmp_path).number(text) == number


def test_at_rest_a_mouth_has_its_numbers_heard_and_says_what_it_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.senses.mouth.speaker.REST_S", 0.01)
    asked: list[str] = []

    def open_ear(code: str) -> Hard:
        asked.append(code)
        return Hard(likes=2)

    player = Player()
    mouth = Speaker(player, "en-us", folder=tmp_path, open_ear=open_ear)
    try:
        mouth.utter([Say((Part("fifty", beat=True),))])
        mouth.prepare([Part("fifty", beat=True), Part("Even?")])
        assert wait(lambda: player.left() > 0)
        time.sleep(0.1)
        assert not asked  # while it speaks
        player.cut()
        player.fill(MOUTH_RATE)
        assert wait(lambda: mouth._speech.proof("fifty", SPEED) is not None)
        at_hand, kept = mouth._speech._clip("fifty"), mouth._speech.render("fifty", SPEED)
        assert asked == ["en"]
        assert at_hand is not None
        assert len(at_hand) != len(kept)  # the beat of this evening stays
    finally:
        mouth.close()


def test_a_check_tells_and_is_done_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("assistant.folders.platformdirs.user_cache_path", lambda *_, **__: tmp_path)
    monkeypatch.setattr("assistant.senses.mouth.speaker.MOST", 3)
    assert cli.main(["voices", "--check", "--language", "de"]) == 0
    assert "von 4 Zahlen versteht das Ohr 4, davon 0 anders" in capsys.readouterr().out
    monkeypatch.setattr("assistant.senses.mouth.clips.Speech.prove", None)
    assert cli.main(["voices", "--check", "--language", "de"]) == 0


def test_a_voice_of_a_language_without_an_ear_is_refused_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["voices", "--check", "--voice", "it"]) == 2
    assert "no ear knows the language of 'Italian' (it)" in capsys.readouterr().err
