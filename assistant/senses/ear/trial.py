"""Try the ear: a few lines in the terminal that are drawn anew in place, until Ctrl-C."""

import shutil
from typing import TextIO

from assistant.senses.ear.engine import Engine
from assistant.senses.ear.glance import glance, verdict
from assistant.senses.ear.live import live

DRAWN_EVERY_S = 0.1
UP, TO_THE_END = "\x1b[{}A", "\x1b[K"


def try_ear(engine: Engine, numbers: bool, microphone: str | int | None, out: TextIO) -> None:
    """Raises DeviceMissing without a microphone."""
    say = _examples(engine, numbers)
    with live(engine, numbers, microphone) as ear:
        out.write(f"Listening with {ear.name}; leave with Ctrl-C.\n\n")
        last, drawn = None, 0
        try:
            while True:
                last = ear.next(DRAWN_EVERY_S) or last
                lines = glance(ear.measures, last, ear.gone, say, shutil.get_terminal_size().columns)
                _draw(lines, drawn, out)
                drawn = len(lines)
        except KeyboardInterrupt:
            _draw(["", *verdict(ear.measures, ear.name, say, shutil.get_terminal_size().columns)], 0, out)


def _draw(lines: list[str], over: int, out: TextIO) -> None:
    """Over so many of the lines before."""
    up = UP.format(over) if over else ""
    out.write(up + "".join(f"\r{line}{TO_THE_END}\n" for line in lines))
    out.flush()


def _examples(engine: Engine, numbers: bool) -> str:
    """A few words to say."""
    language = engine.language
    words = language.numbers[1:5] if numbers else [language.commands[kind][0] for kind in ("next", "repeat", "back")]
    return ", ".join(words)
