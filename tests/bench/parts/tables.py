"""What the hearing benchmark prints."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

import numpy as np
from parts.ears import RIVALS, Cost
from parts.measuring import CLEAN, CONDITIONS_OF, Condition, Report, Score
from parts.others import TALKED_OVER
from parts.spoken import NATURAL
from parts.wanted import LARGEST


def show(reports: list[Report], costs: dict[str, Cost], markdown: bool) -> None:
    """Recall, and wrong words in brackets, in %; false activations an hour; delay; what listening costs."""
    ears = list(costs)
    rows = [*_recall(reports, ears), *_false(reports, ears), *_cost(reports, costs)]
    _table(["", *ears], rows, markdown)
    print()
    voices = list(dict.fromkeys(report.voice for report in reports))
    _table(["", *voices], [*_by_voice(reports, ears, voices)], markdown)
    compared = [(ear, rival) for ear, rival in RIVALS.items() if {ear, rival} <= {*ears}]
    if compared:
        print("\ntimes as many false activations, commands; where there was none, one is taken")
    for kind in _kinds(reports, "commands") if compared else ():
        ratios = [f"{rival}/{ear} {ratio}" for ear, rival in compared if (ratio := _times(reports, kind, ear, rival))]
        print(f"{kind}: {', '.join(ratios) or '–'}")


def show_curve(reports: list[Report], markdown: bool) -> None:
    """For each ear and threshold: recall, and wrong words in brackets, in %, and false activations an hour."""
    for mode in CONDITIONS_OF:
        conditions, kinds = _conditions(reports, mode), _kinds(reports, mode)
        rows = []
        for ear, threshold in dict.fromkeys((report.ear, report.threshold) for report in reports):
            these = [report for report in reports if (report.ear, report.threshold) == (ear, threshold)]
            recalls = [_percent(_sum(these, mode, condition)) for condition in conditions]
            rows.append([f"{ear} {threshold}", *recalls, *(_rate(these, ear, mode, kind) for kind in kinds)])
        _table([mode, *map(_named, conditions), *(f"false/h, {kind}" for kind in kinds)], rows, markdown)
        print()


def _recall(reports: list[Report], ears: list[str]) -> Iterator[list[str]]:
    for mode in CONDITIONS_OF:
        for condition in _conditions(reports, mode):
            scores = [_sum((each for each in reports if each.ear == ear), mode, condition) for ear in ears]
            yield [f"{mode}, {_named(condition)}", *map(_percent, scores)]
    natural = [report for report in reports if report.voice in NATURAL]
    scores = [_sum((each for each in natural if each.ear == ear), "untaught", CLEAN) for ear in ears]
    yield ["next, repeat, back by natural voices, clean", *map(_percent, scores)]


def _false(reports: list[Report], ears: list[str]) -> Iterator[list[str]]:
    for mode in LARGEST:
        for kind in _kinds(reports, mode):
            yield [f"false/h, {mode}, {kind}", *(_rate(reports, ear, mode, kind) for ear in ears)]


def _cost(reports: list[Report], costs: dict[str, Cost]) -> Iterator[list[str]]:
    delays: dict[tuple[str, str], list[float]] = defaultdict(list)
    for report in reports:
        for (mode, _), score in report.scores.items():
            delays[report.ear, mode] += score.delays
    for mode in TALKED_OVER:
        for share in (50, 95):
            cells = [_late(delays[ear, mode], cost.computing(mode, share), share) for ear, cost in costs.items()]
            yield [f"decided after the word's end, {mode}, {share} %", *cells]
    for mode in TALKED_OVER:
        for share, told in ((95, "95 %"), (100, "at most")):
            cells = [
                f"{1000 * cost.computing(mode, share):.0f} ms" if cost.decisions else "–" for cost in costs.values()
            ]
            yield [f"computing a decision, {mode}, {told}", *cells]
    yield ["of one core while listening", *(f"{100 * cost.share:.1f} %" for cost in costs.values())]
    yield ["resident memory, Python and all", *(f"{cost.resident_mb:.0f} MB" for cost in costs.values())]


def _late(delays: list[float], computing: float, share: int) -> str:
    return f"{1000 * (np.percentile(delays, share) + computing):.0f} ms" if delays else "–"


def _by_voice(reports: list[Report], ears: list[str], voices: list[str]) -> Iterator[list[str]]:
    for ear in ears:
        for mode in CONDITIONS_OF:
            each = [_sum((r for r in reports if (r.ear, r.voice) == (ear, one)), mode, CLEAN) for one in voices]
            if any(score.said for score in each):
                yield [f"{ear}, {mode}, clean", *map(_percent, each)]


def _conditions(reports: list[Report], mode: str) -> list[Condition]:
    """Those that were measured."""
    measured = {key for report in reports for key in report.scores}
    return [condition for condition in CONDITIONS_OF[mode] if (mode, condition) in measured]


def _kinds(reports: list[Report], mode: str) -> list[str]:
    """Of talk that were listened to."""
    return list(dict.fromkeys(kind for report in reports for each, kind in report.false if each == mode))


def _sum(reports: Iterable[Report], mode: str, condition: Condition) -> Score:
    return sum((report.scores.get((mode, condition), Score()) for report in reports), Score())


def _percent(score: Score) -> str:
    return f"{100 * score.right / score.said:.1f} ({100 * score.wrong / score.said:.1f})" if score.said else "–"


def _named(condition: Condition) -> str:
    noise, snr = condition
    return noise if condition == CLEAN else f"{noise} {snr} dB"


def _rate(reports: list[Report], ear: str, mode: str, kind: str) -> str:
    found, seconds = _counted(reports, ear, mode, kind)
    return f"{3600 * found / seconds:.1f} ({found} in {seconds / 3600:.2f} h)" if seconds else "–"


def _times(reports: list[Report], kind: str, ear: str, rival: str) -> str:
    """How many times as many an hour the rival has; "" where not both have listened."""
    (ours, seconds), (theirs, their_seconds) = (_counted(reports, each, "commands", kind) for each in (ear, rival))
    if not (seconds and their_seconds):
        return ""
    return f"{max(theirs, 1) / their_seconds / (max(ours, 1) / seconds):.0f}"


def _counted(reports: list[Report], ear: str, mode: str, kind: str) -> tuple[int, float]:
    counts = [report.false.get((mode, kind), (0, 0.0)) for report in reports if report.ear == ear]
    return sum(found for found, _ in counts), sum(seconds for _, seconds in counts)


def _table(head: list[str], rows: list[list[str]], markdown: bool) -> None:
    widths = [max(len(row[at]) for row in [head, *rows]) for at in range(len(head))]
    if markdown:
        print("| " + " | ".join(head) + " |")
        print("| --- |" + " ---: |" * (len(head) - 1))
    for row in rows if markdown else [head, *rows]:
        cells = [f"{cell:{side}{width}}" for cell, side, width in zip(row, "<" + len(row) * ">", widths, strict=False)]
        print("| " + " | ".join(row) + " |" if markdown else "  ".join(cells))
