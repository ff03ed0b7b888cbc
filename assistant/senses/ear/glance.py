"""The room in a few lines, to be read at a glance from the loom; and a verdict at the end. Pure."""

from textwrap import wrap

from assistant.senses.ear.listener import Heard
from assistant.senses.ear.room import ADVICE, SILENT_DB, Measures, faults
from assistant.senses.screen.columns import shortened

LOWEST_DB = -80.0  # where the bar begins; it ends at full scale
MOST_COLUMNS = 50  # of the bar
LABEL = 9  # columns
GONE = "the microphone is gone: plug it in again; it is taken up by itself"


def glance(room: Measures, last: Heard | None, gone: bool, say: str, columns: int) -> list[str]:
    """Always as many lines, none wider than the terminal: the level as a bar, what it means, heard last, what to do."""
    width = columns - 1
    advice = GONE if gone else advise(room, say)[0]
    lines = [
        _labelled("level", bar(room, min(width - LABEL, MOST_COLUMNS))),
        _labelled("", f"░ noise {_level(room.noise)}, | voice {_level(room.voice)}{_apart(room)}"),
        _labelled("heard", _word(last)),
    ]
    most = max(len(_advice([each], columns)) for each in (*ADVICE.values(), GONE))
    lines += [*_advice([advice], columns), *[""] * most][:most]
    return [shortened(line, width) for line in lines]


def bar(room: Measures, width: int) -> str:
    """The level now: light up to the room's noise, full above it, with a mark at the level of the voice."""

    def column(level: float | None) -> int:
        return 0 if level is None else max(0, min(width, round((level - LOWEST_DB) / -LOWEST_DB * width)))

    noise, now, voice = column(room.noise), column(room.now), column(room.voice)
    drawn = ["░" if n < noise else "█" if n < now else "·" for n in range(width)]
    if room.voice is not None:
        drawn[min(voice, width - 1)] = "|"
    return "".join(drawn)


def advise(room: Measures, say: str) -> list[str]:
    """What is to be done, the most urgent first."""
    wrong = [ADVICE[fault] for fault in faults(room)]
    if room.voice is None and not wrong:
        return [f"no voice was heard yet: say {say}, each alone"]
    return wrong or ["all is well"]


def verdict(room: Measures, name: str, say: str, columns: int) -> list[str]:
    """What is to be remembered of a trial."""
    return [
        _labelled("mic", name),
        _labelled("noise", _level(room.noise)),
        _labelled("voice", f"{_level(room.voice)}{_apart(room)}"),
        _labelled("cut off", f"{100 * room.clipped:.1f} % of what was loud"),
        _labelled("heard", f"{room.heard} understood, {room.unclear} not understood"),
        *_advice(advise(room, say), columns),
    ]


def as_json(room: Measures) -> dict[str, object]:
    """The measures, in dB of full scale and shares of 1, and the names of the faults."""

    def rounded(value: float | None) -> float | None:
        return None if value is None else round(value, 3)

    return {
        "noise_db": rounded(room.noise),
        "voice_db": rounded(room.voice),
        "distance_db": rounded(room.distance),
        "clipped": rounded(room.clipped),
        "hum": rounded(room.hum),
        "heard": room.heard,
        "unclear": room.unclear,
        "faults": [fault.value for fault in faults(room)],
    }


def _word(heard: Heard | None) -> str:
    if heard is None:
        return "nothing yet"
    return f"{heard.word}, {100 * heard.score:.0f} % sure" if heard.kind else "something that was not understood"


def _level(level: float | None) -> str:
    return "not heard" if level is None else "none" if level <= SILENT_DB else f"{level:.0f} dB"


def _apart(room: Measures) -> str:
    silent = room.noise is None or room.noise <= SILENT_DB
    return "" if room.distance is None or silent else f", {room.distance:.0f} dB apart"


def _advice(advice: list[str], columns: int) -> list[str]:
    lines = [line for each in advice for line in wrap(each, max(10, columns - 1 - LABEL))]
    return [_labelled("" if n else "advice", line) for n, line in enumerate(lines)]


def _labelled(label: str, text: str) -> str:
    return f"{label:{LABEL}}{text}"
