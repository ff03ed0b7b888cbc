"""Joins the senses to a session. Nothing else knows both; nothing here knows weaving."""

import time
from collections.abc import Callable, Iterable
from queue import Empty, SimpleQueue
from threading import Lock

from assistant.clock import Clock
from assistant.errors import HeddlecallError
from assistant.logfile import impersonal, logger
from assistant.meaning import Tell
from assistant.readback import Alike
from assistant.senses.devices import Device, Devices
from assistant.senses.ear import Heard
from assistant.senses.mouth import Mouth, perform
from assistant.senses.pedal import BOUNCE_S
from assistant.senses.pedal.bounce import Bounces
from assistant.senses.screen import Screen
from assistant.session.events import Adjust, Effect, Event, Kind, Knob, Origin, Stop
from assistant.session.machine import Session
from assistant.session.view import Status
from assistant.words.speech import Part, Say
from assistant.words.wording import Wording

PACED_TICK_S = 0.05
FASTER = 0.85  # of the time, for a notch
TICK_S = 0.5  # between looks after the devices
LAST_WORDS_S = 8.0  # at most to let the mouth finish when leaving
MICROPHONE, LOUDSPEAKER = "microphone", "loudspeaker"
_log = logger(__name__)


class Loop:
    """One sitting: events come in by `post` from any thread, effects go out in the thread of `run`."""

    def __init__(
        self,
        session: Session,
        words: Wording,
        keep: Callable[[Event], None],
        mouth: Mouth,
        screen: Screen,
        devices: Devices | None = None,
        clock: Clock | None = None,
        tidy: Callable[[], None] = lambda: None,
        bounce: float = BOUNCE_S,
    ):
        """`keep` makes an event durable before it returns; `tidy` is called when nobody waits for anything.

        For `bounce` seconds after a touch, key or press of a pedal the same one is not counted again.
        """
        self.clock = clock or Clock()  # by which everything that happens is dated
        self._session, self._words = session, words
        self._keep, self._tidies, self._mouth, self._screen = keep, [tidy], mouth, screen
        self._devices = devices or Devices()
        self._lost: frozenset[str] = frozenset()
        self._by_page: frozenset[str] = frozenset()  # for which of the devices a page stands in
        self._trouble: Tell | None = None  # of the mouth, as it is shown
        self._to_say: dict[str, str] = {}  # what of the devices is to be said, a phrase for each
        self._askers: list[Callable[[int, bool, bool], None]] = []
        self._notices: dict[str, Tell | None] = {}
        self._heard: str | Event = ""
        self._inbox: SimpleQueue[Callable[[], None]] = SimpleQueue()
        self._bounces, self._pressing = Bounces(bounce), Lock()
        self._stopped = self._alone = False
        self._pace = session.job.pace
        self._taken = 0.0  # when the last event was

    def watch(self, name: str, device: Device) -> None:
        """Look after a device from now on."""
        self._devices.watch(name, device)

    def ask(self, asker: Callable[[int, bool, bool], None]) -> None:
        """Let a sense know, from now on, up to which number one is asked for (0: none), and whether rows are read.

        And whether what is called at a steady pace is being checked.
        """
        self._askers.append(asker)
        asker(self._session.largest_number, self._session.reads, self._session.moves_on)

    def tidy(self, too: Callable[[], None]) -> None:
        """Do this, too, from now on, when nobody waits for anything."""
        self._tidies.append(too)

    def keep_pace(self, seconds: float) -> None:
        """Where the clock moves the session on: so long for every unit called, from call to call."""
        self._pace = seconds

    def post(self, event: Event, heard: str = "") -> None:
        """Something happened at the loom; `heard` is the word it came by, "" where it came by none."""
        self._inbox.put(lambda: self._take(event, heard or event))

    def hear(self, heard: Heard) -> None:
        """Something was said at the loom, or what was not understood."""
        kind = Kind(heard.kind) if heard.kind else Kind.UNCLEAR
        self.post(Event(kind, self.clock.now(), heard.number, Origin.VOICE, heard.row), heard.word)

    def press(self, event: Event) -> None:
        """A key or a pedal was pressed; of a bounce nothing comes."""
        with self._pressing:
            rows = self._session.reads
            if self._bounces.is_one(event, False, rows):
                return
            self._bounces.count(event, False, rows)
        self.post(event)

    def bounced(self, event: Event, finger: bool) -> bool:
        """Whether what was done on a page, by a finger or a key there, is a bounce."""
        with self._pressing:
            return self._bounces.is_one(event, finger, self._session.reads)

    def answer(self, step: int, event: Event, finger: bool, refused: Callable[[], None]) -> None:
        """Something was done in answer to this step of the session; where it has gone on since, `refused` is called."""
        with self._pressing:
            self._bounces.count(event, finger, self._session.reads)
        self._inbox.put(lambda: self._take(event, event) if step == self._session.step else refused())

    def stand_in(self, name: str, page: bool) -> None:
        """A page stands in for a device from now on, or no longer. From any thread."""
        self._inbox.put(lambda: self._stand_in(name, page))

    def notify(self, sense: str, notice: Tell | None) -> None:
        """A sense has something to tell the weaver; None takes it back."""
        self._inbox.put(lambda: self._note(sense, notice))

    def announce(self, sense: str, phrase: str) -> None:
        """Say a phrase of the language once the mouth has finished, unless the sense announces another before."""
        self._inbox.put(lambda: self._to_say.update({sense: phrase}))

    def leave_at_rest(self) -> None:
        """Nobody can answer any more: leave as soon as the session waits for one who does. From any thread."""
        self._alone = True

    def tell_at_once(self, told: Tell) -> None:
        """Say and show it; for what is called from within the loop, such as the journal."""
        self._notices["journal"] = told
        self._mouth.utter([Say((self._words.part(told),))])
        self._show()

    def run(
        self,
        size: int | None = None,
        alike: Alike | None = None,
        known: Iterable[tuple[Kind, int]] = (),
        weaver: str = "",
    ) -> None:
        """A weaver sits down, with calls of this size and numbers that sound alike, and goes on until she leaves.

        What is `known` before is kept first, and not told of. Raises HeddlecallError where the journal cannot be kept.
        """
        try:
            for kind, number in known:
                self._happened(Event(kind, self.clock.now(), number, Origin.CLOCK))
            self._take(Event(Kind.SIT_DOWN, self.clock.now(), size, Origin.CLOCK, text=weaver, alike=alike), "")
            while not self._stopped:
                self._wait()
        except HeddlecallError as error:
            self._last_words(self._words.text(error.tell))
            raise
        except Exception:
            self._last_words(self._words.text(Tell("went wrong")))
            raise

    def _wait(self) -> None:
        act = self._next()
        self._mind_the_clock()
        if act:
            act()
        self._look_after()
        if self._session.moves_on and not self._stopped and not self._mouth.speaking():
            self._move_on()
        if self._alone and not (self._session.moves_on or self._stopped):
            self._take(Event(Kind.LEAVE, self.clock.now(), source=Origin.CLOCK), "")

    def _next(self) -> Callable[[], None] | None:
        """What is to be done next; None where there is nothing for a while."""
        try:
            return self._inbox.get(timeout=PACED_TICK_S if self._session.moves_on else TICK_S)
        except Empty:
            return None

    def _mind_the_clock(self) -> None:
        """Keep what became of the wall clock and of the machine, which moves nothing and is not told of."""
        for kind, seconds in ((Kind.CLOCK_SET, self.clock.was_set()), (Kind.SLEPT, self.clock.slept())):
            if seconds:
                self._happened(Event(kind, self.clock.now(), round(seconds), Origin.CLOCK))

    def _move_on(self) -> None:
        """On when it is time, at a steady pace."""
        if self.clock.now() - self._taken >= self._pace * self._session.view().calling:
            self._take(Event(Kind.NEXT, self.clock.now(), source=Origin.CLOCK), "")

    def _take(self, event: Event, heard: str | Event) -> None:
        effects = self._happened(event)
        self._heard = heard
        for ask in self._askers:
            ask(self._session.largest_number, self._session.reads, self._session.moves_on)
        self._carry_out(effects)
        self._taken = self.clock.now()
        for tidy in self._tidies:
            tidy()

    def _happened(self, event: Event) -> list[Effect]:
        kept = self._session.found_by(event)
        began = time.monotonic()
        self._keep(kept)
        _log.debug("kept in %.1f ms", 1000 * (time.monotonic() - began))
        effects = self._session.handle(kept)
        what = f"{event.kind}" if event.number is None else f"{event.kind} {event.number}"
        _log.info("%s by %s: %s, %d done", what, event.by, self._session.mode, self._session.done)
        return effects

    def _carry_out(self, effects: list[Effect]) -> None:
        perform(self._mouth, self._words.spoken(effects))
        for effect in effects:
            if isinstance(effect, Adjust) and effect.what is Knob.SPEED:
                self._pace *= FASTER**effect.notches
        self._show()
        if any(isinstance(effect, Stop) for effect in effects):
            self._let_finish()
            self._stopped = True

    def _note(self, sense: str, notice: Tell | None) -> None:
        self._notices[sense] = notice
        _log.info("%s: %s", sense, impersonal(notice) if notice else "well")
        self._show()

    def _stand_in(self, name: str, page: bool) -> None:
        self._by_page = self._by_page | {name} if page else self._by_page - {name}
        self._show()

    def _look_after(self) -> None:
        """Show and say what has become of the devices and the voice; never waits for one."""
        before, self._lost = self._lost, self._devices.lost()
        if self._mouth.trouble != self._trouble:
            self._show()
        if self._lost != before:
            _log.warning("lost: %s; came back: %s", sorted(self._lost - before), sorted(before - self._lost))
            self._to_say |= {name: f"{name} {'gone' if name in self._lost else 'back'}" for name in self._lost ^ before}
            self._show()
        away = LOUDSPEAKER in self._lost - self._by_page
        if self._to_say and not (self._stopped or away or self._mouth.speaking()):
            self._mouth.utter([Say((self._words.part(Tell(phrase)),)) for phrase in self._to_say.values()])
            self._to_say.clear()

    def _last_words(self, text: str) -> None:
        self._mouth.utter([Say((Part(text),))])
        self._let_finish()

    def _let_finish(self) -> None:
        end = time.monotonic() + LAST_WORDS_S
        while self._mouth.speaking() and time.monotonic() < end:
            time.sleep(0.05)

    def _show(self) -> None:
        self._trouble = self._mouth.trouble
        away = (Tell(f"no {name}") for name in sorted(self._lost))
        notices = tuple(notice for notice in (*self._notices.values(), self._trouble, *away) if notice)
        senses = (MICROPHONE, LOUDSPEAKER)
        hears, speaks = (name in (self._devices.names - self._lost) | self._by_page for name in senses)
        by_page = (name in self._by_page for name in senses)
        self._screen.show(self._session.view(), Status(hears, speaks, self._heard, notices, *by_page))
