"""A rehearsal from its wishes: which slips, with or without sound."""

from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.errors import RehearsalError
from assistant.outfile import Outfile
from assistant.rehearsal.outcome import Report
from assistant.rehearsal.silent import going_through, rehearse
from assistant.rehearsal.weaver import PlannedSlip, Weaver
from assistant.session.machine import Session
from assistant.warp.model import Warp
from assistant.warp.passes import THREAD, Pass
from assistant.words.language import Language, UntaughtEar
from assistant.words.wording import Wording

ALOUD = 300  # times as long as without sound


@dataclass(frozen=True, slots=True)
class RehearsalWish:
    """What to rehearse: the slips, aloud or not, in which voice, and where to leave the sound."""

    slips: Sequence[PlannedSlip] = ()
    job: Pass[Any] = THREAD
    size: int | None = None
    seed: int = 0
    aloud: bool = False
    voice: str | None = None
    ear: UntaughtEar | None = None
    model: Path | None = None
    sound: Outfile | None = None


def seconds(warp: Warp, wish: RehearsalWish) -> float:
    """About how long it takes, on a machine of two cores as they were sold in 2024. Raises PassError."""
    session = Session(warp, wish.job, wish.size)
    return going_through(session) * (ALOUD if wish.aloud or wish.sound else 1)


def run(warp: Warp, language: Language, wish: RehearsalWish) -> Report:
    """Rehearse the whole warp. Raises RehearsalError, or DeviceMissing for a voice or an ear that is not there."""
    session = Session(warp, wish.job, wish.size)
    for planned in wish.slips:
        if not 1 <= planned.end <= session.total:
            raise RehearsalError(
                "mistake {mistake}: the warp has ends 1 to {total}"
                if wish.job.unit == "end"
                else "mistake {mistake}: the warp has heddles 1 to {total}"
                if wish.job.unit == "heddle"
                else "mistake {mistake}: the warp has knots 1 to {total}",
                mistake=f"{planned.slip}@{planned.end}",
                total=session.total,
            )
    report = Report(session, Wording(language, wish.job.name, session.place.course.unit))
    weaver = Weaver(wish.slips)
    if wish.aloud or wish.sound:
        _aloud(report, weaver, language, wish)
    else:
        rehearse(report, weaver, wish.seed)
    return report


def _aloud(report: Report, weaver: Weaver, language: Language, wish: RehearsalWish) -> None:
    from assistant.rehearsal.aloud import Aloud, SimulatedRoom
    from assistant.rehearsal.weaver_voice import open_voice
    from assistant.senses.ear import Listener
    from assistant.senses.ear.opening import open_engine
    from assistant.senses.mouth.loudspeaker import wav
    from assistant.senses.mouth.speaker import Cable

    voice = open_voice(wish.voice, language.voice)
    ear = Listener(open_engine(language, wish.model, wish.ear))
    with closing(Cable(language.voice)) as mouth:
        mouth.prepare(report.words.parts(report.session.ahead()))
        room = SimulatedRoom(mouth, ear, wish.seed)
        Aloud(report, weaver, room, voice, language).run()
        if wish.sound:
            wish.sound.write(wav(room.sound()))
