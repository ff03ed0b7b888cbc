"""The ears that the hearing benchmark lays side by side, each in a process of its own.

- this: the ear of this checkout
- before: the ear of an earlier commit, with that commit's own code
- vosk: vosk's ear, in a language of which a model is there
- grammar: a plain grammar of the same words that decodes all there is: pocketsphinx's in English, else vosk's
"""

import os
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from functools import partial
from importlib.util import find_spec
from io import BytesIO
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path

from parts.pupils import Lesson, Pupil
from parts.serving import EARS, Spent
from parts.wanted import Heard, Samples

BENCH = Path(__file__).resolve().parents[1]
CHECKOUT = BENCH.parents[1]
BEFORE = "2b41d8f"  # the last commit at which words untaught were heard by pocketsphinx
NAMES = tuple(EARS)


def missing(names: Iterable[str]) -> Iterator[str]:
    """A line for what these ears lack."""
    if {"before", "grammar"} & {*names} and not find_spec("pocketsphinx"):
        yield "words untaught by pocketsphinx: left out; pip install 'heddlecall[bench]'"


class Ear:
    """Asks an ear's process."""

    def __init__(self, process: Connection, loosest: bool):
        self._process, self._loosest = process, loosest

    def __call__(self, lesson: Lesson, language: str = "en") -> Pupil | None:
        """As Teach has it."""
        self._process.send(("teach", {**lesson}, language, self._loosest))
        taught = self._process.recv()
        return Pupil(partial(self._hear, taught[0]), taught[1]) if taught else None

    def spent(self) -> Spent:
        self._process.send("spent")
        spent: Spent = self._process.recv()
        return spent

    def _hear(self, place: int, sound: Samples, largest: int) -> list[Heard]:
        self._process.send(("hear", place, sound, largest))
        heard: list[Heard] = self._process.recv()
        return heard


@contextmanager
def checked_out(commit: str) -> Iterator[Path]:
    """The code of a commit in a folder of its own. Raises CalledProcessError where there is no such commit."""
    packed = subprocess.run(["git", "archive", commit], cwd=CHECKOUT, check=True, capture_output=True).stdout
    with tempfile.TemporaryDirectory() as folder:
        with tarfile.open(fileobj=BytesIO(packed)) as archive:
            archive.extractall(folder, filter="data")
        yield Path(folder)


@contextmanager
def opened(checkouts: Mapping[str, Path], loosest: bool = False) -> Iterator[dict[str, Ear]]:
    """The ears of these names, each with the code of its checkout."""
    with ExitStack() as stack:
        yield {name: stack.enter_context(_process(name, checkout, loosest)) for name, checkout in checkouts.items()}


@contextmanager
def _process(name: str, checkout: Path, loosest: bool) -> Iterator[Ear]:
    ours, theirs = Pipe()
    code = f"from parts.serving import serve; serve({theirs.fileno()}, {name!r})"
    with tempfile.TemporaryDirectory() as home:
        surroundings = {**os.environ, "PYTHONPATH": f"{checkout}{os.pathsep}{BENCH}", "HEDDLECALL_DATA": f"{home}/data"}
        child = subprocess.Popen([sys.executable, "-P", "-c", code], env=surroundings, pass_fds=[theirs.fileno()])
        theirs.close()
        try:
            if not Path(code_from := ours.recv()).is_relative_to(checkout):
                raise RuntimeError(f"the ear {name} would be heard with the code of {code_from}, not of {checkout}")
            yield Ear(ours, loosest)
        finally:
            ours.close()
            child.wait()
