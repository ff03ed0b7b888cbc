"""Train the ear's weights for words: from the words of all languages to the file that the wheel carries.

    OPENBLAS_NUM_THREADS=1 python models/train_words.py --work /tmp/words
    OPENBLAS_NUM_THREADS=1 python models/train_words.py --work /tmp/words --add
    python models/train_words.py --work /tmp/few --to /tmp/words.npz --clips 2000 --streams 20 --sentences 10 \
        --takes 1 --others 1 --epochs 2

With --add the words that the weights do not know are learnt; nothing else changes. --anew: some once more.
Needs what '.[test]' installs, and flite (`apt install flite`). What is spoken and what clips are made of it lies in the
folder of --work; what lies there already is not made again. The same seed makes the same sounds, but for rounding.
Only synthetic voices are learnt from. On four people (the recordings that tests/bench/hearing.py takes with --people)
one number was chosen: by how much less likely it is that there is no word than the synthetic voices make it seem.
"""

import argparse
import hashlib
import os
from collections.abc import Callable, Mapping, Sequence
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
from training.adding import Layer, added
from training.network import Clips, Weights, begun, learn
from training.scenes import Backgrounds, Corpus, scene
from training.streams import clips as found_in_stream
from training.vocabulary import Word, sentences, vocabulary, wanted

from assistant.senses.ear.clip import clip
from assistant.senses.ear.embedding import features
from assistant.senses.ear.words import WEIGHTS, TrainedWords
from assistant.words import language

STRANGERS = 1000  # words that nobody listens for, of whose vectors the taught words are told apart
WANTED_MORE, NEW_MORE = 4, 100  # how much oftener a word listened for, or one to be added, is drawn than another
NO_WORD_LESS = 3.5  # by which no word's score is lowered
ASKED_SHARE = 0.15  # of the clips without a word that each language's layer learns from, whatever the language
AT_ONCE, STREAMS_AT_ONCE = 200, 10  # clips, streams
SHARE = 50  # things to say
TRIES = 300

Taken = tuple[NDArray[np.float16], NDArray[np.int64], NDArray[np.int64]]  # features, words held, words spoken
Spoken = list[tuple[int, NDArray[np.int16]]]  # places of words, and how each was said


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--work", type=Path, required=True, help="a folder for what is made on the way")
    parser.add_argument("--to", type=Path, default=WEIGHTS, help="%(default)s")
    parser.add_argument("--clips", type=int, default=100_000, help="of a word each (%(default)s)")
    parser.add_argument("--streams", type=int, default=4000, help="of half a minute (%(default)s)")
    parser.add_argument("--sentences", type=int, default=160, help="in a language (%(default)s)")
    parser.add_argument("--takes", type=int, default=24, help="of each word listened for, by espeak-ng (%(default)s)")
    parser.add_argument("--others", type=int, default=6, help="of each other word (%(default)s)")
    parser.add_argument("--epochs", type=float, default=8, help="%(default)s")
    parser.add_argument("--add", action="store_true", help="only the words that the weights do not know yet")
    parser.add_argument("--anew", nargs="+", default=[], metavar="WORD", help="with --add: these, too, in any language")
    parser.add_argument("--seed", type=int, default=1, help="%(default)s")
    parser.add_argument("--processes", type=int, default=2, help="%(default)s")
    options = parser.parse_args()
    options.work.mkdir(parents=True, exist_ok=True)
    words = vocabulary()
    by_espeak = partial(_by_espeak, takes=options.takes, others=options.others)
    tasks = [partial(by_espeak, word, place) for place, word in enumerate(words)]
    english = [(place, word) for place, word in enumerate(words) if word.code == "en"]
    spoken = [
        _kept(options.work / "espeak.npz", lambda: said(tasks, options.processes)),
        _kept(options.work / "natural.npz", lambda: said([partial(_naturally, english, v) for v in voices.NATURAL], 1)),
    ]
    talk = [
        _kept(options.work / "talk.npz", lambda: said(_talk(words, options.sentences), options.processes)),
        _kept(options.work / "natural_talk.npz", lambda: said(_natural_talk(words, options.sentences), 1)),
    ]
    more = oftener(words, {code: new_words(code, options.anew) for code in language.codes()} if options.add else {})
    scenes = partial(_scenes, spoken, words, more, options.seed)
    streams = partial(_streams, spoken, talk, words, more, options.seed)
    by_clips = range(0, options.clips, AT_ONCE)
    by_streams = range(0, options.streams, STREAMS_AT_ONCE)
    made = [
        _kept(options.work / "clips.npz", lambda: taken_up(scenes, by_clips, options.processes)),
        _kept(options.work / "streams.npz", lambda: taken_up(streams, by_streams, options.processes)),
    ]
    parts = [dict(np.load(file)) for file in made]
    sounds, held, told = (np.concatenate([part[name] for part in parts]) for name in ("features", "words", "spoken"))
    clips = Clips(sounds, held, columns(words, held, told, options.seed))
    if options.add:
        _write(options.to, with_new_words(clips, options.anew))
        return
    heads = [len(wanted(code)) + 1 for code in language.codes()]
    chance = np.random.default_rng([options.seed, 2])
    weights = learn(begun(chance, clips, len(words), heads), clips, options.epochs, chance, every=200)
    _write(options.to, packed(weights, words))


def _write(to: Path, arrays: dict[str, NDArray[np.generic]]) -> None:
    np.savez_compressed(to, **arrays)  # type: ignore[arg-type]
    print(f"{hashlib.sha256(to.read_bytes()).hexdigest()} is what NOTICE tells of {to.name}")


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
    shares = [tasks[place : place + SHARE] for place in range(0, len(tasks), SHARE)]
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


def _by_espeak(word: Word, place: int, takes: int, others: int, seed: int = 0) -> Spoken:
    if not _espeak:
        _espeak.append(voices.Espeak())
    chance = np.random.default_rng([place, seed])
    made = (_espeak[0].say(word.code, word.text, chance) for _ in range(takes if word.wanted else others))
    return [(place, sound) for sound in made if sound is not None]


def _naturally(english: Sequence[tuple[int, Word]], voice: voices.Natural) -> Spoken:
    """All that one of the other voices says."""
    say = voice.opened()
    made = (
        (place, say(word.text, take))
        for place, word in english
        for take in range(voice.takes if word.wanted else voice.others)
    )
    return [(place, sound) for place, sound in made if sound is not None]


def _talk(words: Sequence[Word], count: int) -> list[Callable[[], Spoken]]:
    """So many sentences in each language, by espeak-ng; each stands under some word of its language."""
    places = {word.code: place for place, word in enumerate(words)}
    return [
        partial(_by_espeak, Word(code, text, False), place, 0, 2, seed)
        for code, place in places.items()
        for seed, text in enumerate(sentences(code, count))
    ]


def _natural_talk(words: Sequence[Word], count: int) -> list[Callable[[], Spoken]]:
    """English ones by the other voices."""
    place = next(place for place, word in enumerate(words) if word.code == "en")
    said = [(place, Word("en", text, False)) for text in sentences("en", count)]
    return [partial(_naturally, said, voice) for voice in voices.NATURAL]


def taken_up(make: Callable[[int], Taken], firsts: Sequence[int], processes: int) -> dict[str, NDArray[np.generic]]:
    """The features of clips, with what they hold: what `make` gives for each of `firsts`, one after the other."""
    found: list[Taken] = []
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        for each in pool.map(make, firsts):
            found.append(each)
            if len(found) % 50 == 0:
                print(f"{sum(len(words) for _, words, _ in found)} clips", flush=True)
    sounds, words, spoken = zip(*found, strict=True)
    return {"features": np.concatenate(sounds), "words": np.concatenate(words), "spoken": np.concatenate(spoken)}


_world: list[tuple[Corpus, Backgrounds]] = []  # one for each process
_talking: list[Corpus] = []  # likewise


def _opened(
    spoken: Sequence[Path], words: Sequence[Word], more: Sequence[int], seed: int
) -> tuple[Corpus, Backgrounds]:
    if not _world:
        corpus = corpus_of(spoken, words, more)
        _world.append((corpus, Backgrounds(corpus, seed)))
    return _world[0]


def _scenes(spoken: Sequence[Path], words: Sequence[Word], more: Sequence[int], seed: int, first: int) -> Taken:
    world = _opened(spoken, words, more, seed)
    scenes = [scene(*world, np.random.default_rng([seed, 3, first + place])) for place in range(AT_ONCE)]
    clips = np.stack([clip(each.sound, each.start, each.end) for each in scenes])
    return _held(clips, [each.word for each in scenes], [each.spoken for each in scenes])


def _streams(
    spoken: Sequence[Path], talk: Sequence[Path], words: Sequence[Word], more: Sequence[int], seed: int, first: int
) -> Taken:
    corpus, backgrounds = _opened(spoken, words, more, seed)
    if not _talking:
        _talking.append(corpus_of(talk, words, more))
    chances = [np.random.default_rng([seed, 5, first + place]) for place in range(STREAMS_AT_ONCE)]
    found = [each for chance in chances for each in found_in_stream(corpus, _talking[0], backgrounds, chance)]
    return _held(np.stack([clip for clip, _ in found]), [word for _, (word, _) in found], [by for _, (_, by) in found])


def _held(clips: NDArray[np.float32], words: Sequence[int], spoken: Sequence[int]) -> Taken:
    return features(clips).astype(np.float16), np.array(words, np.int64), np.array(spoken, np.int64)


def oftener(words: Sequence[Word], new: Mapping[str, Sequence[str]]) -> list[int]:
    """How much oftener each word is drawn than one that nobody listens for; `new`: those to be added, by language."""
    listened = ((NEW_MORE if word.text in new.get(word.code, ()) else WANTED_MORE, word) for word in words)
    return [more if word.wanted else 1 for more, word in listened]


def new_words(code: str, anew: Sequence[str]) -> list[str]:
    """The words of a language that the weights do not know, and those of them that are to be learnt anew."""
    with np.load(WEIGHTS) as file:
        known = {*file[f"{code} names"].tolist()} - {*anew}
    return [word for word in wanted(code) if word not in known]


def corpus_of(spoken: Sequence[Path], words: Sequence[Word], more: Sequence[int]) -> Corpus:
    """What espeak-ng said, and what the other voices did."""
    parts = [dict(np.load(file)) for file in spoken]
    sound, lengths, said = (np.concatenate([part[name] for part in parts]) for name in ("sound", "lengths", "words"))
    natural = np.arange(len(said)) >= len(parts[0]["words"])
    english = np.array([word.code == "en" for word in words])[said]
    return Corpus(sound, lengths, said, natural, np.array(more)[said], english)


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


def with_new_words(clips: Clips, anew: Sequence[str]) -> dict[str, NDArray[np.generic]]:
    """The arrays of the file that is there, with the words of the languages that it lacks, and those to learn anew."""
    with np.load(WEIGHTS) as file:
        found: dict[str, NDArray[np.generic]] = dict(file)
    for place, code in enumerate(language.codes()):
        new = new_words(code, anew)
        if not new:
            continue
        names, before = ["", *wanted(code)], found[f"{code} names"].tolist()
        stay = [column for column, name in enumerate(before) if name not in new]
        known = [before[column] for column in stay]
        asked = np.flatnonzero(clips.columns[:, place] >= 0)
        said = np.array(names)[clips.columns[asked, place]]
        old = TrainedWords(code)
        vectors = np.concatenate(
            [
                old.scores(clips.features[asked[at : at + 2000]].astype(np.float32))[0]
                for at in range(0, len(asked), 2000)
            ]
        )
        kernel, bias = (found[f"{code} {part}"].astype(np.float32)[..., stay] for part in ("kernel", "bias"))
        bias[0] += NO_WORD_LESS
        layer = added(Layer(known, kernel, bias), vectors, said, new)
        order = [layer.names.index(name) for name in names]
        layer.bias[0] -= NO_WORD_LESS
        found[f"{code} names"] = np.array(names)
        found[f"{code} kernel"] = layer.kernel[:, order].astype(np.float16)
        found[f"{code} bias"] = layer.bias[order].astype(np.float16)
    return found


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
