"""A View and a Status -> the words and figures that screens show, in the weaver's language. Pure."""

from collections.abc import Collection, Iterator, Sequence
from functools import cache, reduce

from assistant.meaning import Tell, runs
from assistant.session.events import TURNS, Event, Kind
from assistant.session.view import ALARM, UNCLOSED, GroupLine, GroupState, ModeName, Status, View, state_name
from assistant.words.columns import columns, padded
from assistant.words.glossary import Entry, Glossary
from assistant.words.keypad import MEANINGS, keys_for, one_by_one
from assistant.words.language import Language
from assistant.words.phrases import Phrases
from assistant.words.speech import Lettering
from assistant.words.wording import Wording

WIDEST_NAME = 40  # columns
_NAMED = (
    GroupState.OFF,
    GroupState.SETTLED,
    GroupState.BEFORE,
    GroupState.EVEN,
)  # states of a closed group, the one to look at first
_ASKED_AFAR = (
    *(ModeName.CLOSING, ModeName.WHICH, ModeName.COUNTING, ModeName.LAST_CALL, ModeName.HEDDLES),
    *(ModeName.PASSING, ModeName.GOING, ModeName.FOUND, ModeName.SURE, ModeName.PAUSED),
)
_CALLING = (ModeName.CALLING, ModeName.THERE)
_CHANGING_NOTHING = (*TURNS, Kind.NOTE, Kind.UNCLEAR, Kind.LEAVE)
_HOLDING_FIGURES = (
    *(ModeName.CALLING, ModeName.CLOSING, ModeName.THERE),
    *(ModeName.HEDDLES, ModeName.ASKING, ModeName.FOUND),
)


class ScreenWords:
    """Everything that screens show, worded in one language."""

    def __init__(self, language: Language) -> None:
        self.code = language.code
        self.told = cache(lambda job: Wording(language, job))  # what puts a job's own phrases into words
        self.glossary = Glossary(language)
        self.text = Phrases.read(language, "screen").text
        self.tell = Phrases.read(language, "phrases", "errors").told  # what is told, from outside the session too
        self.state_word = Phrases.read(language, "states").text  # of a state as `state_name` names it

    def from_afar(self, view: View) -> list[Lettering]:
        """What is to be read across the room: the call, or a word or two."""
        if view.figures and view.mode in _HOLDING_FIGURES:
            return list(map(self.told(view.job).figure, view.figures))
        if view.mode in ALARM:
            told = self.difference(view, view) if view.mode is ModeName.OFF else ""
            off = told.upper() or self.text("afar off")
            return [Lettering(word) for word in off.split()]
        return [Lettering(word) for word in self.text(f"afar {view.mode}").split()] if view.mode in _ASKED_AFAR else []

    def call(self, view: View) -> str:
        """What is called, as it is read; "" where no call is out."""
        return self.told(view.job).line(view.called)

    def place_of_call(self, view: View) -> str:
        """Which units of the group are called, and of how many: "9 to 12 of 28"; "" where none are."""
        if not view.calling:
            return ""
        first, last = view.before + 1, view.before + view.calling
        return self.text("place of call", count=view.calling, first=first, last=last, expected=view.expected)

    def said(self, view: View) -> str:
        """One sentence for a screen reader: which units of which group are called and how, or what is asked."""
        if view.mode not in _CALLING or not view.called or view.again or view.refused:
            return self.asked(view)
        if view.taken:
            return self.taken(view)
        called = self.call(view).rstrip(".")
        where = self.place_of_call(view)
        return self.text("said", group=view.group, **self._units(view), count=view.calling, place=where, called=called)

    def became(self, view: View, status: Status) -> str:
        """What became of the last event, in one sentence; of one that changes nothing, what it was."""
        kind = self.kind(status.heard)
        if kind is Kind.HELP:
            return self.hints(view)
        if kind in _CHANGING_NOTHING:
            return self.heard(status)
        said = self.said(view)
        if kind is not Kind.WHERE:
            return said
        return "; ".join(filter(None, (said, f"{self.text('warp')} {self.warp_count(view)}", self.time_left(view))))

    def alarms(self, view: View, status: Status) -> bool:
        """Whether that is a count that is off, which a screen reader says at once."""
        return view.mode in ALARM and self.kind(status.heard) not in _CHANGING_NOTHING

    def following(self, view: View) -> str:
        """The call after this one; "" where none is known, or where the weaver reads on without one."""
        if view.reads:
            return ""
        opens = f"{view.following_group}: " if view.following_group else ""
        line = self.told(view.job).line(view.following)
        return self.text("then", following=opens + line) if line else ""

    def taken(self, view: View) -> str:
        """What was read back last."""
        return self.told(view.job).text(*view.taken)

    def aside(self, view: View) -> str:
        """What of the call no figure shows."""
        return self.told(view.job).text(*(item.tell for item in view.called if item.aside))

    def asked(self, view: View) -> str:
        """What the helper waits for, or what went wrong; that a count is off, or a number cannot be, first."""
        prompt = self.told(view.job).text(*view.prompt)
        if view.refused:
            prompt = f"{self.numbers(view)} {prompt}"
        return self.text("count off", prompt=prompt) if view.mode in ALARM else prompt

    def hints(self, view: View) -> str:
        """All that can be said or pressed now, in a line, the likeliest first."""
        told = []
        for label, said, pressed in self.ways(view):
            ways = [*([said] if said and said.lower() != label.lower() else []), *pressed]
            told.append(self.text("hint", label=label, ways=", ".join(ways)))
        return self.text("hints", hints=", ".join(told))

    def ways(self, view: View) -> Iterator[tuple[str, str, tuple[str, ...]]]:
        """Of each its label, the word that says it or "", and the keys: of a keypad, and of a keyboard."""
        for hint in view.hints:
            entry, label = self.glossary.entry(hint.kind), self.glossary.label(hint.label)
            if hint.kind is Kind.NUMBER:
                yield label, "", (f"{min(view.answers)}–{max(view.answers)}",)
            else:
                keys = self._pressed(keys_for(hint.kind)[0]), *self._of_keyboard(entry)
                yield label, "".join(entry.spoken[:1]), keys

    def _pressed(self, keys: str) -> str:
        """Keys of a keypad, as they are written on it."""
        *shifts, last = one_by_one(keys)
        return "".join((*shifts, last if len(last) == 1 else self.tell(Tell(f"key {last}"))))

    def _of_keyboard(self, entry: Entry) -> tuple[str, ...]:
        return tuple(self.text(key) if key == "space" else key for key in entry.keys[:1] if key not in MEANINGS)

    def numbers(self, view: View) -> str:
        """Which numbers may answer."""
        if not view.answers:
            return self.tell(Tell("no number"))
        return self.tell(Tell("numbers", least=min(view.answers), largest=max(view.answers)))

    def difference(self, view: View, group: View | GroupLine) -> str:
        """How far a count is off: "2 short", "1 over", "" where it is not; or after which end the threading differs."""
        if view.compares and group.counted == group.expected and not group.over:
            return self.text("lies otherwise")
        if view.compares:
            return self.text("differs", count=group.counted, **self._units(view))
        if isinstance(group, GroupLine) and group.dents:
            return self.text("dents over" if group.dents > 0 else "dents short", count=abs(group.dents))
        if group.over:
            return self.text(f"over{_in_ends(group)}", count=group.over)
        if group.lacking:
            return self.text("short in ends", count=group.lacking)
        missing = group.expected - group.counted
        return self.text("short", count=missing) if missing else ""

    def title(self, view: View) -> str:
        """The warp, and what is done to it."""
        return self.text("title", title=view.title, job=self.text(f"job {view.job}"))

    def place(self, view: View) -> str:
        """The group under way."""
        return self.text("place", group=view.group, number=view.group_number, groups=view.groups)

    def group_count(self, view: View) -> str:
        """How much of the group is counted, and what is left over."""
        return self._count(view, view)

    def _count(self, view: View, group: View | GroupLine) -> str:
        name = f"group count left over{_in_ends(group)}" if group.over else "group count"
        over = {"count": group.over, "over": group.over}
        return self.text(name, counted=group.counted, expected=group.expected, **over, **self._units(view))

    def warp_count(self, view: View) -> str:
        """How much of the warp is counted; 100 % only when all of it is."""
        percent = 100 * view.done // view.total
        return self.text("warp count", done=view.done, total=view.total, percent=percent, **self._units(view))

    def _units(self, view: View) -> dict[str, str]:
        """One unit, and several."""
        return {"unit": self.text(view.unit, count=1), "units": self.text(view.unit, count=2)}

    def closed(self, view: View) -> str:
        """How many groups are closed, and of these how many are off or settled, or were checked."""
        states = [line.state for line in view.summary]
        over = [state for state in states if state not in UNCLOSED]
        told = [
            f"{over.count(state)} {self.state_word(state_name(state, view.compares))}"
            for state in _NAMED
            if state in over
        ]
        return ", ".join([self.text("closed", count=len(over), groups=view.groups), *told])

    def time_left(self, view: View) -> str:
        """How long the job will take yet, and by what; "" where nothing of it is left."""
        told = view.left.told
        return self.text(told.phrase, **told.places) if view.left.seconds else ""

    def senses(self, status: Status) -> str:
        """Whether the helper can hear and speak."""
        hears = "hears by page" if status.hears_by_page else "hears" if status.hears else "does not hear"
        speaks = "speaks by page" if status.speaks_by_page else "speaks" if status.speaks else "is silent"
        return f"{self.text(hears)}, {self.text(speaks)}"

    def heard(self, status: Status) -> str:
        """What the helper understood last: a word as it was said, or what a key or a touch meant."""
        heard = status.heard
        if heard and not isinstance(heard, str):
            numbers = heard.row or (() if heard.number is None else (heard.number,))
            heard = " ".join([self.glossary.label(heard.kind), *map(str, numbers)])
        return self.text("heard", heard=heard) if heard else ""

    def notice(self, status: Status) -> str:
        """What the weaver should know about the senses."""
        return self.text("note", notice="; ".join(map(self.tell, status.notices))) if status.notices else ""

    def notices(self, status: Status) -> list[str]:
        """The same, a line for each."""
        return [self.text("note", notice=self.tell(notice)) for notice in status.notices]

    def table(self, view: View) -> list[str]:
        """A heading, then for each group number, name, ends expected and counted, state; "!" before one that is off."""
        group, *numbers, stands = (self.text(f"column {name}") for name in ("group", "expected", "counted", "state"))
        name = min(max(columns(text) for text in (group, *(line.name for line in view.summary))), WIDEST_NAME)
        wide = [columns(heading) for heading in numbers]
        rows = [f"{'':6}  {padded(group, name)}  {numbers[0]}  {numbers[1]}  {stands}"]
        for number, line in enumerate(view.summary, 1):
            counts = "  ".join(
                f"{count:{room}}" for count, room in zip((line.expected, line.counted), wide, strict=True)
            )
            mark = "!" if line.state is GroupState.OFF else ""
            rows.append(f"{mark:2}{number:4}  {padded(line.name, name)}  {counts}  {self.state(view, line)}")
        return rows

    def state(self, view: View, line: GroupLine) -> str:
        """How a group stands, in words that do not need a colour."""
        word = self.state_word(state_name(line.state, view.compares))
        word = word.upper() if line.state is GroupState.OFF else word
        off = line.state is GroupState.OFF or line.over
        passed = self.text("passed on", count=line.passed) if line.passed else ""
        return ", ".join(filter(None, (word, self.difference(view, line) if off else "", passed)))

    def total(self, view: View) -> str:
        """The whole warp in one line."""
        wrong = [number for number, line in enumerate(view.summary, 1) if line.state is GroupState.OFF]
        verdict = self.text("some off", count=len(wrong), numbers=runs(wrong)) if wrong else self.text("none off")
        return self.text(
            "total", count=view.groups, done=view.done, total=view.total, verdict=verdict, **self._units(view)
        )

    def group(self, view: View, number: int) -> str:
        """A group, counted from 1, in a line: its place, count, state and yarns."""
        line = view.summary[number - 1]
        yarns = dict.fromkeys(band.yarn for band in (view.bands[number - 1] if view.bands else ()) if band.yarn)
        told = (
            self._count(view, line),
            self.state(view, line),
            self._listed(list(yarns)),
            self.text("here") if number == view.group_number else "",
        )
        return self.text(
            "group told", name=line.name, number=number, groups=len(view.summary), told=", ".join(filter(None, told))
        )

    def _listed(self, names: Sequence[str]) -> str:
        return reduce(lambda one, other: self.text("and", one=one, other=other), names) if names else ""

    def keys(self, offers: Collection[Kind] = tuple(Kind)) -> list[str]:
        """Every key that means one of these, with the label of what it means."""
        return [self._key(entry) for entry in self.glossary if entry.keys and entry.event in offers]

    def kind(self, heard: str | Event) -> Kind | None:
        """What was meant last, by key, touch or word; None where that was nothing."""
        if isinstance(heard, str):
            return next((entry.event for entry in self.glossary if heard and heard in entry.spoken), None)
        return heard.kind

    def keys_at_the_end(self) -> list[str]:
        """The keys that mean something when all is done."""
        both = [self._key(self.glossary.entry(kind)) for kind in (Kind.BACK, Kind.LEAVE)]
        return [self.text("through the list"), *both]

    def _key(self, entry: Entry) -> str:
        key = entry.keys[0]
        return f"{self.text(key) if key == 'space' else key} {entry.label}"


def _in_ends(group: View | GroupLine) -> str:
    """What the keys of phrases hold beside, where heddles are counted, and ends are over."""
    return " in ends" if group.over_in_ends else ""
