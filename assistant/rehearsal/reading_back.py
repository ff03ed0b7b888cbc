"""A simulated weaver reads a threading back aloud, sometimes misheard, and puts right what the helper finds."""

import random
from dataclasses import dataclass

from assistant.finder import choices
from assistant.loom.harness import Harness
from assistant.readback import NO_HEDDLE, AskAgain, Difference, Hearing
from assistant.rehearsal.at_the_loom import do
from assistant.rehearsal.slipping import Fate, Hands
from assistant.rehearsal.talk import Talk
from assistant.session.events import Kind, Origin, Sound, Tone
from assistant.session.modes import Calling, Closing, Off
from assistant.session.view import ModeName
from assistant.warp.notation import Ends

ENDS_IN_A_BREATH = 4  # ends read in one breath


@dataclass(frozen=True, slots=True)
class Muffled:
    """An ear that takes so many of the numbers for another, as the confusion table has them."""

    hearing: Hearing
    misheard: float  # from 0 to 1

    def hear(self, said: int, rng: random.Random) -> int:
        """What is heard of a number said."""
        if self.hearing.most == 1 or rng.random() >= self.misheard:
            return said
        others = [number for number in range(1, self.hearing.most + 1) if number != said]
        (heard,) = rng.choices(others, [self.hearing.confusion[said - 1][number - 1] for number in others])
        return heard


@dataclass(slots=True)
class ReadingBack:
    """A whole warp read back, group by group."""

    talk: Talk
    hands: Hands
    hanging: list[Harness]
    rng: random.Random
    ear: Muffled
    false_differences: int = 0  # ends named that are right
    asked_in_vain: int = 0  # ends that could not be made out by ear, and are right

    def run(self) -> None:
        """Read every group to its end, and set right what differs."""
        self.talk(Kind.SIT_DOWN)
        while self.talk.mode is not ModeName.COMPLETE:
            group = self.talk.group
            self._read(group, self.hanging[group])
            if self.hanging[group].right:
                self.hands.gone(group, Fate.READ)
        self.talk(Kind.NEXT)

    def _read(self, group: int, loom: Harness) -> None:
        """A few ends at a time; what is asked for again is read again, and with it a little more every time."""
        session = self.talk.report.session
        read = asked = times = 0
        while not self.talk.is_past(group):
            mode = session.place.mode
            if isinstance(mode, Off):
                self._set_right(loom, mode.difference)
                self.talk(Kind.BACK)
                read, asked, times = session.group.counted, 0, 0
                continue
            sure, ends = session.group.counted, _shafts(loom)
            start, stop = (sure, asked + min(times, ENDS_IN_A_BREATH)) if asked else (read, read + ENDS_IN_A_BREATH)
            read = stop if stop > asked > 0 else max(read, stop)
            again = self._in_no_heddle() if asked and ends[start:stop][:1] == ((),) else self._say(ends[start:stop])
            if session.reads and (start >= len(ends) or (again and stop > len(ends))):
                again = self._no_further_end(loom)
            times = times + 1 if again and asked and session.group.counted == sure else 0
            asked = self._asked if again else 0

    def _in_no_heddle(self) -> bool:
        """Asked for this very end one sees that it hangs loose, and types so; whether it is to be read again."""
        return Sound(Tone.UNCLEAR) in self.talk(Kind.NUMBER, NO_HEDDLE, by=Origin.KEY)

    def _say(self, ends: Ends) -> bool:
        """Read these ends out; whether some are to be read again. One that hangs loose is overlooked."""
        said = [shaft for end in ends for shaft in end]
        if not said:
            return False
        heard = tuple(self.ear.hear(shaft, self.rng) for shaft in said)
        for one, other in zip(said, heard, strict=True):
            self.talk.report.note_heard((Kind.NUMBER, one), (Kind.NUMBER, other))
        return Sound(Tone.UNCLEAR) in self.talk(Kind.READ, row=heard)

    def _no_further_end(self, loom: Harness) -> bool:
        """All are read: tell so, or that they do not lie as they should; whether some are to be read again."""
        differs = self.talk.mode is ModeName.CLOSING and any(loom.lying_wrong())
        return Sound(Tone.UNCLEAR) in self.talk(Kind.FIND if differs else Kind.NEXT)

    def _set_right(self, loom: Harness, named: Difference | AskAgain | None) -> None:
        """Look at the ends named, and set right what is on wrong shafts; where none is, what lies wrong."""
        expected, on = tuple(due.shafts for due in loom.draft), _shafts(loom)
        if named is None:
            wrong = [at for at, otherwise in enumerate(loom.lying_wrong(), 1) if otherwise]
            loom.take_out(wrong[0], wrong[-1] - wrong[0] + 1)
            loom.thread(wrong[0], range(wrong[0], wrong[-1] + 1))
        elif any(on[end - 1 : end] != expected[end - 1 : end] for end in _looked_at(named)):
            do(loom, choices(expected, on, 0, [due.yarn for due in loom.draft])[0])
        elif isinstance(named, AskAgain):
            self.asked_in_vain += 1
        else:
            self.false_differences += 1
        loom.in_hand.clear()

    @property
    def _asked(self) -> int:
        """The last end asked for again."""
        mode = self.talk.report.session.place.mode
        return mode.reading.asked if isinstance(mode, Calling | Closing) and mode.reading else 0


def _shafts(loom: Harness) -> Ends:
    return tuple(hung.shafts for hung in loom.hanging)


def _looked_at(named: Difference | AskAgain) -> range:
    return range(named.first, named.last + 1) if isinstance(named, AskAgain) else range(named.end, named.end + 1)
