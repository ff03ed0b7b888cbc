"""An engine learns by corrections in a sitting, and what it learns is kept beside the weaver's lesson."""

from collections.abc import Callable
from queue import Empty, SimpleQueue

from assistant.errors import HeddlecallError
from assistant.meaning import Tell
from assistant.senses.ear.believed import Correction, believed
from assistant.senses.ear.judging import Example
from assistant.senses.ear.neural_engine import NeuralEngine
from assistant.senses.ear.taught import Taught, alone_with, keep, load_taught


class Believer:
    """Takes corrections as they happen, and learns by them when asked to.

    Only of words that the weaver taught: one that is heard as anyone's would be heard worse by a single example.
    """

    def __init__(self, engine: NeuralEngine, taught: Taught, warn: Callable[[Tell], None]):
        """`taught`: what the engine hears by so far; `warn` is told, once, why nothing more can be kept."""
        self._engine, self._taught, self._warn = engine, taught, warn
        self._corrections: SimpleQueue[Correction] = SimpleQueue()
        self._warned = False

    def take(self, correction: Correction) -> None:
        """Something was not understood, and said again; from any thread, at once."""
        self._corrections.put(correction)

    def learn(self) -> None:
        """By all that was taken; the disk is waited for, and so nobody should be waiting for anything."""
        while True:
            try:
                example = self._example(self._corrections.get_nowait())
            except Empty:
                return
            if example:
                self._taught = self._taught.believing(example)
                self._engine.learn(self._taught)
                self._keep(example)

    def _example(self, correction: Correction) -> Example | None:
        if correction.word not in self._taught.words():
            return None
        weigh, largest = self._engine.weigh, correction.largest
        return believed(weigh(correction.unheard, largest), weigh(correction.accepted, largest), correction.word)

    def _keep(self, example: Example) -> None:
        """Beside what lies in the file now; where that was forgotten meanwhile, it stays so."""
        weaver, space = self._taught.weaver, self._engine.space
        try:
            with alone_with(weaver):
                keep(load_taught(weaver, space).believing(example), space)
        except HeddlecallError as error:
            if not self._warned:
                self._warn(error.tell)
            self._warned = True
