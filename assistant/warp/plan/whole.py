"""The whole plan of a warp, as values, as JSON and as lines to read."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from textwrap import wrap

from assistant.warp.heddles import ShaftPlan
from assistant.warp.lengths import SPAN, YARD, per_unit, plain, with_unit
from assistant.warp.model import Unit, Warp
from assistant.warp.plan.wishes import Wishes
from assistant.warp.plan.work import Section, Time, alike, shown
from assistant.warp.plan.yarn import Closest, YarnPlan
from assistant.warp.reed import InReed, ReedChoice, Start, reed_dents, written

WIDTH = 100  # characters a line


@dataclass(frozen=True, slots=True)
class GroupPlan:
    """A group, and the heddles it takes by shaft."""

    name: str
    ends: int
    heddles: dict[int, int]


@dataclass(frozen=True, slots=True)
class Tying:
    """What tying a further warp to the old one saves; `seconds` is None where too few paces are known."""

    metres: float  # of yarn
    seconds: float | None


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything to know before a thread is cut. Widths are in `unit`; None is what the file does not tell."""

    warp: Warp
    groups: tuple[GroupPlan, ...]
    shafts: tuple[ShaftPlan, ...]
    lying: InReed | None
    start: Start | None
    wanted: Wishes
    metres: float | None  # length of the warp
    yarns: tuple[YarnPlan, ...]
    tying: Tying
    sections: tuple[Section, ...]
    times: tuple[Time, ...]
    closest: Closest | None
    reeds: tuple[ReedChoice, ...]
    obstacles: tuple[str, ...]  # why the loom cannot take the warp as it stands
    advice: tuple[str, ...]

    @property
    def unit(self) -> Unit:
        """Inch or cm."""
        return self.warp.unit

    @property
    def fits(self) -> bool:
        """Whether the loom can take the warp as it stands."""
        return not self.obstacles

    @property
    def cautions(self) -> tuple[str, ...]:
        """Obstacles first, then advice."""
        return self.obstacles + self.advice

    @property
    def reed_width(self) -> float | None:
        """As wished, else as the file has it, in the unit."""
        return self.wanted.reed_width or self.warp.loom.reed_width

    @property
    def width_by_sett(self) -> float | None:
        """What the sett alone gives, in the unit."""
        return self.warp.ends / self.warp.sett * SPAN[self.unit] if self.warp.sett else None

    @property
    def dented(self) -> InReed | None:
        """How the warp lies in the dents, where the reed is known."""
        return self.lying if self.lying and self.lying.has_dents else None

    def as_json(self) -> dict[str, object]:
        """All but times and reeds, by name; None and [] where the file does not tell."""
        dented = self.dented
        return {
            "ends": self.warp.ends,
            "groups": [{"name": g.name, "ends": g.ends, "heddles": _by_shaft(g.heddles)} for g in self.groups],
            "heddles": {str(shaft.shaft): shaft.as_json() for shaft in self.shafts},
            "width": round(self.lying.width, 4) if self.lying else None,
            "unit": self.unit,
            "dents": dented.dents if dented else None,
            "first_dent": self.start.first_dent if self.start else None,
            "from_centre": round(self.start.from_centre, 4) if self.start else None,
            "sley": list(dented.sley.repeat) if dented else [],
            "yarns": [yarn.as_json() for yarn in self.yarns],
            "sections": [section.as_json() for section in self.sections],
            "cautions": list(self.cautions),
        }

    def lines(self) -> list[str]:
        """The same and more for reading: a heading, then indented lines, for each part."""
        parts = (
            ("heddles", self._heddles()),
            ("in the groups", self._groups()),
            ("reed", self._reed()),
            ("reeds for this sett", self._reeds()),
            ("yarn", self._yarn()),
            ("sections to tie on", self._sections()),
            ("time", self._times()),
            ("the loom cannot take this warp as it stands", iter(self.obstacles)),
            ("caution", iter(self.advice)),
        )
        lines = [f"{self.warp.title}: {self.warp.ends:,} ends, first end at the {self.warp.start} edge"]
        for heading, told in parts:
            listed = [f"  {line}" for line in told]
            lines += ["", f"{heading}:", *listed] if listed else []
        return lines

    def _heddles(self) -> Iterator[str]:
        for shaft in self.shafts:
            yield f"shaft {shaft.shaft:2}: {heddle_line(shaft)}"
        yield f"in all: needs {sum(shaft.needed for shaft in self.shafts):,}"

    def _groups(self) -> Iterator[str]:
        for run in alike(self.warp.groups):
            needed = self.groups[run.first].heddles
            by_shaft = ", ".join(f"{count} on {shaft}" for shaft, count in needed.items())
            name = f"{run.name} to {run.until}" if run.until else run.name
            yield f"{name}: {run.ends} ends{' each' if run.times > 1 else ''}: {by_shaft}"

    def _reed(self) -> Iterator[str]:
        lying, sett = self.lying, self.warp.sett
        if lying is None or self.start is None:
            yield "the width is not known: write sett, or reed and sley, in the file"
            return
        yield f"width in the reed: {with_unit(lying.width, self.unit)}"
        if not lying.has_dents:
            yield "by the sett alone: write reed in the file for dents and a sley plan"
        else:
            yield from self._dents(lying)
            by_sett = self.width_by_sett
            if by_sett and plain(by_sett) != plain(lying.width):
                yield f"by the sett of {per_unit(sett or 0, self.unit)} alone: {with_unit(by_sett, self.unit)}"
        yield from self._begin(self.start, lying)

    def _dents(self, lying: InReed) -> Iterator[str]:
        reed = per_unit(self.warp.loom.reed or 0, self.unit)
        yield f"{lying.dents:,} dents of a reed of {reed}: {written(lying.sley)}"
        given = lying.sett(self.unit)
        if not self.warp.sett or plain(given) != plain(self.warp.sett):
            yield f"which gives a sett of {per_unit(given, self.unit)}"
        yield from unequal_dents(lying)

    def _begin(self, start: Start, lying: InReed) -> Iterator[str]:
        edge = self.warp.start
        away = f"{with_unit(start.from_centre, self.unit)} to the {edge} of the centre"
        if start.first_dent is None:
            yield f"begin {away}"
            return
        in_all = reed_dents(lying, self.reed_width or 0)
        yield f"begin in dent {start.first_dent:,} of {in_all:,}, counted from the {edge}: {away}"

    def _reeds(self) -> Iterator[str]:
        for choice in self.reeds:
            off = (
                "" if abs(choice.off) < 0.005 else f", {plain(abs(choice.off))} {'over' if choice.off > 0 else 'under'}"
            )
            yield f"reed {plain(choice.reed)}: {written(choice.sley)}: {per_unit(choice.sett, self.unit)}{off}"
        if self.reeds and self.closest:
            yield (
                f"this yarn lies closest at {plain(self.closest.plain_weave, 0)} in plain weave, "
                f"{plain(self.closest.twill, 0)} in 2/2 twill (Ashenhurst's diameters, 1884)"
            )

    def _yarn(self) -> Iterator[str]:
        wanted = self.wanted
        if self.metres is not None and wanted.cloth:
            yield (
                f"warp {self._long(self.metres)} long: {with_unit(wanted.cloth, self.unit)} of finished cloth, "
                f"{plain(100 * wanted.take_up)} % take-up, {plain(100 * wanted.shrinkage)} % shrinkage, "
                f"{with_unit(wanted.waste, self.unit)} of loom waste"
            )
        for yarn in self.yarns:
            metres = f", {self._long(yarn.metres)}" if yarn.metres is not None else ""
            grams = f", {plain(yarn.grams, 0)} g" if yarn.grams is not None else ""
            yield f"{yarn.name}: {yarn.ends:,} ends{metres}{grams}"
        yield (
            f"tying a further warp to this one saves {self._tying()}: its loom waste is "
            f"{with_unit(wanted.waste_tied, self.unit)} in place of {with_unit(wanted.waste, self.unit)}"
        )

    def _tying(self) -> str:
        yarn, saved = f"{self._long(self.tying.metres)} of yarn", self.tying.seconds
        if saved is None:
            return f"{yarn}, and counting out heddles and sleying"
        return f"{yarn} and {shown(saved)}" if saved > 0 else yarn

    def _sections(self) -> Iterator[str]:
        if not self.sections:
            return
        first, last = self.sections[0], self.sections[-1]
        widths = [with_unit(section.width, self.unit) for section in (first, last)]
        yield f"{len(self.sections)} of {widths[0]}, the last {widths[1]}"
        runs = [(ends, len(list(run))) for ends, run in groupby(section.ends for section in self.sections)]
        counts = ", ".join(f"{times} × {ends}" if times > 1 else f"{ends}" for ends, times in runs)
        yield from wrap(f"ends in each, from the {self.warp.start}: {counts}", WIDTH)

    def _times(self) -> Iterator[str]:
        for time in self.times:
            yield f"{time.job}: about {shown(time.seconds)}, {'at your pace' if time.own else 'by common practice'}"

    def _long(self, metres: float) -> str:
        """A length of yarn in the units of the warp's weaver."""
        return f"{plain(metres / YARD, 1)} yd" if self.unit == "inch" else f"{plain(metres, 1)} m"


def heddle_line(shaft: ShaftPlan) -> str:
    """What one shaft needs, has, lacks or has to spare."""
    needed = f"needs {shaft.needed:,}"
    if shaft.on_loom is None:
        return f"{needed}; count what is on the loom"
    if shaft.missing:
        return f"{needed}, has {shaft.on_loom:,}: tie in {shaft.missing:,} while threading, from {shaft.runs_out} on"
    return f"{needed}, has {shaft.on_loom:,}: push {shaft.left:,} left, {shaft.right:,} right"


def unequal_dents(lying: InReed) -> list[str]:
    """Where the dents do not all hold the same, how many hold how much: "12 dents left empty"."""
    filled = lying.sley.filled(lying.ends)
    if len(filled) == 1:
        return []
    return [f"{dents:,} {'dent' if dents == 1 else 'dents'} {_holding(lying, held)}" for held, dents in filled.items()]


def _holding(lying: InReed, held: int) -> str:
    if held == 0:
        return "left empty"
    return f"crammed with {held}" if held > lying.usual else f"with {held}"


def _by_shaft(heddles: dict[int, int]) -> dict[str, int]:
    return {str(shaft): count for shaft, count in heddles.items()}
