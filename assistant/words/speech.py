"""What is spoken, in words of a language: what a voice gets to render. Imports nothing of ours."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of speech rendered as one clip; parts on the beat start at even distances from each other."""

    text: str
    beat: bool = False


@dataclass(frozen=True, slots=True)
class Say:
    """Speak these parts one after the other."""

    parts: tuple[Part, ...]

    @property
    def text(self) -> str:
        """What is said, as one line: a comma after each beat, a space after the rest."""
        words = ""
        for before, part in zip((None, *self.parts), self.parts, strict=False):
            joint = ", " if before and before.beat else " "
            words += (joint if before else "") + part.text
        return words


@dataclass(frozen=True, slots=True)
class Lettering:
    """What is to be read across the room, and the small text under it."""

    text: str
    caption: str = ""
