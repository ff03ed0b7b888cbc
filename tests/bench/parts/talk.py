"""What others say at the weaver's own level, in which nothing is to be heard: by the hour, taught and untaught."""

from collections.abc import Mapping

from parts.others import others
from parts.pupils import Teach
from parts.scoring import Rate, Results, gather
from parts.spoken import RATE
from parts.voices import COMMANDS, TO_MOST, lesson
from parts.wanted import LARGEST

PLAIN_S = 240.0  # of each kind, enough for the rate of a plain grammar


def measure(name: str, kind: str, ears: Mapping[str, Teach], hours: float, seed: int) -> Results:
    """A kind of talk around a weaver of this name, who taught the ear or did not."""
    results: Results = {}
    taught = lesson(name, COMMANDS + TO_MOST)
    pupils = [
        (ear, told, pupil)
        for ear, teach in ears.items()
        for told, learnt in (("taught", taught), ("untaught", {}))
        if (pupil := teach(learnt))
    ]
    for mode, sound in others(name, kind, hours, seed):
        for ear, told, pupil in pupils:
            row = f"false an hour, {told}, {mode}, {kind}"
            if ear != "grammar" or results.get((row, ear), Rate()).seconds < PLAIN_S:
                found = len(pupil.hears(sound, LARGEST[mode]))
                gather(results, ear, [(row, Rate(found, len(sound) / RATE))])
    return results
