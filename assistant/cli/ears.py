"""The ear: trying it, teaching it, and the models it hears with."""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.cli.arguments import WithEar, WithJson, WithLanguage, WithMicrophone, WithVoice, number
from assistant.cli.command import Command, Either, When, argument, flag
from assistant.errors import TaughtError
from assistant.output import put, show, show_json
from assistant.warp.spelling import typed

if TYPE_CHECKING:
    from assistant.senses.lesson.lesson import LessonWords
    from assistant.senses.lesson.teach import Learnt


@dataclass(frozen=True, kw_only=True)
class HearOptions(WithLanguage, WithEar):
    """What to listen to, and for what."""

    files: list[Path] = argument(metavar="FILE", nargs="*", type=Path, help="sound files; without any the microphone")
    numbers: bool = flag("--numbers", help="listen for numbers instead of commands")
    json: bool = flag("--json", help="one JSON line a file, or a word heard")


def _hear(options: HearOptions) -> None:
    from assistant.senses.ear.hear import hear, hearing
    from assistant.senses.ear.opening import open_engine

    engine = open_engine(options.language, options.model, options.ear, options.weaver)
    if not (options.files or options.json) and sys.stdout.isatty():
        from assistant.senses.ear.hear import try_ear

        try_ear(engine, options.numbers, options.microphone, sys.stdout)
        return
    options.say_how_long(hearing(options.files))
    for told in hear(options.files, engine, numbers=options.numbers, microphone=options.microphone):
        show_json(told)


_WAYS = Either()


@dataclass(frozen=True, kw_only=True)
class TeachOptions(WithLanguage, WithVoice, WithMicrophone):
    """Whose words, which, and how they are taught."""

    weaver: str = argument("--weaver", metavar="NAME", required=True, help="whose words they are")
    words: str | None = argument(
        "--words", either=_WAYS, metavar="NEXT,…", help="teach only these at the microphone: next,repeat,3"
    )
    all: bool = flag("--all", either=_WAYS, help="teach every command")
    folder: Path | None = argument(
        "--from",
        either=_WAYS,
        metavar="FOLDER",
        type=Path,
        help="recordings named after the command or number they stand for: next-1.wav, next-2.wav, next-3.wav, 4-1.wav",
    )
    list: bool = flag("--list", either=_WAYS, help="print what is kept of this weaver")
    forget: bool = flag("--forget", either=_WAYS, help="delete what this weaver taught")
    forget_corrections: bool = flag(
        "--forget-corrections",
        either=_WAYS,
        help="delete only what was learnt in sittings, from words that had to be said again",
    )
    numbers: int = argument(
        "--numbers",
        type=number,
        default=0,
        metavar="N",
        help="teach the numbers from 1 to N as well",
    )
    plain: bool = flag("--plain", help="print plain lines")


def _teach(options: TeachOptions) -> int:
    """Exit code 1 where recordings or words were left out."""
    from assistant.senses.lesson.lesson import LessonWords

    words = LessonWords(options.language)
    if options.list or options.forget or options.forget_corrections:
        show(_kept(options, words))
        return 0
    from assistant.senses.ear.taught import alone_with

    with alone_with(options.weaver):
        learnt = _learn(options)
    show(learnt.lines())
    command = f"heddlecall hear --weaver {typed(options.weaver)}"
    put(words.text("try them", command=command))
    return 1 if learnt.faults else 0


def _kept(options: TeachOptions, words: "LessonWords") -> Iterator[str]:
    """What is kept of a weaver, or what is no more."""
    from assistant.senses.ear.taught import forget, kept_in
    from assistant.senses.lesson.teach import forget_corrections, learnt

    if options.list:
        yield from learnt(options.weaver, options.language).lines()
    elif options.forget:
        yield words.text("forgotten", file=forget(options.weaver))
    else:
        gone = forget_corrections(options.weaver, options.language)
        yield words.text("corrections forgotten", count=gone, file=kept_in(options.weaver))


def _learn(options: TeachOptions) -> "Learnt":
    """From recordings, or at the microphone."""
    if options.folder:
        from assistant.senses.lesson.teach import teach

        if options.numbers:
            raise TaughtError("--numbers is for a lesson at the microphone; leave it out, or leave out --from")
        return teach(options.folder, options.weaver, options.language, options.say_how_long)
    from assistant.senses.lesson.live import LessonGear, teach_aloud
    from assistant.senses.lesson.teach import words_to_teach

    words = words_to_teach(options.language, options.words, options.numbers, options.all)
    gear = LessonGear(
        voice=options.voice,
        speed=options.speed,
        volume=options.volume,
        loudspeaker=options.loudspeaker,
        microphone=options.microphone,
        plain=options.plain,
    )
    return teach_aloud(options.weaver, words, options.language, gear)


@dataclass(frozen=True, kw_only=True)
class ModelsOptions(WithLanguage, WithJson):
    """How to list them."""


def _models(options: ModelsOptions) -> None:
    from assistant.models.catalogue import catalogue

    models, words = catalogue(), options.printed
    options.show([model.as_json() for model in models], (line for model in models for line in model.lines(words)))


@dataclass(frozen=True, kw_only=True)
class AddModelOptions(WithLanguage):
    """Which model, and where from."""

    code: str = argument(metavar="LANG", help="the code of the language, such as ko")
    file: Path | None = argument("--from", metavar="FILE", type=Path, help="a zip fetched on another machine")


def _add_model(options: AddModelOptions) -> None:
    from assistant.models.add import add
    from assistant.models.catalogue import choose

    show(add(choose(options.code), options.printed, options.file))


COMMANDS = (
    Command(
        "hear",
        "check microphone and room, or print what is heard in sound files",
        HearOptions,
        _hear,
        When.SETTING_UP,
    ),
    Command(
        "teach",
        "teach the ear the words of a weaver, at the microphone or from recordings",
        TeachOptions,
        _teach,
        When.SETTING_UP,
    ),
    Command(
        "models",
        "list the models to hear with, or add one",
        ModelsOptions,
        _models,
        When.SETTING_UP,
        under=(
            Command(
                "add",
                "bring the model for a language, from the internet or from a file",
                AddModelOptions,
                _add_model,
                When.SETTING_UP,
            ),
        ),
    ),
)
