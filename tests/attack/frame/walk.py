"""How a sitting walks through a warp, reckoned without the program: from the keys typed and the lines printed.

A warp of groups that are alike, so that every job has the same calls in each of them.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

GROUPS, ENDS = 24, 24
CALLS = {  # by job, where the calls of a group begin
    "wind": (0, 10, 20),
    "heddles": (0, 6, 12, 18),
    "thread": (0, 4, 8, 12, 16, 20),
    "check": (0, 4, 8, 12, 16, 20),
    "sley": (0, 10, 20),
    "tie": (0, 4, 8, 12, 16, 20),
}
STEADY = "check"  # the clock moves it on, and closes its groups
MEANS = {"n": "next", "b": "back", "r": "repeat", "m": "note", "w": "where"}
ALSO = {"n": "", "b": "backspace"}  # a second key for the same: in a terminal one that comes again may be held
SAT, LEFT = "sit down", "leave"
COUNTED = "heddles counted"  # what a record says of itself when it is begun, or taken up again; moves nothing
Stop = tuple[int, int]  # a group, from 1, and how much of it is counted


def sequence(title: str) -> str:
    """The sequence file."""
    return (
        f"title: {title}\nshafts: 4\nreed: 12\nsley: [2]\nreed_width: 200\nyarns: {{flax: {{}}}}\n"
        f"groups: [{{name: g, thread: 6(1 2 3 4), yarn: flax, times: {GROUPS}}}]\n"
    )


def stops(job: str) -> list[Stop]:
    """Where a sitting stands, step by step: before each call of a group, at the question after it; then the end."""
    asked = () if job == STEADY else (ENDS,)
    return [*((group, counted) for group in range(1, GROUPS + 1) for counted in (*CALLS[job], *asked)), (GROUPS + 1, 0)]


def typed(keys: str) -> str:
    """Lines to type for keys of MEANS."""
    lines: list[str] = []
    for key in keys:
        lines.append(ALSO.get(key, key) if lines and lines[-1] == key else key)
    return "".join(f"{line}\n" for line in lines)


def printed(out: bytes) -> list[Stop]:
    """Where plain lines told that it stands, each step once; a line that was not finished tells nothing."""
    return once([*_printed(out.decode(errors="replace").replace("\r\n", "\n").split("\n")[:-1])])


def once(told: Sequence[Stop]) -> list[Stop]:
    """Without what was told again of the same step."""
    return [stop for number, stop in enumerate(told) if not number or stop != told[number - 1]]


def _printed(lines: Sequence[str]) -> Iterator[Stop]:
    for line in lines:
        if call := re.match(r"g (\d+), \w+ (\d+) (?:to|of) ", line):
            yield int(call[1]), int(call[2]) - 1
        elif asked := re.match(r"g (\d+): \d+ \w+(?:, the last in dent \d+)?\. Even\?", line):
            yield int(asked[1]), ENDS


def drawn(out: bytes) -> list[Stop]:
    """Where the board told that it stands; it may leave some out, and tell one again."""
    plain = re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", out.decode(errors="replace"))
    called = rf"(\d+)(?: to \d+)? of {ENDS}(?! [a-z])"
    found = re.findall(rf"group (\d+) of {GROUPS}\s+(?:{called}|(\d+) of {ENDS} )", plain)
    return [(int(group), int(first) - 1 if first else int(counted)) for group, first, counted in found]


def steps_on(kinds: Sequence[str], began: int = 0) -> list[int]:
    """How many steps on it stood, from where it began: at first, and after each event that moved it."""
    places = [began]
    for kind in kinds:
        places.append(max(places[-1] + {"next": 1, "back": -1}.get(kind, 0), 0))
    return [began, *(place for before, place in pairwise(places) if place != before)]


def mistold(job: str, keys: str, kinds: Sequence[str], began: int, told: Sequence[Stop]) -> str:
    """How the events kept of a sitting differ from the keys typed, and from where plain lines told that it stood.

    "" where they do not: all that was answered is kept, in the order typed, and at most one step more.
    """
    if wrong := mistyped(job, keys, kinds):
        return wrong
    walked = [stops(job)[place] for place in steps_on(kinds, began)]
    if [*told] != walked[: len(told)]:
        return f"told {told[-3:]} at last, of {len(told)}, kept {walked[-3:]}, of {len(walked)}"
    if len(walked) > len(told) + 1:
        return f"{len(walked)} steps are kept, {len(told)} were answered"
    return ""


def mistyped(job: str, keys: str, kinds: Sequence[str]) -> str:
    """How the events kept of a sitting, without those of sitting down and leaving, differ from the keys typed."""
    ordered = [kind for kind in kinds if kind != "next"] if job == STEADY else [*kinds]
    meant = [MEANS[key] for key in keys]
    return "" if ordered == meant[: len(ordered)] else f"kept {kinds}, typed {keys}"


def misdrawn(job: str, kinds: Sequence[str], began: int, told: Sequence[Stop]) -> str:
    """How the events kept differ from what the board told: it told of a step that is not kept, or in another order."""
    walked = iter([stops(job)[place] for place in steps_on(kinds, began)])
    drawn_once = once(told)
    return (
        ""
        if all(stop in walked for stop in drawn_once)
        else f"drawn {drawn_once}, kept {kinds} from {stops(job)[began]}"
    )
