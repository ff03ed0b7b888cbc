"""How well words are heard: taught ones, untaught ones by the built-in ear, and both beside a plain grammar recogniser.

Every ear hears the same sound in the same run. A weaver's voice says twelve commands, and the numbers 1 to 30 where a
number was asked for, in a stream, clean and in noise; and what is said untaught for next, repeat and back. The voices
were not used in tuning, unless asked. Other people talk without end at the weaver's own level, and nothing is to be
heard in that. The taught ear was taught by three examples of each word in a quiet room. SNR: the mean power of a word's
frames within 30 dB of its loudest, at the weaver's usual level, to that of the noise.

Run with: python tests/bench/hearing.py, and --help for what can be chosen
"""

import argparse
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from ears import EARS, TAUGHT, Cost, cost, taught_by
from measuring import CLEAN, MODES, Condition, Job, Report, Score, measure, stream, talk
from spoken import HELD_OUT, NATURAL, TUNING, voice

THRESHOLDS = {"taught": (0.8, 0.9, 1.0, 1.15, 1.3), "built-in": (0.3, 0.4, 0.5, 0.6, 0.7)}
COST_HOURS = 1 / 30  # of talk, in which it is measured what listening costs


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--hours", type=float, default=0.2, help="of talk for each ear and weaver (%(default)s)")
    parser.add_argument("--repetitions", type=int, default=2, help="of each word (%(default)s)")
    parser.add_argument("--seed", type=int, default=0, help="another one makes other sound (%(default)s)")
    parser.add_argument("--tuning", action="store_true", help="with the voices used in tuning instead")
    parser.add_argument("--snr", nargs="*", type=int, default=(20, 15, 10, 5), help="noise, in dB: %(default)s")
    parser.add_argument("--voices", nargs="+", help="only these weavers")
    parser.add_argument("--ears", nargs="+", default=EARS, choices=EARS, help="only these")
    parser.add_argument("--markdown", action="store_true", help="print the tables in Markdown")
    parser.add_argument("--curve", action="store_true", help="recall, clean, against false activations by threshold")
    options = parser.parse_args()
    known = TUNING if options.tuning else HELD_OUT
    names = [name for name in known if voice(name) and name in (options.voices or known)]
    ears = [ear for ear in options.ears if not options.curve or ear in THRESHOLDS]
    sets = tuple((ear, threshold) for ear in ears for threshold in (THRESHOLDS[ear] if options.curve else (None,)))
    snrs = () if options.curve else tuple(options.snr)
    jobs = [Job(name, sets, options.hours, options.repetitions, options.seed, snrs) for name in names]
    with ProcessPoolExecutor(2, mp_context=get_context("spawn"), max_tasks_per_child=1) as pool:
        reports = [report for each in pool.map(measure, jobs) for report in each]
        if options.curve:
            show_curve(reports)
            return
        sound, _ = stream(names[0], MODES["commands"][0], CLEAN, TAUGHT)
        sound = np.concatenate([sound, *talk(names[0], COST_HOURS, options.seed)])
        taught = taught_by(names[0]) if "taught" in ears else None
        costs = {ear: pool.submit(cost, ear, taught, sound).result() for ear in ears}
    show(reports, costs, options.markdown)


def show(reports: list[Report], costs: dict[str, Cost], markdown: bool) -> None:
    """Recall, and wrong words in brackets, in %; false activations an hour; delay; what listening costs."""
    ears = list(costs)
    rows = [*_recall(reports, ears), *_false(reports, ears), *_cost(reports, costs)]
    _table(["", *ears], rows, markdown)
    print()
    voices = list(dict.fromkeys(report.voice for report in reports))
    _table(["", *voices], [*_by_voice(reports, ears, voices)], markdown)
    if "grammar" in ears and not markdown:
        for ear in ears[: ears.index("grammar")]:
            many, few = (max(_rate(reports, each, "commands", "synthetic"), 0.01) for each in ("grammar", ear))
            print(f"\nfalse activations in talk, grammar/{ear}: {many / few:.0f} (none is counted as 0.01 an hour)")


def show_curve(reports: list[Report]) -> None:
    """For each ear and threshold: recall, clean, and false activations an hour."""
    rows = []
    for ear, threshold in dict.fromkeys((report.ear, report.threshold) for report in reports):
        these = [report for report in reports if (report.ear, report.threshold) == (ear, threshold)]
        recalls = [_percent(_sum(these, mode, CLEAN)) for mode in MODES]
        rates = [f"{_rate(these, ear, 'commands', speech):.1f}" for speech in ("synthetic", "human")]
        rows.append([f"{ear} {threshold}", *recalls, *rates])
    _table(["threshold", *(f"{mode}, clean" for mode in MODES), "false/h, talk", "false/h, people"], rows, False)


def _recall(reports: list[Report], ears: list[str]) -> Iterator[list[str]]:
    for mode, (_, _, conditions) in MODES.items():
        measured = {key for report in reports for key in report.scores}
        for condition in (each for each in conditions if (mode, each) in measured):
            scores = [_sum((each for each in reports if each.ear == ear), mode, condition) for ear in ears]
            yield [f"{mode}, {_named(condition)}", *map(_percent, scores)]
    natural = [report for report in reports if report.voice in NATURAL]
    scores = [_sum((each for each in natural if each.ear == ear), "untaught", CLEAN) for ear in ears]
    yield ["next, repeat, back by natural voices, clean", *map(_percent, scores)]


def _false(reports: list[Report], ears: list[str]) -> Iterator[list[str]]:
    for mode, speech in (("commands", "synthetic"), ("numbers", "synthetic"), ("commands", "human")):
        cells = []
        for ear in ears:
            found, seconds = _counted(reports, ear, mode, speech)
            cells.append(f"{3600 * found / seconds:.1f} ({found} in {seconds / 3600:.2f} h)")
        yield [f"false/h, {mode}, {speech} talk", *cells]


def _cost(reports: list[Report], costs: dict[str, Cost]) -> Iterator[list[str]]:
    delays: dict[str, list[float]] = defaultdict(list)
    for report in reports:
        for score in report.scores.values():
            delays[report.ear] += score.delays
    for share in (50, 95):
        waits = [1000 * (np.percentile(delays[ear], share) + costs[ear].computing(share)) for ear in costs]
        yield [f"decided after the word's end, {share} %", *(f"{wait:.0f} ms" for wait in waits)]
    yield ["computing a decision, at most", *(f"{1000 * cost.computing(100):.0f} ms" for cost in costs.values())]
    yield ["of one core while listening", *(f"{100 * cost.share:.1f} %" for cost in costs.values())]
    yield ["resident memory, Python and all", *(f"{cost.resident_mb:.0f} MB" for cost in costs.values())]


def _by_voice(reports: list[Report], ears: list[str], voices: list[str]) -> Iterator[list[str]]:
    for ear in ears:
        for mode in MODES:
            each = [_sum((r for r in reports if (r.ear, r.voice) == (ear, one)), mode, CLEAN) for one in voices]
            if any(score.said for score in each):
                yield [f"{ear}, {mode}, clean", *map(_percent, each)]


def _sum(reports: Iterable[Report], mode: str, condition: Condition) -> Score:
    return sum((report.scores.get((mode, condition), Score()) for report in reports), Score())


def _percent(score: Score) -> str:
    return f"{100 * score.right / score.said:.1f} ({100 * score.wrong / score.said:.1f})" if score.said else "–"


def _named(condition: Condition) -> str:
    noise, snr = condition
    return noise if condition == CLEAN else f"{noise} {snr} dB"


def _counted(reports: list[Report], ear: str, mode: str, speech: str) -> tuple[int, float]:
    counts = [report.false[mode, speech] for report in reports if report.ear == ear]
    return sum(found for found, _ in counts), sum(seconds for _, seconds in counts)


def _rate(reports: list[Report], ear: str, mode: str, speech: str) -> float:
    found, seconds = _counted(reports, ear, mode, speech)
    return 3600 * found / seconds


def _table(head: list[str], rows: list[list[str]], markdown: bool) -> None:
    widths = [max(len(row[at]) for row in [head, *rows]) for at in range(len(head))]
    if markdown:
        print("| " + " | ".join(head) + " |")
        print("| --- |" + " ---: |" * (len(head) - 1))
    for row in rows if markdown else [head, *rows]:
        cells = [f"{cell:{side}{width}}" for cell, side, width in zip(row, "<" + len(row) * ">", widths, strict=False)]
        print("| " + " | ".join(row) + " |" if markdown else "  ".join(cells))


if __name__ == "__main__":
    main()
