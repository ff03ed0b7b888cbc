"""A finished threading read back aloud: the shafts heard against the shafts expected. Pure: values in, values out.

hearing     how a recogniser hears spoken numbers, as probabilities; a number that was typed is one of its own
alignment   numbers said laid against numbers heard
threadings  the ways in which a group may read, and how far each is to be believed
reading     what is known after an utterance: good so far, read that again, or a difference

reading = Reading(expected, shafts, hearing)
reading, judgement = reading.hear(numbers)
"""

from assistant.readback.hearing import ALIKE_UNLESS_TOLD, NO_HEDDLE, Alike, Hearing, TypedShaft, assumed
from assistant.readback.reading import AskAgain, Difference, Good, Judgement, Reading, Why

__all__ = [
    "ALIKE_UNLESS_TOLD",
    "NO_HEDDLE",
    "Alike",
    "AskAgain",
    "Difference",
    "Good",
    "Hearing",
    "Judgement",
    "Reading",
    "TypedShaft",
    "Why",
    "assumed",
]
