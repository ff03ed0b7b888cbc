"""What there is on this computer, as the front door has to know it: warps, examples, files, settings."""

import locale
import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from assistant.errors import HeddlecallError, JournalError
from assistant.front.leaves import at_first
from assistant.front.values import HALL, Known, KnownSetting, KnownWarp, Leaf, LeafName, Words
from assistant.meaning import Tell
from assistant.senses.pedal.settings import load_pedal
from assistant.session.elsewhere import known_as
from assistant.session.journal import Record, Records, default_path, lies_at
from assistant.session.upcoming import upcoming
from assistant.warp.examples import examples, find
from assistant.warp.passes.order import ORDERS
from assistant.warp.sequence import load
from assistant.words.language import codes
from assistant.words.language import load as load_language
from assistant.words.phrases import Phrases

MOST_WARPS = 24  # the one worked on last first; `heddlecall log` has the others
MOST_FILES = 24
SEQUENCES, DRAFTS = (".yaml", ".yml"), (".wif",)
OF_WARPS = (LeafName.HALL, LeafName.WARPS)
OF_A_WARP = (LeafName.WARP, LeafName.JOBS, LeafName.MISTAKE)

KeptSettings = Callable[[], Mapping[str, KnownSetting]]


@dataclass(frozen=True)
class Gathering:
    """Looks up what a leaf goes by.

    Shown in this language, else in the one that is kept. `kept` gives every setting, and raises HeddlecallError where
    they cannot be read; every job at the loom is begun with `sits` as well.
    """

    language: str | None
    kept: KeptSettings
    sits: Words = ()

    def entering(self) -> Known:
        """What decides where one comes in, and what is shown there."""
        return self.known(at_first(self.known(HALL)))

    def known(self, leaf: Leaf) -> Known:
        """For this leaf."""
        settings: Mapping[str, KnownSetting] = {}
        trouble: Tell | None = None
        try:
            settings = self.kept()
        except HeddlecallError as error:
            trouble = error.tell
        code = self._code(settings, leaf)
        known = Known(
            settings=settings,
            languages={each: Phrases.read(load_language(each), "front").text("own name") for each in codes()},
            code=code,
            engine_voice=load_language(code).voice,
            examples=tuple(examples()),
            sequences=_files(SEQUENCES) if leaf.name in (LeafName.BEGIN, LeafName.FILES) else (),
            drafts=_files(DRAFTS) if leaf.name in (LeafName.BEGIN, LeafName.DRAFTS) else (),
            sits=self.sits,
            pedal=_pedal(),
            trouble=trouble,
        )
        if leaf.name not in (*OF_WARPS, *OF_A_WARP):
            return known
        try:
            with Records.read(default_path()) as records:
                if leaf.name in OF_WARPS:
                    return replace(known, warps=tuple(_warps(records, known)))
                return replace(known, warp=_warp(records, leaf.of[0], known))
        except JournalError as error:
            return replace(known, trouble=known.trouble or error.tell)

    def _code(self, settings: Mapping[str, KnownSetting], leaf: Leaf) -> str:
        """Who is asked which language she speaks is asked in the one of her system."""
        kept = settings.get("language")
        asked = leaf == Leaf(LeafName.LANGUAGE, first=True)
        if asked and not (self.language or (kept and kept.kept)):
            return usual_language() or "en"
        return self.language or (kept.value if kept else "en")


def usual_language() -> str | None:
    """The one of the system's locale, where it is one of ours."""
    for name in ("LC_ALL", "LC_MESSAGES", "LANG"):
        if value := os.environ.get(name):
            code = value.partition("_")[0].partition(".")[0].lower()
            return code if code in codes() else None
    with suppress(ValueError):
        code = (locale.getlocale()[0] or "").partition("_")[0].lower()
        return code if code in codes() else None
    return None


def _files(endings: Words) -> Words:
    """Those in the folder one is in."""
    with suppress(OSError):
        there = (each for each in Path().iterdir() if each.suffix.lower() in endings and each.is_file())
        return tuple(sorted(map(str, there))[:MOST_FILES])
    return ()


def _pedal() -> bool:
    with suppress(HeddlecallError):
        return load_pedal() is not None
    return True  # one that cannot be read


def _warps(records: Records, known: Known) -> Iterator[KnownWarp]:
    """Each file of which there is a record, the one worked on last first."""
    by_file = dict[str, list[Record]]()
    for record in records.records():
        by_file.setdefault(record.file, []).append(record)
    last_first = sorted(by_file, key=lambda file: -records.last(by_file[file]))
    for file in last_first[:MOST_WARPS]:
        yield _warp_of(records, Path(file), called(file), by_file[file][0], known)


def _warp(records: Records, name: str, known: Known) -> KnownWarp:
    """The one of this name, whether it was begun or not."""
    try:
        file = find(name)
    except HeddlecallError as error:
        found = records.records(Path(name))
        return _warp_of(records, Path(name), name, found[0], known) if found else KnownWarp(name, "", why=error.tell)
    return _warp_of(records, file, name, next(iter(records.records(file)), None), known)


def _warp_of(records: Records, file: Path, name: str, record: Record | None, known: Known) -> KnownWarp:
    try:
        warp = load(file) if file.exists() or record is None else record.warp
        usual = next((order for order in ORDERS if order == known.value("warping")), None)
        told = upcoming(records, known_as(records, file), name, warp, usual, known.value("weaver"))
    except HeddlecallError as error:
        return KnownWarp(name, file.stem if record else "", why=error.tell)
    if not file.exists():
        return KnownWarp(name, told.title, why=Tell("file no longer there", file=name))
    return KnownWarp(name, told.title, told, groups=tuple(group.name for group in warp.groups))


def called(file: str) -> str:
    """As it is typed most shortly: an example by its name, what lies in the folder one is in by its own."""
    for name, place in examples().items():
        if lies_at(place) == file and lies_at(name) != file and not os.path.exists(name):
            return name
    here = Path(os.path.realpath(os.curdir))
    path = Path(file)
    return str(path.relative_to(here)) if path.is_relative_to(here) else file
