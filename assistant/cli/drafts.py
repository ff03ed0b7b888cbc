"""Drafts into sequence files, and out of them."""

from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from assistant.cli.arguments import (
    WithEar,
    WithFile,
    WithLanguage,
    WithReplace,
    WithVoice,
    file_to_write,
    whole,
)
from assistant.cli.command import Command, When, argument, flag
from assistant.errors import OptionsError
from assistant.output import show
from assistant.warp.model import MOST_AT_AN_EDGE, MOST_SHAFTS, Edge


@dataclass(frozen=True, kw_only=True)
class ImportOptions(WithReplace, WithLanguage):
    """A draft, and where its sequence file goes."""

    draft: Path = argument(metavar="DRAFT", type=Path, help="a WIF file, or a list of numbers as text or CSV")
    out: Path = argument(
        "-o", "--out", metavar="FILE.yaml", type=file_to_write, required=True, help="the sequence file to write"
    )
    start: Edge = argument("--start", choices=get_args(Edge), required=True, help="the edge where its end 1 lies")
    shafts: int | None = argument(
        "--shafts",
        type=whole(1, MOST_SHAFTS),
        metavar="N",
        help="the shafts of the loom, where the draft is not to say",
    )
    floating: int | None = argument(
        "--floating", type=whole(0, MOST_AT_AN_EDGE), metavar="N", help="ends at either edge that float, in no heddle"
    )
    doubled: int | None = argument(
        "--doubled",
        type=whole(0, MOST_AT_AN_EDGE),
        metavar="N",
        help="heddles at either edge that have two of the draft's ends each",
    )


@dataclass(frozen=True, kw_only=True)
class WriteOptions(WithReplace, WithLanguage, WithVoice, WithEar):
    """A threading, and where its sequence file goes."""

    out: Path = argument(metavar="FILE.yaml", type=file_to_write, help="the sequence file to write")
    threading: str | None = argument(
        metavar="SHAFTS",
        nargs="?",
        help='in order, as on a slip of paper: "1 2 3 4, 8(1 2 3 4), 8..1"; without them, they are taken down by rows',
    )
    start: Edge | None = argument("--start", choices=get_args(Edge), help="the edge where its end 1 lies")
    shafts: int | None = argument(
        "--shafts", type=whole(1, MOST_SHAFTS), metavar="N", help="of the loom, where rows are taken down"
    )
    fresh: bool = flag("--fresh", help="begin anew; what was taken down before is put by")
    plain: bool = flag("--plain", lasting=True, help="type lines, and have plain lines printed")
    mute: bool = flag("--mute", lasting=True, help="do not speak")
    deaf: bool = flag("--deaf", lasting=True, help="do not listen")
    headset: bool = flag("--headset", lasting=True, help="listen while speaking too: you wear headphones")


@dataclass(frozen=True, kw_only=True)
class ExportOptions(WithFile, WithReplace, WithLanguage):
    """A sequence file, and where its draft goes."""

    out: Path = argument(
        "-o", "--out", metavar="FILE.wif", type=file_to_write, required=True, help="the draft to write"
    )


def _import(options: ImportOptions) -> None:
    from assistant.drafting import import_draft
    from assistant.warp.draft import AskedOf

    wish = AskedOf(options.shafts, options.floating, options.doubled)
    show(import_draft(options.draft, options.start, options.out, options.printed, wish, replace=options.replace))


def _write(options: WriteOptions) -> None:
    from assistant.drafting import write_in

    if options.threading is None:
        _take_down(options)
        return
    if options.start is None:
        raise OptionsError("--start is needed: right or left, the edge where end 1 lies")
    show(write_in(options.threading, options.start, options.out, options.printed, replace=options.replace))


def _take_down(options: WriteOptions) -> None:
    from assistant.drafting import SEQUENCE
    from assistant.outfile import Outfile
    from assistant.sitting.gear import Gear
    from assistant.sitting.writing import take_down

    gear = Gear(
        mute=options.mute,
        voice=options.voice,
        speed=options.speed,
        volume=options.volume,
        loudspeaker=options.loudspeaker,
        deaf=options.deaf,
        ear=options.ear,
        model=options.model,
        weaver=options.weaver,
        microphone=options.microphone,
        headset=options.headset,
        plain=options.plain,
    )
    told = take_down(
        Outfile(options.out, SEQUENCE, options.replace),
        options.language,
        gear,
        shafts=options.shafts,
        start=options.start,
        fresh=options.fresh,
    )
    show(told)


def _export(options: ExportOptions) -> None:
    from assistant.drafting import export_draft

    show(export_draft(options.path, options.out, options.printed, replace=options.replace))


COMMANDS = (
    Command(
        "import",
        "write a sequence file for a draft: WIF, or a plain list of numbers",
        ImportOptions,
        _import,
        When.BEFORE_THE_LOOM,
    ),
    Command(
        "write",
        "write a sequence file for shafts that are typed, or taken down row by row: typed, on a keypad or by voice",
        WriteOptions,
        _write,
        When.BEFORE_THE_LOOM,
    ),
    Command("export", "write the threading of a sequence file as WIF", ExportOptions, _export, When.BEFORE_THE_LOOM),
)
