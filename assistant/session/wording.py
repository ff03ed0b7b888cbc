"""Places and numbers into the words to speak, in the weaver's language."""

from typing import Any

from assistant.finder import Ask, Look, Mistake
from assistant.meaning import Tell
from assistant.readback import AskAgain, Difference
from assistant.session.events import Kind, Part, Say
from assistant.session.place import Place
from assistant.session.view import ALARM, GroupState, Lettering, Mode
from assistant.warp.model import Warp
from assistant.warp.passes import Call, Figure, Item, Pass
from assistant.words.language import Language

VERBS = ("do", "doing", "done")  # the words of a job that its phrases are made with, beside its units


class Wording:
    """What is said of one job in one language. Every method is pure: the same place gives the same words."""

    def __init__(self, language: Language, job: Pass[Any]):
        self._job, self._numbers = job, language.numbers
        self._phrases = {**language.phrases, **language.jobs[job.name]}
        self._commands = {f"word_{kind}": words[0] for kind, words in language.commands.items()}
        self._verbs = {verb: self._form(verb) for verb in VERBS}

    def _form(self, name: str, count: object = None) -> str:
        """A phrase in the form that goes with a count."""
        phrase = self._phrases[name]
        return phrase if isinstance(phrase, str) else phrase["one" if count == 1 else "other"]

    def _phrase(self, name: str, **places: object) -> str:
        """A phrase with its places filled in; {word_next} and the like stand for the words of commands."""
        count = places.get("count")
        return self._form(name, count).format(
            **self._commands, **self._verbs, units=self._form("units", count), **places
        )

    def _say(self, name: str, **places: object) -> Part:
        return Part(self._phrase(name, **places))

    def _listed(self, value: object) -> object:
        """Several names or shafts as one: "three and seven"."""
        if not isinstance(value, tuple):
            return value
        names = [self._numbers[name] if isinstance(name, int) else name for name in value]
        return f" {self._phrase('and')} ".join(names)

    def _told(self, tell: Tell) -> Part:
        """What is told, as it is spoken."""
        places = {name: self._listed(value) for name, value in tell.places.items()}
        return Part(self._phrase(tell.phrase, **places), tell.beat)

    def item(self, item: Item) -> Part:
        """One thing of a call, as it is spoken."""
        return self._told(item.tell)

    def figure(self, figure: Figure) -> Lettering:
        """A figure in words, those to be read across the room in capitals."""
        text = figure.text if isinstance(figure.text, str) else self._told(figure.text).text.upper()
        return Lettering(text, self._told(figure.caption).text if figure.caption else "")

    def call(self, warp: Warp, call: Call[Any]) -> tuple[Part, ...]:
        """A call: the group where it opens one, then what the pass tells."""
        opening = [] if call.start else [self._say("group", group=warp.groups[call.group].name, count=call.of)]
        return (*opening, *(self.item(item) for item in self._job.tell(warp, call)))

    def written(self, warp: Warp, call: Call[Any]) -> tuple[Part, ...]:
        """What the pass tells, to read."""
        told = self._job.tell(warp, call)
        return tuple(Part(item.written, item.tell.beat) if item.written else self.item(item) for item in told)

    def announced(self, warp: Warp, call: Call[Any]) -> str:
        """A call still to come, in one line; with its group where it opens one."""
        group = "" if call.start else f"{warp.groups[call.group].name}: "
        return group + Say(self.written(warp, call)).text

    def prompt(self, place: Place) -> tuple[Part, ...]:
        """What the weaver is waited for to do, in this mode."""
        match place.mode:
            case Mode.CALLING:
                return self.call(place.warp, place.call())
            case Mode.CLOSING:
                return (self._even(place.name, place.size),)
            case Mode.WHICH:
                return (self._say("which", group=place.name),)
            case Mode.COUNTING:
                return (self._say("how many short" if place.missing else "how many over"),)
            case Mode.PARTWAY:
                return (self._alert(place), self._say("how far"))
            case Mode.OFF:
                return (self._alert(place), self._say("what now"))
            case Mode.ASKING:
                return self.question(place.looking)
            case Mode.FOUND:
                return self.found(place.looking)
            case Mode.SURE:
                settles = place.wish is not None and place.wish.kind is Kind.SETTLE
                return (self._say("sure settle" if settles else "sure redo", group=place.name),)
            case Mode.PAUSED:
                return (self._say("paused", group=place.name, count=place.here.counted),)
            case Mode.FINISHED:
                return self._finished(place)

    def prompt_line(self, place: Place) -> str:
        """The prompt as a screen shows it, beside the call itself."""
        if place.mode is Mode.CALLING:
            return self._phrase("calling")
        return " ".join(part.text for part in self.prompt(place))

    def _even(self, group: str, units: int) -> Part:
        return self._say("even", group=group, count=units)

    def _alert(self, place: Place) -> Part:
        if isinstance(place.difference, AskAgain):
            return self._say("look at", first=place.difference.first, last=place.difference.last)
        if place.difference:
            return self._reads_otherwise(place.difference)
        return self._say(
            "short" if place.off_by < 0 else "over",
            group=place.name, counted=place.here.counted, expected=place.size, count=abs(place.off_by),
        )  # fmt: skip

    def question(self, look: Look) -> tuple[Part, ...]:
        """What is asked in looking for a mistake; nothing where there is a verdict."""
        question = look.question
        if question is None:
            return ()
        match question.ask:
            case Ask.COUNT:
                return (self._say("ends on shaft", end=question.end, shaft=question.shaft),)
            case Ask.HEDDLES:
                return (self._say("heddles lacking" if look.short else "heddles left", shaft=question.shaft),)
            case Ask.SHAFTS if look.told:
                return (self._say("on which else", shafts=self._listed(look.told)),)
            case Ask.SHAFTS:
                several = " of several" if look.most_shafts > 1 else ""
                asked = self._say(f"shaft from {question.side}{several}", end=question.end)
                further = look.search.landmark.further(question)
                if not further:
                    return (asked,)
                return asked, self._say("further on" if further > 0 else "further back", count=abs(further))

    def found(self, look: Look) -> tuple[Part, ...]:
        """What the mistake was, and what sets it right."""
        verdict = look.verdict
        if verdict is None or verdict.hypothesis is None:
            return ()
        repair = verdict.hypothesis.repair
        first, *others = verdict.hypothesis.mistakes
        return (
            self._mistake(look, first),
            *([self._say("another mistake")] if others else []),
            self._say(
                f"repair: {repair.way}", first=repair.first, count=repair.taken_out, threaded=repair.threaded,
                shafts=self._listed(repair.heddle),
            ),
        )  # fmt: skip

    def _mistake(self, look: Look, mistake: Mistake) -> Part:
        shafts = look.group.expected[mistake.at - 1] if mistake.at else ()
        return self._say(
            f"mistake: {mistake.kind}", end=mistake.at, last=mistake.at + mistake.ends - 1, neighbour=mistake.at + 1,
            shafts=self._listed(shafts), found=self._listed(mistake.found), shaft=mistake.shaft,
        )  # fmt: skip

    def trouble(self, place: Place) -> str:
        """What is wrong in the group in hand, as far as that is known; "" where nothing is."""
        if place.mode in ALARM:
            return self._alert(place).text
        verdict = place.look.verdict if place.look and place.mode is Mode.FOUND else None
        if place.look is None or verdict is None or verdict.hypothesis is None:
            return ""
        return " ".join(self._mistake(place.look, mistake).text for mistake in verdict.hypothesis.mistakes)

    def read_again(self, asked: AskAgain) -> Part:
        """It is not clear what these ends are on."""
        name = "read one again" if asked.first == asked.last else "read again"
        return self._say(name, first=asked.first, last=asked.last)

    def _reads_otherwise(self, difference: Difference) -> Part:
        """An end that is not as it should be."""
        kind = "too many" if not difference.expected else "too few" if not difference.read else "other"
        return self._say(
            f"reads {kind}", end=difference.end,
            expected=self._listed(difference.expected), read=self._listed(difference.read),
        )  # fmt: skip

    def not_found(self, place: Place) -> Part:
        """No question leads further."""
        return self._say("not found", group=place.name)

    def _finished(self, place: Place) -> tuple[Part, ...]:
        lines = place.summary()
        settled = sum(line.state is GroupState.SETTLED for line in lines)
        off = [line for line in lines if line.state is GroupState.OFF]
        parts = [self._say("finished", count=place.total, groups=len(lines))]
        parts += [self._say("some settled", count=settled)] if settled else []
        if not off:
            return (*parts, self._say("none off"))
        parts.append(self._say("some off", count=len(off)))
        parts += [self._say("one off", group=g.name, counted=g.counted, expected=g.expected) for g in off]
        return (*parts, self._say("off at finish", group=off[0].name))

    def welcome(self, place: Place) -> tuple[Part, ...]:
        """The first words of the first sitting."""
        return (self._say("welcome", title=place.warp.title, count=place.total, groups=len(place.groups)),)

    def welcome_back(self, place: Place) -> tuple[Part, ...]:
        """The first words of a later sitting: the place."""
        return (self._say("welcome back", title=place.warp.title), *self.where(place))

    def where(self, place: Place) -> tuple[Part, ...]:
        """The place, the count, and what is left."""
        if place.mode is Mode.CALLING:
            first = place.here.counted + 1
            last = place.here.counted + len(place.call().units)
            here = self._say("where", group=place.name, first=first, last=last, count=place.size)
        else:
            here = self._say("where counted", group=place.name, counted=place.here.counted, count=place.size)
        return (here, self._say("so far", so_far=place.done, total=place.total, count=place.left))

    def beside(self, phrase: str, **places: object) -> Part:
        """What goes on beside the session: no phrase of a place."""
        return self._say(phrase, **places)

    def first_call(self) -> Part:
        """There is nothing to go back to."""
        return self._say("first call")

    def reopened(self, place: Place) -> Part:
        """A closed group is open again."""
        return self._say("reopened", group=place.name)

    def settled(self, place: Place) -> Part:
        """A group marked off was settled by the weaver's word."""
        return self._say("settled", group=place.name, count=place.here.counted)

    def marked(self, place: Place) -> Part:
        """A mark was put at this place."""
        return self._say("marked", group=place.name, counted=place.here.counted, count=place.size)

    def stand_up(self) -> Part:
        """It is time to stand up."""
        return self._say("stand up")

    def saved(self, place: Place) -> tuple[Part, ...]:
        """The last words of a sitting."""
        if place.mode is Mode.FINISHED:
            return (self._say("saved finished", title=place.warp.title),)
        return (self._say("saved", group=place.name, counted=place.here.counted, count=place.size),)

    def ahead(self, place: Place) -> list[Part]:
        """What will be said from here on if all goes well, each part once, in order."""
        parts: dict[Part, None] = {}
        for call in place.calls_ahead():
            if call.start == 0 and call.group > place.group:
                parts[self._even_before(place, call)] = None
            parts |= dict.fromkeys(self.call(place.warp, call))
        parts[self._even(place.warp.groups[-1].name, place.sizes[-1])] = None
        return list(parts)

    def _even_before(self, place: Place, call: Call[Any]) -> Part:
        return self._even(place.warp.groups[call.group - 1].name, place.sizes[call.group - 1])
