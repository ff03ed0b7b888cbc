"""A simulated weaver reads a threading back aloud, sometimes misheard, and puts right what the helper finds."""

from dataclasses import dataclass

import numpy as np

from assistant.readback import AskAgain, Difference, Hearing
from assistant.rehearsal.odds import Threaded
from assistant.rehearsal.talk import Talk
from assistant.session.events import Kind, Sound, Tone
from assistant.session.modes import Calling, Closing, Off
from assistant.session.view import ModeName
from assistant.warp.notation import Ends

ENDS_IN_A_BREATH = 4  # ends read in one breath


@dataclass(frozen=True, slots=True)
class Muffled:
    """An ear that takes so many of the numbers for another, as the confusion table has them."""

    hearing: Hearing
    misheard: float  # from 0 to 1

    def hear(self, said: int, rng: np.random.Generator) -> int:
        """What is heard of a number said."""
        if self.hearing.most == 1 or rng.random() >= self.misheard:
            return said
        chances = np.array(self.hearing.confusion[said - 1])
        chances[said - 1] = 0
        return int(rng.choice(self.hearing.most, p=chances / chances.sum())) + 1


@dataclass(slots=True)
class ReadingBack:
    """A whole warp read back, group by group."""

    talk: Talk
    lying: list[Threaded]
    rng: np.random.Generator
    ear: Muffled
    false_differences: int = 0  # ends named that are right
    asked_in_vain: int = 0  # ends that could not be made out by ear

    def run(self) -> list[Threaded]:
        """Read every group to its end; how each lies then."""
        session = self.talk.report.session
        numbers = {line.name: number for number, line in enumerate(session.summary())}
        self.talk(Kind.SIT_DOWN)
        while self.talk.mode is not ModeName.COMPLETE:
            name = session.group.name
            self.lying[numbers[name]] = self._read(name, self.lying[numbers[name]])
        self.talk(Kind.NEXT)
        return self.lying

    def _read(self, name: str, now: Threaded) -> Threaded:
        """A few ends at a time; what is asked for again is read again, and with it a little more every time."""
        session = self.talk.report.session
        read = asked = times = 0
        while self.talk.mode is not ModeName.COMPLETE and session.group.name == name:
            mode = session.place.mode
            if isinstance(mode, Off) and mode.difference:
                now = self._look(now, mode.difference)
                self.talk(Kind.BACK)
                read, asked, times = session.group.counted, 0, 0
                continue
            sure = session.group.counted
            start, stop = (sure, asked + min(times, ENDS_IN_A_BREATH)) if asked else (read, read + ENDS_IN_A_BREATH)
            read = stop if stop > asked > 0 else max(read, stop)
            again = self._say(now.loom[start:stop])
            if session.reads and (start >= len(now.loom) or (again and stop > len(now.loom))):
                again = Sound(Tone.UNCLEAR) in self.talk(Kind.NEXT)
            times = times + 1 if again and asked and session.group.counted == sure else 0
            asked = self._asked if again else 0
        return now

    def _say(self, ends: Ends) -> bool:
        """Read these ends out; whether some are to be read again."""
        said = [shaft for end in ends for shaft in end]
        if not said:
            return False
        heard = tuple(self.ear.hear(shaft, self.rng) for shaft in said)
        for one, other in zip(said, heard, strict=True):
            self.talk.report.note_heard((Kind.NUMBER, one), (Kind.NUMBER, other))
        return Sound(Tone.UNCLEAR) in self.talk(Kind.READ, row=heard)

    def _look(self, now: Threaded, named: Difference | AskAgain) -> Threaded:
        """Look at the ends named, and put right the first that is wrong."""
        if isinstance(named, AskAgain):
            self.asked_in_vain += 1
            ends = range(named.first, named.last + 1)
        else:
            ends = range(named.end, named.end + 1)
        wrong = next((end for end in ends if now.loom[end - 1 : end] != now.expected[end - 1 : end]), None)
        if wrong:
            return now.put_right(wrong)
        self.false_differences += not isinstance(named, AskAgain)
        return now

    @property
    def _asked(self) -> int:
        """The last end asked for again."""
        mode = self.talk.report.session.place.mode
        return mode.reading.asked if isinstance(mode, Calling | Closing) and mode.reading else 0
