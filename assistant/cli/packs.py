"""A warp taken along: packed as one file, and taken up on another computer."""

from dataclasses import dataclass
from pathlib import Path

from assistant.cli.arguments import WithLanguage, WithReplace, WithWhose, file_to_write
from assistant.cli.command import Command, When, argument, flag
from assistant.errors import OptionsError
from assistant.output import show

ENDING = ".zip"


@dataclass(frozen=True, kw_only=True)
class PackOptions(WithWhose, WithReplace, WithLanguage):
    """Which warp, what goes along, and where it is packed."""

    file: str = argument(metavar="FILE", help="a sequence file, or the title of a warp")
    out: Path | None = argument(
        "-o", "--out", metavar="OUT.zip", type=file_to_write, help="the file to write; without it named after FILE"
    )
    taught: bool = flag("--taught", help="with the words that the weaver taught, of --for, or of the settings")


def _pack(options: PackOptions) -> None:
    from assistant.outfile import Outfile
    from assistant.packing import PACKED, gathered, pack
    from assistant.session.history import asked_for
    from assistant.warp.sequence import loads

    if options.taught and not options.whose:
        raise OptionsError("--taught needs to know whose words: add --for WEAVER")
    weavers = [options.whose] if options.taught and options.whose else []
    with options.kept() as records:
        file = asked_for(records, options.file) or Path(options.file)
        packed, kept = gathered(records, file, _now(options.file, file), weavers)
    named = Path(packed.name).with_suffix(ENDING)
    out = Outfile(options.out, PACKED, options.replace) if options.out else Outfile.free(named, PACKED)
    title = loads(packed.sequence, packed.name).title
    out.write(pack(packed, title))
    words = options.printed
    jobs = words.jobs(record.job for record in kept)
    show([words.text("packed" if kept else "packed without records", file=out.path, title=title, jobs=jobs)])
    show(words.text("packed words", weaver=weaver) for weaver in weavers)


def _now(name: str, file: Path) -> Path:
    """Where the sequence lies that a weaver means: the file she named, or the one that a record is of."""
    from assistant.errors import SequenceError
    from assistant.warp.examples import find

    try:
        return find(name)
    except SequenceError:
        return file


@dataclass(frozen=True, kw_only=True)
class UnpackOptions(WithLanguage):
    """What was packed, and where it is put."""

    packed: Path = argument(metavar="PACKED", type=Path, help="a file that pack wrote")
    folder: Path = argument(
        metavar="FOLDER", type=Path, nargs="?", default=Path(), help="where its sequence file goes; without it here"
    )


def _unpack(options: UnpackOptions) -> None:
    from assistant.packing import take_up
    from assistant.session.journal import Journal, default_path
    from assistant.warp.spelling import typed

    with Journal(default_path(), options.caution) as journal:
        taken = take_up(journal, options.packed, options.folder)
    words = options.printed
    jobs = words.jobs(record.job for record in taken.records)
    told = "unpacked" if taken.records else "unpacked without records"
    show([words.text(told, file=taken.file, title=taken.title, jobs=jobs)])
    show(words.text("unpacked words", weaver=weaver) for weaver in taken.taught)
    show([f"  heddlecall next {typed(str(taken.file))}"])


COMMANDS = (
    Command("pack", "write a warp as one file, with all its records, to take along", PackOptions, _pack, When.BESIDE),
    Command("unpack", "take up a packed warp, so that it goes on here", UnpackOptions, _unpack, When.BESIDE),
)
