"""Writing a threading in: joins keys, ear, mouth and a screen to a slip."""

import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing
from functools import partial
from queue import Empty, SimpleQueue

from assistant.clock import Clock
from assistant.errors import HeddlecallError, SequenceError
from assistant.meaning import Tell
from assistant.outfile import Outfile
from assistant.senses.devices import Device, Devices
from assistant.senses.ear import Heard
from assistant.senses.mouth import Mouth, perform
from assistant.senses.mouth.loudspeaker import Loudspeaker
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.portaudio import abandon, libraries_quiet, rescan
from assistant.senses.screen import LEAVE
from assistant.session.events import TURNS, Kind, Sound, Tone
from assistant.sitting.gear import Gear, listen, mouth_of, typing_keypad
from assistant.sitting.loop import LAST_WORDS_S, LOUDSPEAKER, TICK_S
from assistant.sitting.writing_screen import WritingLines, WritingScreen, writing_screen
from assistant.warp.heddles import heddles
from assistant.warp.model import Edge, Warp
from assistant.warp.sequence import loads
from assistant.warp.source import MOST_CHARACTERS, one_line
from assistant.words.language import Language
from assistant.writing.kept import KeptMoves, kept_for
from assistant.writing.moves import BY_NUMBER, BY_VOICE, HEARD, Move, MoveKind
from assistant.writing.rules import EDGES, NAMES, follow
from assistant.writing.sequence_file import sequence_file
from assistant.writing.slip import Asked, PaperSlip
from assistant.writing.telling import prompt, stands
from assistant.writing.typing import Typing, commands
from assistant.writing.view import WritingWords

MOST_TIMES_BY_VOICE = 99


def take_down(
    out: Outfile,
    language: Language,
    gear: Gear,
    *,
    shafts: int | None = None,
    start: Edge | None = None,
    fresh: bool = False,
) -> list[str]:
    """Take a threading down until it is done or left, and write its file once it is done; what to tell afterwards.

    Shafts and edge are asked for where they are not given, and nothing was written before. Raises
    WritingError where what is taken down cannot be kept, DeviceMissing where what was asked
    for is not there.
    """
    begin = [Move(MoveKind.ENTER, str(given)) for given in (shafts, shafts and start) if given]
    screen = writing_screen(gear.plain)
    with kept_for(out.path, fresh) as kept, libraries_quiet(), ExitStack() as senses:
        mouth, silent = mouth_of(gear, language)
        senses.enter_context(closing(mouth))
        devices = Devices(rescan, abandon, mouth.speaking)
        writing = Writing(out, kept, language, mouth, screen, devices)
        writing.notify(LOUDSPEAKER, silent)
        if isinstance(mouth, Speaker) and isinstance(mouth.desk, Loudspeaker):
            devices.watch(LOUDSPEAKER, mouth.desk)
        ear = listen(writing, mouth, gear, language.over_paper, senses)
        if isinstance(screen, WritingLines) and not ear:
            screen.nothing_typed = partial(writing.press, LEAVE, 0.0)
        if gear.pedal:
            typing_keypad(writing, writing.key, partial(writing.press, LEAVE, 0.0), senses)
        senses.enter_context(closing(devices))
        screen.run(lambda: writing.run(begin), writing.press)
        if writing.slip.done:
            kept.clear()
    return [*writing.summary()]


def taken_up(kept: KeptMoves, words: Callable[[str], str]) -> PaperSlip:
    """The slip that the kept moves come to."""
    slip = PaperSlip()
    for move in kept.moves:
        try:
            slip, _ = follow(slip, move, words)
        except SequenceError:  # it was read by an older version
            continue
    return slip


def expected(slip: PaperSlip) -> tuple[int, bool]:
    """Up to which number one may be said, 0 where none, and whether in rows."""
    shafts = len(slip.blocks) if slip.by_blocks else slip.shafts
    return {
        Asked.SHAFTS: (MOST_TIMES_BY_VOICE, False),
        Asked.EDGE: (len(EDGES), False),
        Asked.ROW: (shafts, True),
        Asked.TIMES: (MOST_TIMES_BY_VOICE, True),
        Asked.COLOURS: (len(slip.yarns) + 3, True),
        Asked.NAME: (len(NAMES), False),
        Asked.BLOCK: (slip.shafts, True),
        Asked.MORE: (len(BY_NUMBER), False),
        Asked.DONE: (shafts, True),
    }[slip.asked]


class Writing:
    """What is done comes in by `post` and `press` from any thread, what is told goes out in the thread of `run`."""

    def __init__(
        self, out: Outfile, kept: KeptMoves, language: Language, mouth: Mouth, screen: WritingScreen, devices: Devices
    ) -> None:
        self.clock = Clock()
        self._words = WritingWords(language)
        self.slip = taken_up(kept, self._words.text)
        self._out, self._kept, self._mouth, self._screen, self._devices = out, kept, mouth, screen, devices
        self._typing = Typing(commands(language))
        self._inbox: SimpleQueue[Callable[[], None]] = SimpleQueue()
        self._askers: list[Callable[[int, bool, bool], None]] = []
        self._tidies: list[Callable[[], None]] = []
        self._notices: dict[str, Tell | None] = {}
        self._to_say: dict[str, str] = {}
        self._told, self._answers, self._over = "", 0, False
        self._warp: Warp | None = None  # once it is done

    def watch(self, name: str, device: Device) -> None:
        """Look after a device from now on."""
        self._devices.watch(name, device)

    def ask(self, asker: Callable[[int, bool, bool], None]) -> None:
        """Let a sense know, from now on, up to which number one is asked for, and whether rows are read."""
        self._askers.append(asker)
        asker(*expected(self.slip), False)

    def tidy(self, too: Callable[[], None]) -> None:
        """Do this from now on when nobody waits for anything."""
        self._tidies.append(too)

    def notify(self, sense: str, notice: Tell | None) -> None:
        """A sense has something to tell the weaver; None takes it back."""
        self._inbox.put(lambda: self._note(sense, notice))

    def announce(self, sense: str, phrase: str) -> None:
        """Say a phrase of the language once the mouth has finished."""
        self._inbox.put(lambda: self._to_say.update({sense: phrase}))

    def press(self, key: str, ago: float) -> None:
        """A key, or where lines are typed a line."""
        self._inbox.put(lambda: self._typed(key, self._screen.lines and key != LEAVE))

    def key(self, name: str) -> None:
        """A key of a keypad of its own, also where lines are typed."""
        self._inbox.put(lambda: self._typed(name, False))

    def hear(self, heard: Heard) -> None:
        """Something was said."""
        self._inbox.put(lambda: self._said(heard))

    def run(self, begin: Sequence[Move]) -> None:
        """Until it is done, or left."""
        fresh = self.slip == PaperSlip()
        for move in begin if fresh else ():
            self._take(move)
        self._tell([prompt(self.slip)] if fresh else [Tell("taken up"), *stands(self.slip)])
        while not self._over:
            try:
                self._inbox.get(timeout=TICK_S)()
            except Empty:
                self._at_rest()
        self._let_finish()

    def summary(self) -> Iterator[str]:
        """What came of it, to be read once it is over."""
        if not self.slip.done:
            yield self._words.text("left")
            return
        yield from map(self._words.told, self._written())
        for phrase in ("file is written", "goes on"):
            yield self._words.text(phrase, file=self._out.path)

    def _written(self) -> Iterator[Tell]:
        """Ends, groups, shafts and heddles of what is done."""
        if (warp := self._warp) is None:
            return
        needed = heddles(warp.every_end())
        groups, shafts = Tell("so many groups", count=len(warp.groups)), Tell("so many shafts", count=len(needed))
        yield Tell("written", ends=Tell("ends", count=warp.ends), groups=groups, shafts=shafts)
        of_shafts = tuple(Tell("heddles of shaft", count=count, shaft=shaft) for shaft, count in needed.items())
        yield Tell("heddles", shafts=of_shafts)

    @property
    def _title(self) -> str:
        return one_line(self._out.path.stem)[:MOST_CHARACTERS]

    def _typed(self, key: str, whole: bool) -> None:
        typing = self._typing
        for move in typing.line(key, self._naming) if whole else typing.press(key, self._naming):
            if self._over or not self._take(move):
                typing.text = "" if whole or self._over else move.text  # to be put right
                break
        self._show()

    @property
    def _naming(self) -> bool:
        return self.slip.asked is Asked.NAME

    def _said(self, heard: Heard) -> None:
        numbers = " ".join(map(str, heard.row if heard.number is None else (heard.number,)))
        match heard.kind or "":
            case Kind.READ | Kind.NUMBER:
                self._take(Move(MoveKind.ENTER, numbers))
            case kind if numbers:
                self._take(Move(MoveKind.AGAIN, numbers))
            case kind if kind in TURNS:
                self._mouth.adjust(TURNS[Kind(kind)])
            case kind if kind in BY_VOICE:
                self._take(Move(BY_VOICE[kind], HEARD if kind == Kind.FINISHED else ""))
            case _:
                perform(self._mouth, [Sound(Tone.UNCLEAR)])

    def _take(self, move: Move) -> bool:
        """Do it, keep it, and then tell what came of it; whether it could be read."""
        try:
            after, told = follow(self.slip, move, self._words.text)
            if after.done:
                text = sequence_file(after, self._title).encode()
                self._warp = loads(text, self._title)
                self._out.write(text)
        except HeddlecallError as error:
            self._tell([*_what(error)], Tone.OFF, shown=error.tell)
            return False
        if after is not self.slip:
            self._kept.add(move)
        self.slip, self._over = after, after.done or move.kind is MoveKind.LEAVE
        for asker in self._askers:
            asker(*expected(after), False)
        self._tell([*(self._written() if after.done else told)])
        return True

    def _tell(self, tells: list[Tell], tone: Tone | None = None, shown: Tell | None = None) -> None:
        say = self._words.say(tells)
        self._told, self._answers = self._words.told(shown) if shown else say.text, self._answers + 1
        if tells:
            perform(self._mouth, [*([Sound(tone)] if tone else []), say])
        self._show()

    def _note(self, sense: str, notice: Tell | None) -> None:
        self._notices[sense] = notice
        self._show()

    def _at_rest(self) -> None:
        away = {f"no {name}" for name in self._devices.lost()}
        if away != {name for name in self._notices if name.startswith("no ")}:
            self._notices = {name: told for name, told in self._notices.items() if not name.startswith("no ")}
            self._notices |= {name: Tell(name) for name in away}
            self._show()
        if self._to_say and not self._mouth.speaking():
            perform(self._mouth, [self._words.say(map(Tell, self._to_say.values()))])
            self._to_say.clear()
        for tidy in self._tidies:
            tidy()

    def _show(self) -> None:
        view = self._words.view(self.slip, self._out.path.name, self._typing.shown, self._told, self._answers)
        notices = [*self._notices.values(), self._mouth.trouble]
        self._screen.show(view, "; ".join(self._words.told(notice) for notice in notices if notice))

    def _let_finish(self) -> None:
        end = time.monotonic() + LAST_WORDS_S
        while self._mouth.speaking() and time.monotonic() < end:
            time.sleep(0.05)


def _what(error: HeddlecallError) -> list[Tell]:
    """What is wrong and what to do, without the place, which is seen."""
    return [error.what, error.todo] if isinstance(error, SequenceError) else [error.tell]
