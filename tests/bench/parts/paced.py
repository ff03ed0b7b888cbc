"""A mouth without a sound device: what it says is asked for block by block, when a device would ask."""

import threading
import time
from pathlib import Path

from assistant.senses.mouth.player import BLOCK, FADE_S, MOUTH_RATE, Player, Samples
from assistant.senses.mouth.speaker import Speaker

BLOCK_S = BLOCK / MOUTH_RATE
FADE = round(FADE_S * MOUTH_RATE)  # samples


class Paced(Speaker):
    """A mouth whose blocks are asked for at the pace of a sound device."""

    def __init__(self, folder: Path):
        self._player = Player()
        super().__init__(self._player, "en-us", folder=folder)
        self.taken: list[tuple[float, Samples]] = []  # when, what
        threading.Thread(target=self._device, daemon=True).start()

    def _device(self) -> None:
        due = time.perf_counter()
        while True:
            due += BLOCK_S
            time.sleep(max(0.0, due - time.perf_counter()))
            block = self._player.fill(BLOCK)
            self.taken.append((time.perf_counter(), block))
