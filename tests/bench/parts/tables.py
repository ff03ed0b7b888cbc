"""What the hearing benchmark prints: a table of all ears for each part, and one of each ear by who was heard."""

from collections import Counter
from collections.abc import Iterable, Mapping

from parts.scoring import Results, together


def show(part: str, told: str, by_subject: Mapping[str, Results], markdown: bool) -> None:
    """`told`: what the rows mean, in a line."""
    print(f"\n### {part.capitalize()}\n\n{told}\n" if markdown else f"\n{part}: {told}")
    _table(together(by_subject.values()), markdown)
    heard = Counter(key for cells in by_subject.values() for key in cells)
    for ear in dict.fromkeys(ear for _, ear in heard):
        several = [row for row, each in heard if each == ear and heard[row, ear] > 1]
        each = {
            (row, who): cells[row, ear] for row in several for who, cells in by_subject.items() if (row, ear) in cells
        }
        if each:
            print(f"\nThe ear “{ear}”, by who was heard:\n" if markdown else f"\n{part}, {ear}:")
            _table(each, markdown)


def _names(results: Results, place: int) -> list[str]:
    """Of the rows (0) or the columns (1), in the order in which they came."""
    return list(dict.fromkeys(key[place] for key in results))


def _table(results: Results, markdown: bool) -> None:
    columns = _names(results, 1)
    rows = [[row, *(str(results.get((row, column), "–")) for column in columns)] for row in _names(results, 0)]
    for line in _in_markdown(columns, rows) if markdown else _in_columns([["", *columns], *rows]):
        print(line)


def _in_markdown(columns: list[str], rows: list[list[str]]) -> Iterable[str]:
    yield f"|  | {' | '.join(columns)} |"
    yield "| --- |" + " ---: |" * len(columns)
    yield from (f"| {' | '.join(row)} |" for row in rows)


def _in_columns(rows: list[list[str]]) -> Iterable[str]:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        yield "  ".join(
            f"{cell:{side}{width}}" for cell, side, width in zip(row, "<" + ">" * len(row), widths, strict=False)
        )
