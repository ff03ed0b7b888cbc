"""The shortest way to write ends in the notation of a sequence file: counts a..b, repeats n(…), nested."""

from functools import lru_cache

from assistant.warp.notation import Ends

BRACKET = 2  # characters of longer notation that a reader takes for one pair of brackets less
DOTS = 1  # and for one count less
LEAST_COUNT = 4  # ends; 1 2 3 is easier to read than 1..3


def short(ends: Ends) -> str:
    """parse(short(ends)) == ends; never longer than the ends with spaces between. Takes about n² steps for n ends."""
    return _shortest(ends)[1]


def written(ends: Ends) -> list[str]:
    """Each end in the notation."""
    return ["/".join(map(str, end)) for end in ends]


@lru_cache(maxsize=65536)
def _shortest(ends: Ends) -> tuple[int, str]:
    """Price in characters, and the text: the best first piece before the best rest, found from the last end back."""
    best: list[tuple[int, str]] = [(-1, "")]  # of the last 0, 1, 2 … ends; the space before nothing costs nothing
    words = written(ends)
    for at in range(len(ends) - 1, -1, -1):
        left = len(ends) - at
        price, rest = best[left - 1]
        found = (price + len(words[at]) + 1, words[at], rest)
        count = _count(ends, at)
        for length in range(LEAST_COUNT, count + 1):
            text = f"{words[at]}..{words[at + length - 1]}"
            price, rest = best[left - length]
            found = min((price + len(text) + DOTS + 1, text, rest), found, key=_price)
        for period in range(1, left // 2 + 1):
            times = _times(ends, at, period)
            if times == 1:
                continue
            inner, unit = _shortest(ends[at : at + period])
            for repeats in {2, times - 1, times} - {1}:
                price, rest = best[left - period * repeats]
                head = len(f"{repeats}()")
                found = min((price + inner + head + BRACKET + 1, f"{repeats}({unit})", rest), found, key=_price)
        best.append((found[0], f"{found[1]} {found[2]}".rstrip()))
    return best[-1]


def _price(found: tuple[int, str, str]) -> int:
    return found[0]


def _count(ends: Ends, at: int) -> int:
    """How many ends from `at` on count up, or down, by one shaft each."""
    if at + 1 == len(ends) or len(ends[at]) > 1 or abs(step := ends[at + 1][0] - ends[at][0]) != 1:
        return 1
    length = 1
    while at + length < len(ends) and ends[at + length] == (ends[at][0] + step * length,):
        length += 1
    return length


def _times(ends: Ends, at: int, period: int) -> int:
    """How many times the `period` ends from `at` on follow each other."""
    unit = ends[at : at + period]
    times = 1
    while ends[at + times * period : at + (times + 1) * period] == unit:
        times += 1
    return times
