"""How the ear's weights for words are made: as the ear computes, and a small ear tells voices that are new to it."""

import hashlib
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "models"))

from training import network, vocabulary, voices
from training.network import Clips, Course, trained
from training.scenes import NO_WORD, Backgrounds, Corpus, scene
from training.streams import EARLY, Part, clips, marked

from assistant.senses.ear.clip import clip
from assistant.senses.ear.embedding import Mel, early, features
from assistant.senses.ear.words import WEIGHTS, TrainedWords
from assistant.words import language

WORDS = ("seven", "window", "repeat", "bobbin")


def test_what_is_learnt_from_is_what_the_ear_computes() -> None:
    """Features as jax computes them, against those in numpy."""
    clips = np.random.default_rng(0).uniform(2, 9, (3, 190, 32)).astype(np.float32)
    found = network.features(network.general(), np.stack([early(clip) for clip in clips]))
    assert np.asarray(found) == pytest.approx(features(clips), abs=1e-3)


def test_a_small_ear_tells_words_said_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By other voices, in other rooms; run as the ear runs it."""
    speaker = voices.Espeak()
    _, learnt = _scenes(_said(speaker, 12, 1), 500, 1)
    courses = Course(20, 64, 2e-3, 20), Course(1, 64, 5e-4, 2)
    weights = trained(learnt, len(WORDS), [len(WORDS) + 1], 1, *courses)
    head = {"en kernel": weights["head 0"], "en bias": weights["head 0 bias"], "en names": np.array(["", *WORDS])}
    np.savez(tmp_path / "words.npz", **weights, **head, strangers=weights["angles"])
    monkeypatch.setattr("assistant.senses.ear.words.WEIGHTS", tmp_path / "words.npz")
    anew, new = _scenes(_said(speaker, 6, 2), 150, 2)
    found = TrainedWords("en").scores(np.stack(anew))[1].argmax(axis=1)
    words = new.words >= 0
    assert np.mean(found[words] == new.columns[words, 0]) > 0.75
    assert np.mean(found[~words] == 0) > 0.4


def test_what_is_found_is_a_word_a_part_of_one_or_talk() -> None:
    word, talk = Part(20_000, 28_000, (5, 5)), Part(40_000, 80_000, (NO_WORD, 9))
    parts = [word, Part(28_200, 36_000, (6, 6)), talk]
    assert marked(parts, 20_000, 28_000) == marked(parts, 20_000 - EARLY, 28_100) == (5, 5)
    assert marked(parts, 20_000, 24_000) == (NO_WORD, 5)  # cut
    assert marked(parts, 20_000, 36_000) == (NO_WORD, 5)  # two words
    assert marked(parts, 50_000, 60_000) == (NO_WORD, 9)
    assert marked(parts, 10_000, 15_000) == (NO_WORD, NO_WORD)  # nobody speaks
    assert marked(parts, 20_000, 26_500) is None  # neither a word nor none


def test_streams_hold_words_and_what_is_none() -> None:
    speaker = voices.Espeak()
    words, talk = _said(speaker, 4, 1), _said(speaker, 1, 2)
    found = list(clips(words, talk, Backgrounds(words, 1), np.random.default_rng(3)))
    marks = [word for _, (word, _) in found]
    assert {*marks} <= {NO_WORD, *range(len(WORDS))}
    assert NO_WORD in marks
    assert max(marks) > NO_WORD
    assert len({clip.shape for clip, _ in found}) == 1


def test_the_weights_are_those_that_the_notice_tells_of() -> None:
    assert hashlib.sha256(WEIGHTS.read_bytes()).hexdigest() in WEIGHTS.with_name("NOTICE").read_text(encoding="utf-8")


def test_the_words_it_knows_are_those_of_the_languages() -> None:
    with np.load(WEIGHTS) as packed:
        known = {code: packed[f"{code} names"].tolist() for code in language.codes()}
    assert known == {code: ["", *vocabulary.wanted(code)] for code in language.codes()}


def _said(speaker: voices.Espeak, takes: int, seed: int) -> Corpus:
    chance = np.random.default_rng(seed)
    made = [(place, speaker.say("en", word, chance)) for _ in range(takes) for place, word in enumerate(WORDS)]
    sounds = [(place, sound) for place, sound in made if sound is not None]
    every = np.ones(len(sounds), bool)
    lengths = np.array([len(sound) for _, sound in sounds])
    words = np.array([place for place, _ in sounds])
    return Corpus(np.concatenate([sound for _, sound in sounds]), lengths, words, ~every, every, every)


def _scenes(corpus: Corpus, count: int, seed: int) -> tuple[list[Mel], Clips]:
    backgrounds = Backgrounds(corpus, seed)
    scenes = [scene(corpus, backgrounds, np.random.default_rng([seed, place])) for place in range(count)]
    found = [clip(each.sound, each.start, each.end) for each in scenes]
    words = np.array([each.word for each in scenes])
    return found, Clips(np.stack([early(each) for each in found]).astype(np.float16), words, words[:, None] + 1)
