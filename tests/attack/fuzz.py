"""All parsers and command lines, given what nobody should give them.

    python tests/attack/fuzz.py --tries 20000

Sequence files and notation, rows taken down, lengths and counts, cloths, drafts, languages, settings, taught words,
journals, models, recordings, answers, keys, messages of the page, sessions of any events, and lines of every command:
made from parts that fit, then mangled. Each is taken within the laws of its kind, with a second opinion where there is
one, or refused in one line; nothing takes more than ten seconds of processor time, nor more than 400 MB, nor prints
past the program.
What fails is shown as small as it fails.
"""

import tempfile
import time
from pathlib import Path

from frame.forked import warm_up
from frame.trying import Tally, Wish, run
from fuzzers import cloths, command_lines, drafts, kept, recordings, sequences, threadings, typed, writing
from fuzzers.engine import Came, Fault, Fuzzer, chunk, minimised, same_fault, shares

FUZZERS: tuple[Fuzzer, ...] = (
    *threadings.FUZZERS,
    *sequences.FUZZERS,
    *cloths.FUZZERS,
    *drafts.FUZZERS,
    *kept.FUZZERS,
    *recordings.FUZZERS,
    *typed.FUZZERS,
    *writing.FUZZERS,
    *command_lines.FUZZERS,
)
TURNS = 10  # in which each fuzzer gives its share
SHOWN_WHOLE = 600  # bytes of an input; a longer one is left in a file
MOST_MINIMISED = 20_000  # bytes; a larger input is left as it is


def attack(wish: Wish, tally: Tally) -> None:
    """Give every fuzzer its share, by turns; what came of it is told also where it is broken off."""
    warm_up()
    came = {fuzzer.name: Came() for fuzzer in FUZZERS}
    try:
        _by_turns(wish, tally, came)
    finally:
        tally.told += [_row(name, each) for name, each in came.items() if each.tried]
        kinds = {(fault.fuzzer, fault.kind): fault for each in came.values() for fault in reversed(each.faults)}
        by_name = {fuzzer.name: fuzzer for fuzzer in FUZZERS}
        tally.found += [_shown(by_name[fault.fuzzer], fault, wish.seed) for fault in kinds.values()]


def _by_turns(wish: Wish, tally: Tally, came: dict[str, Came]) -> None:
    end = time.monotonic() + wish.seconds
    for fuzzer, first, count in shares(FUZZERS, wish.tries, TURNS):
        if tally.tries and time.monotonic() > end:
            break
        done = chunk(fuzzer, wish.seed, first, count)
        came[fuzzer.name].add(done)
        tally.tries += done.tried
        tally.took(done.slowest_s, done.most_mb)


def _row(name: str, came: Came) -> str:
    return (
        f"{name:22}{came.tried:10,} tried{came.refused:10,} refused{came.seconds:8.1f} s"
        f"{came.slowest_s:8.2f} s at most (input {came.slowest}){came.most_mb:5.0f} MB"
    )


def _shown(fuzzer: Fuzzer, fault: Fault, seed: int) -> str:
    """A fault in one line, with the smallest input found that shows it."""
    data = fault.data or fuzzer.at(seed, fault.index)
    if len(data) <= MOST_MINIMISED:
        data = minimised(same_fault(fuzzer, fault.kind), data)
    told = " ".join(fault.told.split())[-200:]
    if len(data) > SHOWN_WHOLE:
        with tempfile.NamedTemporaryFile(prefix="fuzz-found-", delete=False) as file:
            file.write(data)
        return f"{fuzzer.name}, input {fault.index}: {fault.kind}: {told}; {Path(file.name)}"
    return f"{fuzzer.name}, input {fault.index}: {fault.kind}: {told}; {data!r}"


if __name__ == "__main__":
    run(__doc__, attack, tries=1_000_000, seconds=1_800)
