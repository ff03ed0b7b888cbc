"""Expanding and planning a warp of 100,000 ends, beside the plainest way to do it.

The plainest way: PyYAML's safe_load, brackets unrolled by replacing text until none is left, one object an end in
one list, heddles counted end by end. It checks nothing and knows no line or column.

A warp with all that a file can say, floating and shared ends, marks, mirrors, profiles, edges, sleys and beams, is
planned whole, for a cloth that is wanted, and called at the heddles and at the reed from the other edge; beside the
plainest file of as many ends.

    python tests/bench/expand_and_plan.py
"""

import re
from collections import defaultdict
from functools import partial
from statistics import median

import yaml
from parts.clock import seconds
from parts.options import asking

from assistant.warp.heddles import heddles
from assistant.warp.passes import SLEY, THREAD
from assistant.warp.plan.whole import plan
from assistant.warp.plan.wishes import wishes
from assistant.warp.sequence import loads

ENDS = 100_000
ROUNDS = 7

SHORT = """\
shafts: 8
blocks:
  unit: 5(1 3) 5(2 4), 1..8 7..2, 2(1 5 2 6)
groups:
  - {name: stripe, thread: 10(4(unit) 4(1 2 3 4)), times: 48}
  - {name: rest, thread: 25(5(unit) 5(1..4))}
  - {name: last, thread: 2965(1 2)}
"""


def ours(text: str) -> tuple[int, dict[int, int]]:
    """Ends and heddles, by way of a Warp and its calls."""
    warp = loads(text.encode(), "bench.yaml")
    assert sum(len(call.units) for call in THREAD.calls(warp)) == warp.ends
    return warp.ends, heddles(warp.every_end())


def plainest(text: str) -> tuple[int, dict[int, int]]:
    """The same, by replacing text."""
    keys = yaml.safe_load(text)
    ends: list[dict[str, object]] = []
    for group in keys["groups"]:
        written = str(group["thread"])
        for name, block in keys.get("blocks", {}).items():
            written = re.sub(rf"\b{name}\b", str(block), written)
        written = re.sub(r"(\d+)\.\.(\d+)", lambda m: _count(int(m[1]), int(m[2])), written)
        while "(" in written:
            written = re.sub(r"(\d+)\(([^()]*)\)", lambda m: " ".join([m[2]] * int(m[1])), written)
        for number in range(group.get("times", 1)):
            name, shafts = f"{group['name']} {number + 1}", re.split(r"[ ,-]+", written)
            ends.extend({"group": name, "shafts": [int(shaft)]} for shaft in shafts)
    calls = [ends[i : i + 4] for i in range(0, len(ends), 4)]
    needed: dict[int, int] = defaultdict(int)
    for call in calls:
        for end in call:
            for shaft in end["shafts"]:  # type: ignore[attr-defined]
                needed[shaft] += 1
    return len(ends), dict(sorted(needed.items()))


def _count(first: int, last: int) -> str:
    step = 1 if first <= last else -1
    return " ".join(map(str, range(first, last + step, step)))


def written_out() -> str:
    """A file of 100,000 ends with no repeats at all, in groups of 25."""
    ends = " ".join(str(1 + (i * i) % 8) for i in range(25))
    return "shafts: 8\ngroups:\n" + "".join(f"  - {{name: bout {i}, thread: {ends}}}\n" for i in range(ENDS // 25))


REED = """\
reed: 12
sett: 26
call_from: left
"""
PARTS = f"""\
{REED}shafts: 8
yarns: {{flax: {{}}, rust: {{}}}}
beams: {{ground: {{length: 3 m}}, pile: {{length: 9 yd}}}}
selvedge: {{floating: 2, doubled: 4, sley: [2, 4]}}
keys:
  lace: {{A: 1 3 1 3 1 2;, B: 1 4 1 4 1 2;}}
  overshot: {{A: 1 2, B: 2 3, C: 3 4, D: 4 1, joint: shared}}
groups:
  - groups:
      - {{name: lace, profile: 2(A 2B) mirror(3A B), key: lace, yarn: "2(flax, 3 rust), flax", sley: [3], times: 2}}
      - {{name: rose, profile: mirror(4A 2B 5C) D 5C 2B 4A, key: overshot, beam: "2 ground, pile", empty_before: 2}}
      - {{name: crammed, thread: "4(1..8*2; mirror(~ 2(3/5 4)))", sley: [4], shares_dent: true}}
    mirror: true
    times: 403
  - {{name: rest, thread: 22(1 2)}}
"""


def plain(ends: int) -> str:
    """The plainest file of so many ends, in groups of 100."""
    return f"{REED}shafts: 8\ngroups:\n  - {{thread: 25(1..4), times: {ends // 100 - 1}}}\n  - {{thread: 25(1..4)}}\n"


def planned(text: str) -> int:
    """Ends, by way of a Warp, its plan, and its calls."""
    warp = loads(text.encode(), "bench.yaml")
    assert plan(warp, wishes(warp.unit, width="20in", cloth="3yd", put_up="250g")).cloth
    assert all(sum(len(call.units) for call in called.calls(warp)) for called in (THREAD, SLEY))
    return warp.ends


def main() -> None:
    """Both ways in turn, and how they compare."""
    asking(__doc__).parse_args()
    for name, text in (("short notation", SHORT), ("every end written out", written_out())):
        assert ours(text) == plainest(text), name
        rounds = [(seconds(partial(ours, text)), seconds(partial(plainest, text))) for _ in range(ROUNDS)]
        mine, rival = median(r[0] for r in rounds), median(r[1] for r in rounds)
        print(f"{name}: {ours(text)[0]:,} ends: {mine:.3f} s, the plainest way {rival:.3f} s: {rival / mine:.2f} times")
    ends = planned(PARTS)
    rounds = [(seconds(partial(planned, PARTS)), seconds(partial(planned, plain(ends)))) for _ in range(ROUNDS)]
    mine, rival = median(r[0] for r in rounds), median(r[1] for r in rounds)
    print(f"all parts: {ends:,} ends: {mine:.3f} s, the plainest file {rival:.3f} s: {mine / rival:.2f} times")


if __name__ == "__main__":
    main()
