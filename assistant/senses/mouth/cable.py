"""A mouth whose samples are pulled by the caller, for rehearsals on a clock that is not the wall's."""

import numpy as np

from assistant.senses.mouth.player import BLOCK, SILENCE, Samples
from assistant.senses.mouth.speaker import Speaker


class Cable(Speaker):
    """An in-memory cable: what is pulled is what a loudspeaker would have played.

    No time passes at the far end while a phrase is rendered, so that what is heard does not depend on the machine.
    """

    def pull(self, frames: int) -> Samples:
        """The next block; waits for what is to be said to be rendered."""
        with self._turn:
            self._turn.wait_for(lambda: not self._waiting)
        return self._player.fill(frames)

    def rest(self) -> Samples:
        """All that is still to be heard."""
        blocks = [SILENCE]
        while self.speaking():
            blocks.append(self.pull(BLOCK))
        return np.concatenate(blocks)
