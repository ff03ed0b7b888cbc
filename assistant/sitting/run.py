"""One sitting at the loom: opens the journal and the senses, runs the loop, closes them again."""

from collections.abc import Callable
from contextlib import ExitStack, closing
from itertools import count
from pathlib import Path
from typing import Any

from assistant.clock import Clock
from assistant.meaning import Tell
from assistant.memory import few_arenas, give_back
from assistant.senses.devices import Devices
from assistant.senses.mouth.loudspeaker import Loudspeaker
from assistant.senses.mouth.speaker import Speaker
from assistant.senses.portaudio import abandon, libraries_quiet, rescan
from assistant.senses.screen import Together
from assistant.senses.screen.lines import Lines
from assistant.session.history import own_pace
from assistant.session.journal import Journal, default_path
from assistant.session.keeping import Keeper
from assistant.session.resume import Resumption
from assistant.sitting.gear import Gear, listen, mouth_of, page_of, screen_of, switches
from assistant.sitting.loop import LOUDSPEAKER, Loop
from assistant.sitting.pages import speak_by_page
from assistant.sitting.prepare import Agrees, known_before, prepared
from assistant.warp.passes import Manner, Pass
from assistant.words.language import Language
from assistant.words.wording import Wording

GIVEN_BACK_EVERY = 40  # steps


def sit(
    file: Path,
    job: Pass[Any],
    language: Language,
    resumption: Resumption,
    size: int | None,
    gear: Gear,
    warn: Callable[[Tell], None],
    agrees: Agrees | None = None,
    clock: Clock | None = None,
    usual_size: int | None = None,
) -> None:
    """Go on with a job from where it was left until the weaver leaves; `size` is that of its calls from now on.

    `warn` tells the weaver what is to be known before the sitting begins, `agrees` asks her, where she can be asked; a
    `clock` of the caller's own may go faster. Where no `size` was ever chosen for this record, the `usual_size` is.
    """
    few_arenas()
    if gear.echo_canceller:
        gear = gear.through_echo_canceller()
    if size is not None:
        job.size.checked(size)
    with (
        Journal(default_path(), warn) as journal,
        prepared(journal, file, job, resumption, warn, agrees) as (record, session),
        libraries_quiet(),
        ExitStack() as senses,
    ):
        session.remind_to_stand_up(gear.stand_up)
        here = session.place.with_weaver(gear.sits).pace
        own = here or own_pace(journal, job.name, gear.sits)
        session.reckon_by(own)
        chosen = size if size or session.place.course.size else usual_size
        mouth, silent = mouth_of(gear, language)
        senses.enter_context(closing(mouth))
        screen = screen_of(gear, language)
        devices = Devices(rescan, abandon, mouth.speaking)
        page = page_of(gear, screen, language, senses)
        shown = Together(screen, page) if page else screen
        words = Wording(language, job.name, session.place.course.unit)
        keeper = journal.keep(record)
        loop = Loop(session, words, keeper, mouth, shown, devices, clock, tidier(keeper), gear.bounce)
        journal.speak_by(loop.tell_at_once)
        if record.cut_off:
            loop.notify("record", Tell("cut off"))
            loop.announce("record", "cut off")
        for number, caution in enumerate(job.cautions(session.warp)):
            loop.notify(f"warp {number}", caution)
        loop.notify(LOUDSPEAKER, silent)
        if isinstance(mouth, Speaker) and isinstance(mouth.desk, Loudspeaker):
            loop.watch(LOUDSPEAKER, mouth.desk)
        if job.manner is Manner.STEADY:
            loop.keep_pace(gear.pace or here or gear.usual_pace or own or job.pace)
        if page and isinstance(mouth, Speaker):
            speak_by_page(page, mouth, loop)
        keys, pedal = switches(loop, page, senses, gear.pedal)
        screen.invitation = page.invitation if page else None
        ear = listen(loop, mouth, gear, language, senses, page)
        if isinstance(screen, Lines) and not (ear or pedal or page):
            screen.nothing_typed = loop.leave_at_rest
        senses.enter_context(closing(devices))
        mouth.prepare(words.parts(session.ahead()))
        known = list(known_before(journal, session, file, resumption.threaded_to))
        screen.run(lambda: loop.run(chosen, language.alike, known, gear.sits), keys.press)


def tidier(keeper: Keeper) -> Callable[[], None]:
    """What is done when nobody waits for anything: the record made whole, and now and then memory given back."""
    steps = count(1)

    def tidy() -> None:
        keeper.tidy()
        if next(steps) % GIVEN_BACK_EVERY == 0:
            give_back()

    return tidy
