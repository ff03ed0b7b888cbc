"""From the microphone to commands: words, or rows of numbers, said on their own, recognised by one of two engines.

- segmenter.py: a stream of samples -> words or rows said on their own
- engine.py: what recognises a word or a row; the words it listens for
- pocketsphinx_engine.py, vosk_engine.py: the two engines; models.py: which one, with which model
- listener.py: what microphone, sound files and a cable in memory share
- microphone.py: the device; hear.py: print what is heard
"""

from collections.abc import Callable
from typing import Protocol

from assistant.senses.ear.listener import Heard, Listener

__all__ = ["Ear", "Heard", "Listener"]


class Ear(Protocol):
    """What a sitting needs of an ear."""

    def start(self, on_heard: Callable[[Heard], None]) -> None:
        """Begin to listen; what is heard comes in a thread of the ear's own."""

    def expect(self, largest: int, row: bool = False) -> None:
        """Listen for numbers up to `largest` from now on, or for commands where it is 0.

        `row`: for numbers from 1 said one after the other, up to MOST_IN_ROW of them, or a command on its own.
        """

    def alive(self) -> bool:
        """Whether sound still arrives."""

    def reopen(self) -> None:
        """Open the device anew. Raises DeviceMissing while it is away."""

    def close(self) -> None:
        """Stop listening."""
