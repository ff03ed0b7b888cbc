"""Learning a pedal: each switch is pressed once, from left to right; quiet ends the lesson. Pure."""

from assistant.errors import DeviceMissing
from assistant.senses.pedal.gestures import Role

ASK = "Press each switch of the pedal once, from left to right, then wait three seconds."
QUIET = 3.0  # seconds
PATIENCE = 60.0  # seconds to wait for the first press

ROLES = {
    1: [Role.ONE],
    2: [Role.REPEAT, Role.ONE],  # the right one alone can say everything; the left one adds what is quicker
    3: [Role.BACK, Role.REPEAT, Role.NEXT],
}


class Lesson:
    """Which keys were pressed, in order. What another device sends than the first that sent anything is ignored."""

    def __init__(self, began: float) -> None:
        self.device = ""
        self.keys: list[str] = []
        self._ends = began + PATIENCE

    def press(self, key: str, at: float, device: str = "") -> bool:
        """A key was pressed; True where it is a switch not seen before."""
        if not self.keys:
            self.device = device
        if device != self.device:
            return False
        self._ends = at + QUIET
        new = key not in self.keys
        if new:
            self.keys.append(key)
        return new

    def over(self, now: float) -> bool:
        """Whether enough quiet has passed."""
        return now >= self._ends

    def switches(self) -> dict[str, Role]:
        """What each key is for. Raises DeviceMissing where the presses do not make a pedal."""
        if not self.keys:
            raise DeviceMissing("no switch was pressed, nothing is changed; plug the pedal in and try again")
        if len(self.keys) not in ROLES:
            raise DeviceMissing(f"{len(self.keys)} switches are too many, nothing is changed; press at most three")
        return dict(zip(self.keys, ROLES[len(self.keys)], strict=True))
