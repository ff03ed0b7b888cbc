"""Where an end is, as lines to read."""

from assistant.warp.locate import Spot
from assistant.words.printed import Printed


def lines(at: Spot, words: Printed) -> list[str]:
    """The end with its group, shafts and yarn; where they are known, its dent and how far it is from the edges."""
    shafts = hung(at, words)
    end = words.text("end", number=at.end, place=at.place, count=at.of, group=at.group, shafts=shafts)
    lying = filter(None, (_dent(at, words), _far(at, words)))
    return [", ".join(filter(None, (end, at.yarn, at.beam))), *(f"  {line}" for line in lying)]


def hung(at: Spot, words: Printed) -> str:
    """On which shafts it hangs, and with how many in the heddle; or that it floats."""
    if not at.shafts:
        return words.text("floats")
    shafts = words.text("on one shaft" if len(at.shafts) == 1 else "on shafts", shafts=words.listed(at.shafts))
    return words.text("with others", shafts=shafts, count=at.together) if at.together > 1 else shafts


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
