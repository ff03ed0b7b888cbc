"""What is told, in the words of one language for one job: to be spoken, or to be read."""

from collections.abc import Iterable, Iterator, Mapping

from assistant.meaning import Tell
from assistant.session.events import Adjust, Effect, Kind, Origin, Sound, Stop
from assistant.session.hints import Given, Hint
from assistant.warp.passes import HEDDLES, Figure, Item
from assistant.words.glossary import Glossary
from assistant.words.keypad import SIGNS, keys_for, one_by_one
from assistant.words.language import Language, Phrase, load
from assistant.words.phrases import Phrases
from assistant.words.speech import Lettering, Part, Say

Performed = Say | Sound | Adjust | Stop  # an effect whose phrases are in words

OF_HEDDLES = (  # where another job counts them
    *("units", "how far", "finished", "shaft of end", "shafts of end", "ends on shaft", "right up to"),
    *("right up to from end", "look among", "all or fewer", "passed on", "passed on in the hand"),
    *("mistake: skipped", "mistake: doubled", "mistake: wrong shaft", "mistake: swapped", "mistake: unseen"),
    *("mistake: call missed", "mistake: call doubled", "mistake: something else", "mistake: none"),
    *("repair: thread on", "repair: redo", "repair: repair heddle", "repair: new end", "repair: lay aside"),
    "choice: redo",
)
IN_ENDS = frozenset({"which", "how many short", "how many over", "over in ends", "short in ends"})  # what hands count
VERBS = ("do", "doing", "done")  # the words of a job that its phrases are made with, beside its units


class Wording:
    """Turns meaning into words; a phrase that lacks or is wrong falls back, as in Phrases, and never raises."""

    def __init__(self, language: Language, job: str, unit: str = ""):
        """`job` is the name of a pass; `unit` what it counts on this warp, where that may be another than usual."""
        ours, english = _of_job(language, job, unit), _of_job(load("en"), job, unit)
        self._phrases, self._shown = Phrases(ours, english), Phrases(ours, english, language.numerals)
        self._of_hands = Phrases(_of_job(language, job, ""), _of_job(load("en"), job, ""))
        self._numbers, self._glossary = language.numbers, Glossary(language)
        commands = {
            f"word_{kind}": _within_a_sentence(words[0], language.labels.get(kind))
            for kind, words in language.commands.items()
            if words
        }
        self._always = {**commands, **{verb: self._phrases.text(verb) for verb in VERBS}}

    def part(self, tell: Tell) -> Part:
        """A phrase as it is spoken; {word_next} and the like in it stand for the words of commands."""
        return Part(self._worded(tell, self._phrases), tell.beat)

    def _worded(self, tell: Tell, phrases: Phrases) -> str:
        places = {name: self._placed(value) for name, value in tell.places.items()}
        counting = self._of_hands if tell.phrase in IN_ENDS else self._phrases
        units = counting.text("units", count=places.get("count"))
        return phrases.text(tell.phrase, **{**self._always, "units": units, **places})

    def _placed(self, value: object) -> object:
        """A phrase within a phrase in words; several names or shafts as one: "three and seven"."""
        match value:
            case Tell():
                return self.part(value).text
            case Hint(label=name):
                return self._glossary.label(name)
            case Given(kind=kind, by=by):
                return self._given(kind, by)
        if not isinstance(value, tuple):
            return value
        names = [self._numbers[name] if isinstance(name, int) else str(self._placed(name)) for name in value]
        return f" {self._phrases.text('and')} ".join(names)

    def _given(self, kind: Kind, by: Origin) -> str:
        """The word of an event, or what is pressed for it."""
        if by is Origin.VOICE:
            return str(self._always.get(f"word_{kind}", kind))
        if by is Origin.PEDAL:
            return self._phrases.text(f"presses {kind}")
        if kind is Kind.NUMBER:
            return self._phrases.text("digits")
        pressed = (self._numbers[int(key)] if key.isdecimal() else self._phrases.text(f"key {SIGNS.get(key, key)}")
                   for key in one_by_one(keys_for(kind)[0]))  # fmt: skip
        return " ".join(pressed)

    def parts(self, tells: Iterable[Tell]) -> tuple[Part, ...]:
        """Phrases as they are spoken, in order."""
        return tuple(map(self.part, tells))

    def text(self, *tells: Tell) -> str:
        """Phrases to read, as one line."""
        return " ".join(part.text for part in self.parts(tells))

    def written(self, items: Iterable[Item]) -> tuple[Part, ...]:
        """The things of a call as they are read."""
        return tuple(Part(item.written, item.tell.beat) if item.written else self.part(item.tell) for item in items)

    def line(self, items: Iterable[Item]) -> str:
        """The things of a call as they are read, as one line; "" where there are none."""
        return Say(self.written(items)).text

    def figure(self, figure: Figure) -> Lettering:
        """What is to be read across the room: words in capitals; and the small text under it."""
        text = figure.text if isinstance(figure.text, str) else self._worded(figure.text, self._shown).upper()
        return Lettering(text, self._worded(figure.caption, self._shown) if figure.caption else "")

    def spoken(self, effects: Iterable[Effect]) -> Iterator[Performed]:
        """Effects with their phrases in words: those that follow each other as one thing to say."""
        tells: list[Tell] = []
        for effect in effects:
            if isinstance(effect, Tell):
                tells.append(effect)
                continue
            if tells:
                yield Say(self.parts(tells))
                tells = []
            yield effect
        if tells:
            yield Say(self.parts(tells))


def _within_a_sentence(word: str, label: object) -> str:
    """A command's word, with the capitals that its label has beyond the first letter: "keine Ahnung"."""
    return word[:1] + label[1:] if isinstance(label, str) and label.lower() == word else word


def _of_job(language: Language, job: str, unit: str) -> Mapping[str, Phrase]:
    ours, counted = language.jobs.get(job, {}), language.jobs.get(HEDDLES.name, {})
    phrases = {**language.errors, **language.phrases, **ours}
    if unit != HEDDLES.unit or job == HEDDLES.name:
        return phrases
    done = {"done": ours["done in heddles"]} if "done in heddles" in ours else {}
    return {**phrases, **{key: counted[key] for key in OF_HEDDLES if key in counted}, **done}
