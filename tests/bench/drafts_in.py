"""Sequence files made of 40 drafts of the handbooks, and of 15 written later, beside those a weaver wrote by hand.

    python tests/bench/drafts_in.py

Exact: end for end, in the file and in a draft written from it. Length: of the file made, to the one by hand, whole and
of blocks and groups alone. Groups: "same" where all begin where the hand-written ones do, "units" where they begin with
a unit that the hand-written file names, repeats or sets apart. The rival lists every end in one group; what was made
before groups were taken together is told as it was measured then.
"""

from pathlib import Path
from statistics import median

from parts.by_hand import Made, made
from parts.options import asking

from assistant.warp.draft.propose import plain

DRAFTS = Path(__file__).parent.parent / "drafts"
LATER = DRAFTS / "later"
MOST = 1.3
BEFORE = "before: 30 of 40 at most 1.3 times as long, groups the same in 10 of 40"


def files(folder: Path) -> list[Path]:
    """The hand-written files in a folder."""
    return sorted(folder.glob("*.yaml"))


def told(each: Made) -> str:
    """One draft on a line."""
    groups = "same" if each.same else "units" if each.at_units else "other"
    exact = "exact" if each.exact else "NOT EXACT"
    return f"{each.name:28} {exact:9} {each.length:5.2f} {each.groups_alone:5.2f}  {groups}"


def summed(name: str, found: list[Made]) -> str:
    """All of them on a line."""
    short, alone = (sum(length <= MOST for length in lengths) for lengths in zip(*map(_lengths, found), strict=True))
    same, units = sum(each.same for each in found), sum(each.same or each.at_units for each in found)
    return (
        f"{name}: exact {sum(each.exact for each in found)} of {len(found)}; "
        f"at most {MOST} times as long: {short}, groups alone {alone}, "
        f"median {median(each.length for each in found):.2f}; groups begin the same: {same}, with units: {units}"
    )


def _lengths(each: Made) -> tuple[float, float]:
    return each.length, each.groups_alone


def main() -> None:
    """Each draft, and the sums, ours beside the rival's."""
    asking(__doc__).parse_args()
    for name, folder in (("handbooks", DRAFTS), ("later", LATER)):
        found = [made(file) for file in files(folder)]
        print("\n".join(map(told, found)))
        print(summed(name, found))
        print(summed("  one group", [made(file, plain) for file in files(folder)]))
    print(BEFORE)


if __name__ == "__main__":
    main()
