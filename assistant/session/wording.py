"""Places and numbers into the words to speak, in the weaver's language."""

from assistant.languages import Language
from assistant.session.events import Part
from assistant.session.place import Place
from assistant.session.view import GroupState, Mode
from assistant.warp.model import End, Warp
from assistant.warp.passes import Call


class Wording:
    """What is said in one language. Every method is pure: the same place gives the same words."""

    def __init__(self, language: Language):
        self._numbers, self._phrases = language.numbers, language.phrases
        self._commands = {f"word_{kind}": words[0] for kind, words in language.commands.items()}

    def _phrase(self, name: str, **places: object) -> str:
        """A phrase with its places filled in; {word_next} and the like stand for the words of commands."""
        phrase = self._phrases[name]
        if isinstance(phrase, dict):
            phrase = phrase["one" if places.get("count") == 1 else "other"]
        return phrase.format(**self._commands, **places)

    def _say(self, name: str, **places: object) -> Part:
        return Part(self._phrase(name, **places))

    def end(self, end: End) -> Part:
        """An end by the shafts that carry it: "three", or "three and seven"."""
        joint = f" {self._phrase('and')} "
        return Part(joint.join(self._numbers[shaft] for shaft in end.shafts), beat=True)

    def yarn(self, warp: Warp, end: End) -> str:
        """The name of an end's yarn, "" where the warp has but one."""
        return warp.yarns[end.yarn].name if end.yarn and len(warp.yarns) > 1 else ""

    def call(self, warp: Warp, call: Call) -> tuple[Part, ...]:
        """A call: the group where it opens one, a yarn where it changes, and the shafts on the beat."""
        group = warp.groups[call.group]
        parts = [] if call.start else [self._say("group", group=group.name, count=len(group.ends))]
        yarn = self.yarn(warp, group.ends[call.start - 1]) if call.start else ""
        for end in call.ends:
            before, yarn = yarn, self.yarn(warp, end)
            if yarn and yarn != before:
                parts.append(Part(yarn))
            parts.append(self.end(end))
        return tuple(parts)

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
            case Mode.PAUSED:
                return (self._say("paused", group=place.name, count=place.here.counted),)
            case Mode.FINISHED:
                return self._finished(place)

    def prompt_line(self, place: Place) -> str:
        """The prompt as a screen shows it, beside the call itself."""
        if place.mode is Mode.CALLING:
            return self._phrase("calling")
        return " ".join(part.text for part in self.prompt(place))

    def _even(self, group: str, ends: int) -> Part:
        return self._say("even", group=group, count=ends)

    def _alert(self, place: Place) -> Part:
        return self._say(
            "short" if place.off_by < 0 else "over",
            group=place.name, counted=place.here.counted, expected=place.size, count=abs(place.off_by),
        )  # fmt: skip

    def _finished(self, place: Place) -> tuple[Part, ...]:
        lines = place.summary()
        settled = sum(line.state is GroupState.SETTLED for line in lines)
        off = [line for line in lines if line.state is GroupState.OFF]
        parts = [self._say("finished", count=place.ends, groups=len(lines))]
        parts += [self._say("some settled", count=settled)] if settled else []
        if not off:
            return (*parts, self._say("none off"))
        parts.append(self._say("some off", count=len(off)))
        parts += [self._say("one off", group=g.name, counted=g.counted, expected=g.expected) for g in off]
        return (*parts, self._say("off at finish", group=off[0].name))

    def welcome(self, place: Place) -> tuple[Part, ...]:
        """The first words of the first sitting."""
        return (self._say("welcome", title=place.warp.title, count=place.ends, groups=len(place.groups)),)

    def welcome_back(self, place: Place) -> tuple[Part, ...]:
        """The first words of a later sitting: the place."""
        return (self._say("welcome back", title=place.warp.title), *self.where(place))

    def where(self, place: Place) -> tuple[Part, ...]:
        """The place, the count, and what is left."""
        if place.mode is Mode.CALLING:
            first = place.here.counted + 1
            last = place.here.counted + len(place.call().ends)
            here = self._say("where", group=place.name, first=first, last=last, count=place.size)
        else:
            here = self._say("where counted", group=place.name, counted=place.here.counted, count=place.size)
        return (here, self._say("so far", threaded=place.threaded, ends=place.ends, count=place.left))

    def first_call(self) -> Part:
        """There is nothing to go back to."""
        return self._say("first call")

    def reopened(self, place: Place) -> Part:
        """A closed group is open again."""
        return self._say("reopened", group=place.name)

    def settled(self, place: Place) -> Part:
        """A group marked off was settled by the weaver's word."""
        return self._say("settled", group=place.name, count=place.here.counted)

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

    def _even_before(self, place: Place, call: Call) -> Part:
        return self._even(place.warp.groups[call.group - 1].name, place.sizes[call.group - 1])
