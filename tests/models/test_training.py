"""How the ear's weights for words are made: slopes are right, and a small ear tells voices that are new to it."""

import hashlib
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "models"))

from scipy.optimize import minimize
from training import network, vocabulary, voices
from training.adding import Layer, added
from training.network import Clips
from training.scenes import NO_WORD, Backgrounds, Corpus, scene
from training.streams import EARLY, Part, clips, marked

from assistant.senses.ear.clip import clip
from assistant.senses.ear.embedding import features
from assistant.senses.ear.words import WEIGHTS, TrainedWords
from assistant.words import language

WORDS = ("seven", "window", "repeat", "bobbin")
STEP = 1e-4


def test_slopes_are_what_small_steps_lose(monkeypatch: pytest.MonkeyPatch) -> None:
    """Against central differences of what is lost."""
    monkeypatch.setattr(network, "DROPPED", 0.0)
    monkeypatch.setattr(network, "SMOOTHED", 0.0)
    chance = np.random.default_rng(0)
    clips = Clips(
        chance.normal(size=(40, 10, 96)).astype(np.float16),
        chance.integers(-1, 20, 40),
        chance.integers(-1, 5, (40, 2)),
    )
    weights = {name: each.astype(np.float64) for name, each in network.begun(chance, clips, 20, [5, 5]).items()}

    def lost() -> tuple[network.Weights, float]:
        slopes, losses = network.gradient(weights, clips, np.arange(40), np.random.default_rng(1))  # type: ignore[arg-type]
        return slopes, sum(losses)

    slopes, _ = lost()
    assert set(slopes) == set(weights) - {"mean", "spread"}
    for name, slope in slopes.items():
        place = tuple(int(chance.integers(size)) for size in slope.shape)
        kept = weights[name][place]
        weights[name][place] = kept + STEP
        _, above = lost()
        weights[name][place] = kept - STEP
        _, below = lost()
        weights[name][place] = kept
        assert slope[place] == pytest.approx((above - below) / 2 / STEP, rel=0.1, abs=2e-3), name


def test_a_word_is_added_as_well_as_scipy_would_and_the_others_stay() -> None:
    """Against the least loss that scipy.optimize finds for a column more."""
    chance = np.random.default_rng(4)
    names = np.array(["", "seven", "window", "bobbin"])
    middles = chance.normal(size=(len(names), 8)) * 1.5
    which = chance.integers(len(names), size=600)
    vectors = (middles[which] + chance.normal(size=(600, 8))).astype(np.float32)
    before = Layer(["", "seven", "window"], middles[:3].T.astype(np.float32), np.zeros(3, np.float32))
    after = added(before, vectors, names[which], ["bobbin"])
    assert [*after.names] == [*names]
    np.testing.assert_array_equal(after.kernel[:, :3], before.kernel)

    def lost(column: np.ndarray) -> float:
        scores = np.column_stack([before.scores(vectors), vectors @ column[:-1] + column[-1]])
        scores -= scores.max(axis=1, keepdims=True)
        return float(np.mean(np.log(np.exp(scores).sum(axis=1)) - scores[np.arange(len(which)), which]))

    least = minimize(lost, np.zeros(9)).fun
    assert lost(np.append(after.kernel[:, 3], after.bias[3])) < least + 0.02


def test_a_small_ear_tells_words_said_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By other voices, in other rooms; run as the ear runs it."""
    monkeypatch.setattr(network, "WARMING", 20)
    monkeypatch.setattr(network, "BATCH", 64)
    speaker = voices.Espeak()
    learnt = _clips(_said(speaker, 12, 1), 500, 1)
    weights = network.begun(np.random.default_rng(1), learnt, len(WORDS), [len(WORDS) + 1])
    network.learn(weights, learnt, 20, np.random.default_rng(2))
    head = {"en kernel": weights["head 0"], "en bias": weights["head 0 bias"], "en names": np.array(["", *WORDS])}
    np.savez(tmp_path / "words.npz", **weights, **head, strangers=weights["angles"])  # type: ignore[arg-type]
    monkeypatch.setattr("assistant.senses.ear.words.WEIGHTS", tmp_path / "words.npz")
    new = _clips(_said(speaker, 6, 2), 150, 2)
    found = TrainedWords("en").scores(new.features.astype(np.float32))[1].argmax(axis=1)
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
    return Corpus(np.concatenate([sound for _, sound in sounds]), lengths, words, ~every, words * 0 + 1, every)


def _clips(corpus: Corpus, count: int, seed: int) -> Clips:
    backgrounds = Backgrounds(corpus, seed)
    scenes = [scene(corpus, backgrounds, np.random.default_rng([seed, place])) for place in range(count)]
    found = features(np.stack([clip(each.sound, each.start, each.end) for each in scenes])).astype(np.float16)
    words = np.array([each.word for each in scenes])
    return Clips(found, words, words[:, None] + 1)
