"""An ear at several thresholds: it hears once, at the loosest; what scores less than a threshold is not heard there."""

from collections.abc import Iterable, Mapping
from functools import partial
from hashlib import sha256

from parts.pupils import Lesson, Pupil, Teach
from parts.wanted import Heard, Samples

THRESHOLDS = (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95)


def at_thresholds(ears: Mapping[str, Teach]) -> dict[str, Teach]:
    """Each of the ears at each threshold, by "{ear} {threshold}".

    But for this: what only a looser one hears is no part of a room's noise for a stricter one.
    """
    return {f"{name} {least}": each for name, teach in ears.items() for least, each in _strict(teach)}


def _strict(teach: Teach) -> Iterable[tuple[float, Teach]]:
    loosest = _Remembering(teach)
    return [(least, partial(loosest.at, least)) for least in THRESHOLDS]


class _Remembering:
    def __init__(self, teach: Teach):
        self._teach = teach
        self._pupils: dict[str, Pupil | None] = {}
        self._heard: dict[str, list[Heard]] = {}

    def at(self, least: float, lesson: Lesson, language: str = "en") -> Pupil | None:
        """As Teach has it."""
        learnt = sha256(language.encode())
        for label, sounds in lesson.items():
            learnt.update(b"".join([label.encode(), *(sound.tobytes() for sound in sounds)]))
        key = learnt.hexdigest()
        if key not in self._pupils:
            self._pupils[key] = self._teach(lesson, language)
        pupil = self._pupils[key]
        return Pupil(partial(self._hear, key, least), pupil.turned_away) if pupil else None

    def _hear(self, key: str, least: float, sound: Samples, largest: int) -> list[Heard]:
        place = f"{key} {largest} {sha256(sound.tobytes()).hexdigest()}"
        if place not in self._heard:
            pupil = self._pupils[key]
            assert pupil is not None
            self._heard[place] = pupil.hears(sound, largest)
        return [each for each in self._heard[place] if each.score >= least]
