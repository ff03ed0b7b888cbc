"""Speech and tones: text -> clips, rendered once and kept -> one open stream that can be cut off at any block.

- voices.py: which voice is meant, and which are sensible for a language; natural.py: which natural ones are here
- voicebox.py: the voice engines, each run in a process of its own (render.py, render_natural.py)
- loudness.py: sounds as loud as each other
- clips.py: tones, clips of rendered phrases, and how they make one call with an even beat
- player.py: the samples still to be played, handed out block by block
- speaker.py: what every mouth with a voice does, and the mouth of a rehearsal
- loudspeaker.py: the mouth of a sitting, and `heddlecall speak`
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:  # the command line needs no more of this than the limits, and does not wait for the rest
    from collections.abc import Iterable, Sequence

    from assistant.meaning import Tell
    from assistant.session.events import Adjust, Sound
    from assistant.words.speech import Part, Say
    from assistant.words.wording import Performed

SPEED, SLOWEST, FASTEST = 175, 100, 320  # words a minute: the usual one, and the limits
VOLUME, SOFTEST, LOUDEST = -6, -30, 0  # dB, in the same order


class Mouth(Protocol):
    """What the loop needs of a mouth. No call waits for rendering or playing."""

    @property
    def trouble(self) -> Tell | None:
        """Why there is something that cannot be said; None once it was, or where there is nothing."""

    def utter(self, sounds: Sequence[Say | Sound]) -> None:
        """Cut off whatever is being said and say these, in order."""

    def adjust(self, adjust: Adjust) -> None:
        """Turn the volume or the speed up or down."""

    def prepare(self, parts: Iterable[Part]) -> None:
        """Render these ahead; every part on the beat should be named here, for they set the beat."""

    def speaking(self) -> bool:
        """Whether anything is still to be heard."""

    def close(self) -> None:
        """Fall silent for good."""


class SilentMouth:
    """A mouth where there is no loudspeaker or no voice."""

    trouble: Tell | None = None

    def utter(self, sounds: Sequence[Say | Sound]) -> None:
        """Say nothing."""

    def adjust(self, adjust: Adjust) -> None:
        """Change nothing."""

    def prepare(self, parts: Iterable[Part]) -> None:
        """Render nothing."""

    def speaking(self) -> bool:
        """Never."""
        return False

    def close(self) -> None:
        """Nothing is open."""


def perform(mouth: Mouth, effects: Iterable[Performed]) -> None:
    """Turn the mouth as the effects ask, then let it say and sound what they hold."""
    from assistant.session.events import Adjust, Sound
    from assistant.words.speech import Say

    effects = list(effects)
    for effect in effects:
        if isinstance(effect, Adjust):
            mouth.adjust(effect)
    if sounds := [effect for effect in effects if isinstance(effect, Say | Sound)]:
        mouth.utter(sounds)
