"""The demonstration: a short warp threaded aloud, with an end left out, an alert, and the group threaded again."""

from collections.abc import Iterator
from pathlib import Path

from assistant.outfile import Outfile
from assistant.rehearsal.run import RehearsalWish, run
from assistant.rehearsal.weaver import PlannedSlip, Slip
from assistant.warp import sequence
from assistant.warp.examples import find
from assistant.words.language import Language, UntaughtEar
from assistant.words.printed import Printed

EXAMPLE = "first-evening"
SLIP = PlannedSlip(Slip.SKIP, 3)


def demo(
    language: Language, voice: str | None, ear: UntaughtEar | None, model: Path | None, sound: Outfile
) -> Iterator[str]:
    """What is said by whom, line by line, then the outcome; the sound is left in a WAV file."""
    warp = sequence.load(find(EXAMPLE))
    words = Printed(language)
    yield words.text("demo begins", title=warp.title, count=warp.ends, end=SLIP.end)
    wish = RehearsalWish(slips=[SLIP], aloud=True, voice=voice, ear=ear, model=model, sound=sound)
    report = run(warp, language, wish)
    for line in report.transcript:
        yield line.line(words)
    yield from report.lines(words)
    yield words.text("demo ends", file=sound.path, command=f"heddlecall thread {EXAMPLE}")
