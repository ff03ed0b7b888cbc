"""The room in a few lines, to be read at a glance from the loom; and a verdict at the end. Pure."""

from textwrap import wrap

from assistant.senses.ear.listener import Heard
from assistant.senses.ear.room import SILENT_DB, Measures, SoundFault, advice, faults
from assistant.words.columns import columns, padded, shortened
from assistant.words.language import Language
from assistant.words.phrases import Phrases

LOWEST_DB = -80.0  # where the bar begins; it ends at full scale
MOST_COLUMNS = 50  # of the bar
LABELS = ("level", "heard", "advice", "microphone", "noise", "voice", "cut off")


class Glance:
    """Words the room in a language; `say` is what may be said to be tried."""

    def __init__(self, language: Language, say: str):
        self._say, self._numerals = say, language.numerals
        self._text = Phrases.read(language, "hearing").text
        self._told = Phrases.read(language, "phrases", "errors").told
        self._label = max(columns(self._text(label)) for label in LABELS) + 2  # columns

    def listening(self, name: str) -> str:
        """To begin with: which microphone it is, and how to end."""
        return self._text("listening", microphone=name)

    def lines(self, room: Measures, last: Heard | None, gone: bool, width: int) -> list[str]:
        """Always as many lines, none as wide as the terminal's `width` in columns.

        The level as a bar, what it means, what was heard last, what to do; `gone`: the microphone is.
        """
        urgent = self._text("gone") if gone else self.advise(room)[0]
        levels = self._text("levels", noise=self._level(room.noise), voice=self._level(room.voice))
        lines = [
            self._labelled("level", bar(room, min(width - 1 - self._label, MOST_COLUMNS))),
            self._labelled("", levels + self._apart(room) + self._echo(room)),
            self._labelled("heard", self._word(last)),
        ]
        longest = (*(self._told(advice(fault)) for fault in SoundFault), self._text("gone"))
        most = max(len(self._advice([each], width)) for each in longest)
        lines += [*self._advice([urgent], width), *[""] * most][:most]
        return [shortened(line, width - 1) for line in lines]

    def advise(self, room: Measures) -> list[str]:
        """What is to be done, the most urgent first."""
        wrong = [self._told(advice(fault)) for fault in faults(room)]
        if room.voice is None and not wrong:
            return [self._text("no voice yet", words=self._say)]
        return wrong or [self._text("well")]

    def verdict(self, room: Measures, name: str, width: int) -> list[str]:
        """What is to be remembered of a trial with the microphone of that name, on a terminal of `width` columns."""
        return [
            self._labelled("microphone", name),
            self._labelled("noise", self._level(room.noise)),
            self._labelled("voice", self._level(room.voice) + self._apart(room) + self._echo(room)),
            self._labelled("cut off", self._text("full scale", percent=self._numerals.fixed(100 * room.clipped, 1))),
            self._labelled("heard", self._text("counts", heard=room.heard, unclear=room.unclear)),
            *self._advice(self.advise(room), width),
        ]

    def _word(self, heard: Heard | None) -> str:
        if heard is None:
            return self._text("nothing yet")
        if not heard.kind:
            return self._text("not understood")
        return self._text("word", word=heard.word, percent=f"{100 * heard.score:.0f}")

    def _level(self, level: float | None) -> str:
        silent = level is not None and level <= SILENT_DB
        return self._text("not heard") if level is None else self._text("none") if silent else f"{level:.0f} dB"

    def _apart(self, room: Measures) -> str:
        silent = room.noise is None or room.noise <= SILENT_DB
        if room.distance is None or silent:
            return ""
        return f", {self._text('apart', distance=f'{room.distance:.0f}')}"

    def _echo(self, room: Measures) -> str:
        return "" if room.echo is None else f", {self._text('echo', seconds=self._numerals.fixed(room.echo, 1))}"

    def _advice(self, advice: list[str], width: int) -> list[str]:
        lines = [line for each in advice for line in wrap(each, max(10, width - 1 - self._label))]
        return [self._labelled("" if n else "advice", line) for n, line in enumerate(lines)]

    def _labelled(self, label: str, text: str) -> str:
        return padded(self._text(label) if label else "", self._label) + text


def bar(room: Measures, width: int) -> str:
    """The level now: light up to the room's noise, full above it, with a mark at the level of the voice."""

    def column(level: float | None) -> int:
        return 0 if level is None else max(0, min(width, round((level - LOWEST_DB) / -LOWEST_DB * width)))

    noise, now, voice = column(room.noise), column(room.now), column(room.voice)
    drawn = ["░" if n < noise else "█" if n < now else "·" for n in range(width)]
    if room.voice is not None and drawn:
        drawn[min(voice, width - 1)] = "|"
    return "".join(drawn)


def as_json(room: Measures) -> dict[str, object]:
    """The measures, in dB of full scale, seconds and shares of 1, and the names of the faults."""

    def rounded(value: float | None) -> float | None:
        return None if value is None else round(value, 3)

    return {
        "noise_db": rounded(room.noise),
        "voice_db": rounded(room.voice),
        "distance_db": rounded(room.distance),
        "clipped": rounded(room.clipped),
        "hum": rounded(room.hum),
        "echo_s": rounded(room.echo),
        "heard": room.heard,
        "unclear": room.unclear,
        "faults": [fault.value for fault in faults(room)],
    }
