"""A fault in the cloth, as lines to read."""

from collections.abc import Iterator

from assistant.paper.spot import hung
from assistant.warp.fault import Fault, Suspect
from assistant.warp.locate import Spot
from assistant.words.printed import Printed


def lines(fault: Fault, commands: tuple[str, str], words: Printed) -> Iterator[str]:
    """The ends around it, each cause with what is seen and done; `commands` look for it in the heddles and the reed."""
    yield words.text("fault around")
    for each in fault.around:
        yield f"  {_end(each, '>' if each.end == fault.at.end else ' ', words)}"
    for suspect in fault.suspects:
        yield from _suspect(suspect, words)
    in_heddles, in_reed = commands
    yield words.text("fault asks", command=in_heddles)
    if fault.at.dent:
        yield words.text("fault asks in reed", command=in_reed)
    yield words.text("caution", told=words.text("fault care"))


def _end(at: Spot, mark: str, words: Printed) -> str:
    shafts = hung(at, words)
    key = "fault end in dent" if at.dent else "fault end"
    told = words.text(key, mark=mark, number=at.end, shafts=shafts, dent=at.dent)
    return f"{told}, {at.yarn}" if at.yarn else told


def _suspect(suspect: Suspect, words: Printed) -> Iterator[str]:
    yield f"{words.text(f'cause: {suspect.cause}')}:"
    yield f"  {words.text('fault looks', signs='; '.join(map(words.told, suspect.signs)))}"
    for number, step in enumerate(suspect.steps, 1):
        yield f"  {number}. {words.told(step)}"
