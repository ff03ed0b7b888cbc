"""Where an end is, as lines to read."""

from assistant.warp.locate import Spot
from assistant.words.printed import Printed


def lines(at: Spot, words: Printed) -> list[str]:
    """The end with its group, shafts and yarn; where they are known, its dent and how far it is from the edges."""
    shafts = words.text("on one shaft" if len(at.shafts) == 1 else "on shafts", shafts=words.listed(at.shafts))
    end = words.text("end", number=at.end, place=at.place, count=at.of, group=at.group, shafts=shafts)
    lying = filter(None, (_dent(at, words), _far(at, words)))
    return [f"{end}, {at.yarn}" if at.yarn else end, *(f"  {line}" for line in lying)]


def _dent(at: Spot, words: Printed) -> str:
    if at.dent is None:
        return ""
    return words.text("dent in reed" if at.reed_dent else "dent in use", dent=at.dent, reed_dent=at.reed_dent)


def _far(at: Spot, words: Printed) -> str:
    if at.from_right is None or at.from_left is None or at.from_centre is None:
        return ""
    return words.text(
        "left of centre" if at.from_centre < 0 else "right of centre",
        right=words.length(at.from_right, at.unit),
        left=words.length(at.from_left, at.unit),
        centre=words.length(abs(at.from_centre), at.unit),
    )
