"""The weights of an alignment, from how the recogniser hears."""

from functools import lru_cache

import numpy as np

from assistant.session.readback.alignment import Floats, Weights
from assistant.session.readback.hearing import Hearing
from assistant.session.readback.threadings import ANY


def weights(heard: tuple[int, ...], hearing: Hearing) -> Weights:
    """The steps of an alignment with these numbers; one that is no shaft speaks for no shaft more than another."""
    known = [number if 1 <= number <= hearing.most else 0 for number in heard]
    spurious = np.full(len(heard), np.log(hearing.spurious / hearing.most))
    return Weights(_log_heard(hearing)[known], spurious, log_missed(hearing), float(np.log(hearing.turned)))


def log_missed(hearing: Hearing) -> float:
    """The weight of a number said and not heard."""
    return float(np.log(hearing.missed * (1 - hearing.spurious)))


@lru_cache(maxsize=4)
def _log_heard(hearing: Hearing) -> Floats:
    """[heard, said]; heard 0 is a number that is no shaft, said 0 is any shaft."""
    most = hearing.most
    table = np.full((most + 1, most + 1), 1 / most)
    table[1:, ANY + 1 :] = np.array(hearing.confusion).T
    return np.asarray(np.log(table * (1 - hearing.missed - hearing.turned) * (1 - hearing.spurious)))
