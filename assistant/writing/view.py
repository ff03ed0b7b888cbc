"""What a screen shows of a slip, in words of a language."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from assistant.meaning import Tell
from assistant.words.language import Language
from assistant.words.phrases import Phrases
from assistant.words.speech import Part as Spoken
from assistant.words.speech import Say
from assistant.writing.slip import Asked, Entry, PaperSlip, WrittenGroup
from assistant.writing.telling import prompt


@dataclass(frozen=True, slots=True)
class SlipView:
    """A slip as it stands, line by line."""

    title: str
    complete: tuple[str, ...]  # a line for each group, or several together, that is complete
    hand: tuple[str, ...]  # of the group in hand: what it is, and its rows
    asked: str
    typed: str
    told: str  # what was told last
    answers: int  # how often anything was told
    keys: str


class WritingWords:
    """The phrases of writing in, spoken or shown."""

    def __init__(self, language: Language) -> None:
        phrases = Phrases.read(language, "writing", "phrases", "errors")
        self.text, self.told = phrases.text, phrases.told

    def say(self, tells: Iterable[Tell]) -> Say:
        """Phrases as they are spoken."""
        return Say(tuple(Spoken(self.told(tell), tell.beat) for tell in tells))

    def view(self, slip: PaperSlip, title: str, typed: str, told: str, answers: int) -> SlipView:
        """The slip, with what stands typed and what was told last."""
        about = [self.text("so many shafts", count=slip.shafts)] if slip.shafts else []
        about += [self.text(f"end 1 {slip.start}")] if slip.start else []
        about += [self.text("ends", count=slip.count)] if slip.count else []
        key = [f"{name} = {block.text}" for name, block in slip.blocks]
        hand = [row.text for row in slip.hand.rows]
        return SlipView(
            title=" · ".join([title, *about]),
            complete=(*key, *self._entries(slip.entries)),
            hand=(self._heading(slip.hand, slip.group), *hand) if slip.asked not in (Asked.SHAFTS, Asked.EDGE) else (),
            asked=self.told(prompt(slip)),
            typed=typed,
            told=told,
            answers=answers,
            keys=self.text("keys"),
        )

    def _entries(self, entries: Iterable[Entry]) -> Iterator[str]:
        number = 1
        for entry in entries:
            yield self._entry(entry, number)
            number += entry.groups

    def _entry(self, entry: Entry, number: int) -> str:
        if isinstance(entry, WrittenGroup):
            return f"{self._heading(entry, number)}  {', '.join(row.text for row in entry.rows)}"
        parts, of_parts = [], number
        for part in entry.parts:
            parts.append(self._entry(part, of_parts))
            of_parts += part.groups
        return f"{self.text('times', count=entry.times)} ({'; '.join(parts)})"

    def _heading(self, part: WrittenGroup, number: int) -> str:
        """The number of a group, its name, how often it stands, its colours and its ends."""
        what = [self.text("group number", group=number), part.name, part.order]
        what += [self.text("times", count=part.times)] if part.times > 1 else []
        what += [self.text("ends", count=part.count)] if part.rows else []
        return ", ".join(filter(None, what))
