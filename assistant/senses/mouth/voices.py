"""Voices, which of them is meant, and which are sensible for a language."""

from collections.abc import Sequence
from dataclasses import dataclass
from re import findall

from assistant.errors import VoiceMissing


@dataclass(frozen=True, slots=True)
class Voice:
    """A voice of an engine; the language in the form "en-us"."""

    id: str
    name: str
    language: str
    natural: bool = False

    @property
    def family(self) -> str:
        """The language without its region: "en"."""
        return self.language.partition("-")[0]

    @property
    def called(self) -> str:
        """What to choose it by: the shorter of id and name, since Windows has long ids."""
        return self.name if "\\" in self.id else self.id


def choose(voices: Sequence[Voice], wanted: str | None) -> Voice:
    """The voice with this id, else this name, else this language, else a language akin to it; the first for None."""
    if wanted is None and voices:
        return voices[0]
    asked = (wanted or "").casefold().replace("_", "-")
    family = asked.partition("-")[0]
    for fits in (
        lambda voice: (wanted or "").casefold() in (voice.id.casefold(), voice.name.casefold()),
        lambda voice: voice.language == asked,
        lambda voice: voice.language.startswith(asked + "-"),
        lambda voice: voice.family == family,
    ):
        for voice in voices:
            if fits(voice):
                return voice
    if not voices:
        raise VoiceMissing("no voice {wanted!r}; there are 0, among them: none at all", wanted=wanted)
    some = ", ".join(f"{voice.name} ({voice.language})" for voice in voices[:5])
    raise VoiceMissing(
        "no voice {wanted!r}; there are {count}, among them: {some}", wanted=wanted, count=len(voices), some=some
    )


GOOD = ("premium", "enhanced", "natural", "siri")  # in a name: what macOS and Windows call their better voices
# Words in the names of jokes among the voices of macOS, and of a voice of espeak-ng for another script: from memory.
ODD = frozenset(
    "albert news bahh bells boing bubbles cellos deranged fred hysterical jester junior organ ralph superstar trinoids"  # noqa: SIM905
    " whisper wobble zarvox shavian".split()
)


def sensible(voices: Sequence[Voice], language: str, usual: Voice | None) -> list[Voice]:
    """Those of a language such as "en-us": natural ones first, then the system's better ones, the usual one, others."""

    def rank(voice: Voice) -> int:
        name = voice.name.casefold()
        marks = (
            voice.natural,
            any(word in name for word in GOOD),
            voice == usual,
            ODD.isdisjoint(findall(r"\w+", name)),
        )
        return next((place for place, mark in enumerate(marks) if mark), len(marks))

    return sorted((voice for voice in voices if voice.family == language.partition("-")[0]), key=rank)
