"""Train the ear's weights for words: from the words of all languages to the file that the wheel carries.

    OPENBLAS_NUM_THREADS=1 python models/train_words.py --work /tmp/words
    python models/train_words.py --work /tmp/words --clips 2000 --takes 1 --others 1 --epochs 2 --to /tmp/words.npz

Needs what '.[test]' installs, and flite (`apt install flite`). What is spoken and what clips are made of it lies in the
folder of --work; what lies there already is not made again. The same seed makes the same sounds, but for rounding.
Only synthetic voices are learnt from. On four people (the recordings that tests/bench/hearing.py takes with --people)
one number was chosen: by how much less likely it is that there is no word than the synthetic voices make it seem.
"""

import argparse
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from functools import partial
from multiprocessing import get_context
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is there: small products are slower in threads

import numpy as np
from numpy.typing import NDArray
from training import voices
from training.network import Clips, Weights, begun, learn
from training.scenes import Backgrounds, Corpus, scene
from training.vocabulary import Word, vocabulary, wanted

from assistant.senses.ear.clip import clip
from assistant.senses.ear.embedding import features
from assistant.senses.ear.words import WEIGHTS
from assistant.words import language

STRANGERS = 1000  # words that nobody listens for, of whose vectors the taught words are told apart
NO_WORD_LESS = 3.5  # by which no word's score is lowered
ASKED_SHARE = 0.15  # of the clips without a word that each language's layer learns from, whatever the language
AT_ONCE = 200  # clips
TRIES = 300

Spoken = list[tuple[int, NDArray[np.int16]]]  # places of words, and how each was said


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--work", type=Path, required=True, help="a folder for what is made on the way")
    parser.add_argument("--to", type=Path, default=WEIGHTS, help="%(default)s")
    parser.add_argument("--clips", type=int, default=130_000, help="%(default)s")
    parser.add_argument("--takes", type=int, default=24, help="of each word listened for, by espeak-ng (%(default)s)")
    parser.add_argument("--others", type=int, default=6, help="of each other word (%(default)s)")
    parser.add_argument("--epochs", type=float, default=12, help="%(default)s")
    parser.add_argument("--seed", type=int, default=1, help="%(default)s")
    parser.add_argument("--processes", type=int, default=2, help="%(default)s")
    options = parser.parse_args()
    options.work.mkdir(parents=True, exist_ok=True)
    words = vocabulary()
    by_espeak = partial(_by_espeak, takes=options.takes, others=options.others)
    tasks = [partial(by_espeak, word, place) for place, word in enumerate(words)]
    spoken = [
        _kept(options.work / "espeak.npz", lambda: said(tasks, options.processes)),
        _kept(options.work / "natural.npz", lambda: said([partial(_naturally, words, v) for v in voices.NATURAL], 1)),
    ]
    made = _kept(options.work / "clips.npz", lambda: taken_up(spoken, words, options))
    with np.load(made) as held:
        clips = Clips(held["features"], held["words"], columns(words, held["words"], held["spoken"], options.seed))
    heads = [len(wanted(code)) + 1 for code in language.codes()]
    chance = np.random.default_rng([options.seed, 2])
    weights = learn(begun(chance, clips, len(words), heads), clips, options.epochs, chance, every=200)
    np.savez_compressed(options.to, **packed(weights, words))  # type: ignore[arg-type]


def _kept(file: Path, make: Callable[[], dict[str, NDArray[np.generic]]]) -> Path:
    """The file, with what `make` gives where it is not there yet."""
    if not file.exists():
        np.savez(file, **make())  # type: ignore[arg-type]
        print(f"{file} is made", flush=True)
    return file


def said(tasks: Sequence[Callable[[], Spoken]], processes: int) -> dict[str, NDArray[np.generic]]:
    """What all of these say, in processes of their own: Joe brings an espeak-ng that cannot be beside ours.

    espeak-ng breaks down now and then, whatever it says; what was lost with it is said again.
    """
    shares = [tasks[place : place + AT_ONCE // 4] for place in range(0, len(tasks), AT_ONCE // 4)]
    found: dict[int, Spoken] = {}
    for _ in range(TRIES):
        if len(found) == len(shares):
            break
        with suppress(BrokenProcessPool), ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
            begun = {pool.submit(_all, share): place for place, share in enumerate(shares) if place not in found}
            for done in as_completed(begun):
                found[begun[done]] = done.result()
    every = [each for place in range(len(shares)) for each in found[place]]
    sounds = [sound for _, sound in every]
    return {
        "sound": np.concatenate(sounds),
        "lengths": np.array([len(sound) for sound in sounds]),
        "words": np.array([place for place, _ in every]),
    }


def _all(tasks: Sequence[Callable[[], Spoken]]) -> Spoken:
    return [each for task in tasks for each in task()]


_espeak: list[voices.Espeak] = []  # one for each process


def _by_espeak(word: Word, place: int, takes: int, others: int) -> Spoken:
    if not _espeak:
        _espeak.append(voices.Espeak())
    chance = np.random.default_rng(place)
    made = (_espeak[0].say(word.code, word.text, chance) for _ in range(takes if word.wanted else others))
    return [(place, sound) for sound in made if sound is not None]


def _naturally(words: Sequence[Word], voice: voices.Natural) -> Spoken:
    """All that one of the other voices says."""
    say = voice.opened()
    made = (
        (place, say(word.text, take))
        for place, word in enumerate(words)
        if word.code == "en"
        for take in range(voice.takes if word.wanted else voice.others)
    )
    return [(place, sound) for place, sound in made if sound is not None]


def taken_up(
    spoken: Sequence[Path], words: Sequence[Word], options: argparse.Namespace
) -> dict[str, NDArray[np.generic]]:
    """The features of as many scenes, with what they hold."""
    found: list[tuple[NDArray[np.float16], list[int], list[int]]] = []
    with ProcessPoolExecutor(options.processes, mp_context=get_context("spawn")) as pool:
        for share in pool.map(partial(_scenes, spoken, words, options.seed), range(0, options.clips, AT_ONCE)):
            found.append(share)
            if len(found) % 50 == 0:
                print(f"{len(found) * AT_ONCE} clips", flush=True)
    return {
        "features": np.concatenate([each for each, _, _ in found]),
        "words": np.concatenate([each for _, each, _ in found]),
        "spoken": np.concatenate([each for _, _, each in found]),
    }


_world: list[tuple[Corpus, Backgrounds]] = []  # one for each process


def _scenes(
    spoken: Sequence[Path], words: Sequence[Word], seed: int, first: int
) -> tuple[NDArray[np.float16], list[int], list[int]]:
    if not _world:
        corpus = corpus_of(spoken, words)
        _world.append((corpus, Backgrounds(corpus, seed)))
    scenes = [scene(*_world[0], np.random.default_rng([seed, 3, first + place])) for place in range(AT_ONCE)]
    clips = np.stack([clip(each.sound, each.start, each.end) for each in scenes])
    return features(clips).astype(np.float16), [each.word for each in scenes], [each.spoken for each in scenes]


def corpus_of(spoken: Sequence[Path], words: Sequence[Word]) -> Corpus:
    """What espeak-ng said, and what the other voices did."""
    parts = [dict(np.load(file)) for file in spoken]
    sound, lengths, said = (np.concatenate([part[name] for part in parts]) for name in ("sound", "lengths", "words"))
    natural = np.arange(len(said)) >= len(parts[0]["words"])
    wanted, english = (np.array([fits(word) for word in words])[said] for fits in (_is_wanted, _is_english))
    return Corpus(sound, lengths, said, natural, wanted, english)


def _is_wanted(word: Word) -> bool:
    return word.wanted


def _is_english(word: Word) -> bool:
    return word.code == "en"


def columns(words: Sequence[Word], held: NDArray[np.int64], spoken: NDArray[np.int64], seed: int) -> NDArray[np.int64]:
    """Clips × languages: which column of a language's layer is right; -1 where it does not learn from a clip.

    It learns from what is said in its language, from noises, and from some of what is no word in another.
    """
    codes = language.codes()
    names = {(code, word): 1 + place for code in codes for place, word in enumerate(wanted(code))}
    column = np.array([names.get((word.code, word.text), 0) if word.wanted else 0 for word in words])
    tongue = np.array([codes.index(word.code) for word in words])
    right = np.where(held >= 0, column[held], 0)
    own = np.where(spoken >= 0, tongue[spoken], -1)
    asked = np.random.default_rng([seed, 4]).random((len(held), len(codes))) < ASKED_SHARE
    learns = (own[:, None] == np.arange(len(codes))) | (own < 0)[:, None] | ((right == 0)[:, None] & asked)
    return np.where(learns, np.where(own[:, None] == np.arange(len(codes)), right[:, None], 0), -1)


def packed(weights: Weights, words: Sequence[Word]) -> dict[str, NDArray[np.generic]]:
    """The arrays of the file that assistant/senses/ear/words.py reads."""
    shared = {name: weights[name] for name in weights if name.startswith(("mean", "spread", "kernel", "bias"))}
    found: dict[str, NDArray[np.generic]] = {name: array.astype(np.float16) for name, array in shared.items()}
    for place, code in enumerate(language.codes()):
        bias = weights[f"head {place} bias"].copy()
        bias[0] -= NO_WORD_LESS
        found[f"{code} kernel"] = weights[f"head {place}"].astype(np.float16)
        found[f"{code} bias"] = bias.astype(np.float16)
        found[f"{code} names"] = np.array(["", *wanted(code)])
    units = weights["angles"] / np.linalg.norm(weights["angles"], axis=1, keepdims=True)
    plain = np.flatnonzero([not word.wanted for word in words])
    found["strangers"] = units[np.random.default_rng(0).permutation(plain)[:STRANGERS]].astype(np.float16)
    return found


if __name__ == "__main__":
    main()
