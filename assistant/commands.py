"""What each command does: it takes the options and prints. What a command needs is imported when it is run."""

import argparse
import json
import shlex
import sys
import time
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.errors import JournalError, RehearsalError, TaughtError
from assistant.warp import sequence
from assistant.warp.examples import find
from assistant.warp.model import Warp
from assistant.warp.passes import PASSES
from assistant.words.language import Language, load

if TYPE_CHECKING:
    from assistant.senses.lesson.teach import Learnt
    from assistant.session.journal import Journal

Options = argparse.Namespace
UNHEARD = "en"  # the language in which a record is told
COVERING = ("mistakes_per_1000", "runs", "wrong_answers", "misheard")  # options of a rehearsal with mistakes


def import_(options: Options) -> None:
    from assistant.drafting import import_draft

    _show(import_draft(options.draft, options.start, options.out, replace=options.replace))


def export(options: Options) -> None:
    from assistant.drafting import export_draft

    _show(export_draft(find(options.file), options.out, replace=options.replace))


def plan(options: Options) -> int:
    """Exit code 1 where the loom cannot take the warp as it stands."""
    from assistant.session.history import own_paces
    from assistant.session.journal import default_path
    from assistant.warp.plan import plan as made
    from assistant.warp.plan import wishes

    warp = _warp(options)
    try:
        paces = {own.job: own.seconds for own in own_paces(default_path())}
    except JournalError as error:
        paces = {}
        print(f"caution: {error}", file=sys.stderr)
    names = ("cloth", "take_up", "shrinkage", "waste", "waste_tied", "reed_width", "section", "reeds")
    wish = wishes(warp.unit, **{name: getattr(options, name) for name in names}, paces=paces)
    planned = made(warp, wish)
    if options.card:
        from assistant.paper.cards import cards
        from assistant.paper.writing import write_cards

        write_cards(cards(planned, options.job, options.size), options.card)
    _show(planned.as_json() if options.json else planned.lines())
    return 0 if planned.fits else 1


def end(options: Options) -> None:
    from assistant.warp.locate import locate

    ways = ("from_right", "from_left", "end", "dent", "cloth_width")
    spots = locate(_warp(options), **{way: getattr(options, way) for way in ways})
    if options.json:
        print(json.dumps([spot.as_json() for spot in spots], ensure_ascii=False))
    else:
        _show(line for spot in spots for line in spot.lines())


def job(options: Options) -> None:
    from assistant.session.resume import Resumption
    from assistant.sitting.gear import Gear
    from assistant.sitting.run import sit

    gear = Gear(**{name: getattr(options, name) for name in Gear.__slots__})
    resumption = Resumption(options.fresh, options.edited)
    sit(find(options.file), PASSES[options.job], _language(options), resumption, options.size, gear)


def find_(options: Options) -> None:
    from assistant.finding import begin, find

    over = options.over if options.over is not None else -(options.short or 0)
    look = begin(_warp(options), options.group, over, options.left, options.size)
    for line in find(look, _language(options), sys.stdin.readline):
        print(line, flush=True)


def next_(options: Options) -> None:
    from assistant.session.journal import Journal, default_path
    from assistant.session.upcoming import upcoming

    with Journal(default_path()) as journal:
        told = upcoming(journal, find(options.file), options.file, _warp(options))
    _show(told.as_json() if options.json else told.lines())


def calls(options: Options) -> None:
    from assistant.sheet import as_json, lines

    warp, job = _warp(options), PASSES[options.job]
    shown = as_json if options.json else lines
    _show(shown(warp, _language(options), job, options.size))
    for caution in job.cautions(warp):
        print(f"caution: {caution}", file=sys.stderr)


def log(options: Options) -> None:
    from assistant.session.history import kept, told
    from assistant.session.journal import Journal, default_path

    if options.pace:
        _paces(options)
        return
    file = options.file and find(options.file)
    with Journal(default_path()) as journal:
        if options.report or options.csv:
            _record(journal, file, options)
            return
        if options.json:
            from assistant.paper.telling import story

            record = kept(journal, file, options.job)[0]
            _show(story(record, journal.events(record), load(UNHEARD)).as_json())
            return
        history, others = told(journal, file, options.job)
    _show([*history.lines(), *others])


def _record(journal: "Journal", file: Path | None, options: Options) -> None:
    """Write what is kept of one warp, every job or the one asked for."""
    from assistant.paper.telling import story
    from assistant.paper.writing import ending, write_text
    from assistant.session.history import of_one_warp

    out = options.report and ending(options.report, (".html", ".htm"), "a report")
    rows = options.csv and ending(options.csv, (".csv",), "a table")
    records = of_one_warp(journal, file, options.job)
    stories = [story(record, journal.events(record), load(UNHEARD)) for record in records]
    if out:
        from assistant.paper.report import report

        write_text(out, report(stories, records[-1].file))
    if rows:
        from assistant.paper.table import table

        write_text(rows, table(stories))
    written = " and ".join(str(path) for path in (out, rows) if path)
    print(f"{written}: {', '.join(each.job for each in stories)} of {stories[-1].title}")


def _paces(options: Options) -> None:
    """The weaver's own pace in each job."""
    from assistant.session.history import own_paces
    from assistant.session.journal import default_path

    paces = own_paces(default_path())
    if options.json:
        print(json.dumps([pace.as_json() for pace in paces], ensure_ascii=False))
    else:
        _show([pace.line() for pace in paces] or ["no pace of your own is known yet; it is after a few dozen ends"])


def note(options: Options) -> None:
    from assistant.noting import note as keep
    from assistant.session.journal import Journal, default_path

    with Journal(default_path()) as journal:
        file = options.file and find(options.file)
        print(keep(journal, options.text, file, options.job, time.time()))


def rehearse(options: Options) -> None:
    if any(getattr(options, name) is not None for name in COVERING):
        cover(options)
        return
    from assistant.rehearsal.run import RehearsalWish, run
    from assistant.rehearsal.weaver import PlannedSlip

    wish = RehearsalWish(
        slips=[PlannedSlip.parse(text) for text in options.mistake],
        job=PASSES[options.job],
        size=options.size,
        seed=options.seed,
        aloud=options.audio,
        voice=options.voice,
        ear=options.ear,
        model=options.model,
        sound=options.sound,
    )
    report = run(_warp(options), _language(options), wish)
    _show(report.as_json() if options.json else report.lines())


def cover(options: Options) -> None:
    """Rehearse whole warps with mistakes of all kinds."""
    from assistant.rehearsal.coverage import CoverageWish
    from assistant.rehearsal.coverage import cover as run

    if options.mistakes_per_1000 is None:
        raise RehearsalError("--runs, --wrong-answers and --misheard go with --mistakes-per-1000")
    if options.mistake or options.audio or options.sound or options.job != "thread":
        raise RehearsalError("--mistakes-per-1000 is threading without sound; leave out --mistake, --audio and --job")
    given = {name: value for name in (*COVERING, "seed", "size") if (value := getattr(options, name)) is not None}
    covered = run(_warp(options), _language(options), CoverageWish(**given))
    _show(covered.as_json() if options.json else covered.lines())


def demo(options: Options) -> None:
    from assistant.rehearsal.demo import demo as run

    for line in run(_language(options), options.voice, options.ear, options.model, Path("demo.wav")):
        print(line, flush=True)


def speak(options: Options) -> None:
    from assistant.senses.mouth.loudspeaker import speak as try_voice

    _show(
        try_voice(
            options.voice,
            options.text,
            speed=options.speed,
            volume=options.volume,
            out=options.out,
            device=options.loudspeaker,
        )
    )


def hear(options: Options) -> None:
    from assistant.senses.ear.hear import hear as listen
    from assistant.senses.ear.opening import open_engine

    engine = open_engine(_language(options), options.model, options.ear, options.weaver)
    if not (options.files or options.json) and sys.stdout.isatty():
        from assistant.senses.ear.hear import try_ear

        try_ear(engine, options.numbers, options.microphone, sys.stdout)
        return
    for told in listen(options.files, engine, numbers=options.numbers, microphone=options.microphone):
        print(json.dumps(told, ensure_ascii=False), flush=True)


def models(options: Options) -> None:
    from assistant.models.catalogue import catalogue

    known = catalogue()
    if options.json:
        print(json.dumps([model.as_json() for model in known], ensure_ascii=False))
    else:
        _show(line for model in known for line in model.lines())


def add_model(options: Options) -> None:
    from assistant.models.add import add
    from assistant.models.catalogue import choose

    _show(add(choose(options.language), options.file))


def teach(options: Options) -> int:
    """Exit code 1 where recordings or words were left out."""
    from assistant.senses.lesson.lesson import LessonWords

    words = LessonWords(_language(options))
    if options.forget:
        from assistant.senses.ear.taught import forget

        print(words.text("forgotten", file=forget(options.weaver)))
        return 0
    learnt = _learn(options, _language(options))
    _show(learnt.lines())
    command = f"heddlecall hear --weaver {shlex.quote(options.weaver)}"
    print(words.text("try them", command=command))
    return 1 if learnt.faults else 0


def _learn(options: Options, language: Language) -> "Learnt":
    """From recordings, or at the microphone."""
    if options.folder:
        from assistant.senses.lesson.teach import teach as learn

        if options.numbers:
            raise TaughtError("--numbers is for a lesson at the microphone; leave it out, or leave out --from")
        return learn(options.folder, options.weaver, language)
    from assistant.senses.lesson.live import LessonGear, teach_aloud
    from assistant.senses.lesson.teach import words_to_teach

    words = words_to_teach(language, options.words, options.numbers, options.all)
    gear = LessonGear(**{name: getattr(options, name) for name in LessonGear.__slots__})
    return teach_aloud(options.weaver, words, language, gear)


def pedal(options: Options) -> None:
    from assistant.senses.pedal.teach import teach

    teach(print, options.source)


def _warp(options: Options) -> Warp:
    return sequence.load(find(options.file))


def _language(options: Options) -> Language:
    return load(options.language)


def _show(shown: dict[str, object] | Iterable[str]) -> None:
    for line in [json.dumps(shown, ensure_ascii=False)] if isinstance(shown, dict) else shown:
        print(line)
