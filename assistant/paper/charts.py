"""Stories -> SVG, black on white. Nothing that a weaver wrote goes into a chart."""

from collections.abc import Callable, Iterator, Sequence

from drawsvg import Drawing, Line, Rectangle, Text

from assistant.paper.story import Step, Story
from assistant.session.history import local
from assistant.words.numerals import Numerals

WIDTH, LEFT, SMALL = 680, 120, 11  # of a chart, of what stands beside it, and of its letters; in pixels
ROW, BAR = 24, 11  # of a sitting, and of the bar in it
HIGH = 150  # of the pace over time
SPANS = (1, 2, 5, 10, 15, 20, 30, 60, 120, 240)  # minutes that a bar of the pace may stand for
MOST_BARS = 60
NOTCHES = (0.5, 1, 2, 5, 10, 20, 30, 60, 120, 240, 600)  # seconds between lines of the pace
PACE_WIDE, PACE_HIGH = 110, 9

Worded = Callable[..., str]  # a phrase by its key, with its places, in words


def sittings(story: Story, say: Worded) -> str:
    """A strip for each sitting from its first minute to its last: worked where black, empty in a break."""
    strips = [stretches for stretches in story.stretches if stretches]
    longest = max((strip[-1][1] - strip[0][0] for strip in strips), default=0.0)
    if not longest:
        return ""
    per_second = (WIDTH - LEFT) / longest
    drawing = _drawing(WIDTH, ROW * len(strips), say("sittings and breaks"))
    for n, strip in enumerate(strips):
        start, middle = strip[0][0], n * ROW + ROW / 2
        drawing.append(Text(f"{local(start):%m-%d %H:%M}", SMALL, 0, middle + 4))
        long = (strip[-1][1] - start) * per_second
        drawing.append(Line(LEFT, middle, LEFT + long, middle, stroke="black", stroke_dasharray="2 3"))
        for since, until in strip:
            left, wide = LEFT + (since - start) * per_second, max((until - since) * per_second, 1)
            drawing.append(Rectangle(left, middle - BAR / 2, wide, BAR))
    return _svg(drawing)


def over_time(story: Story, say: Worded, numerals: Numerals) -> str:
    """Seconds a unit, minutes worked from left to right; a dashed line where a sitting begins."""
    worked = sum(step.seconds for steps in story.steps for step in steps)
    if not worked:
        return ""
    span = 60.0 * next((s for s in SPANS if worked / 60 / s <= MOST_BARS), SPANS[-1])
    bars = list(_bars([step for steps in story.steps for step in steps], span))
    notch = next((n for n in NOTCHES if max(bars) / n <= 5), NOTCHES[-1])
    top = max(bars) * 1.05
    drawing = _drawing(WIDTH, HIGH + 34, say("pace over time"))
    for line in range(int(top / notch) + 1):
        y = HIGH - line * notch / top * (HIGH - 10)
        drawing.append(Line(LEFT, y, WIDTH, y, stroke="black", stroke_width=0.3))
        drawing.append(Text(f"{numerals.plain(line * notch)} s", SMALL, LEFT - 6, y + 4, text_anchor="end"))
    wide = (WIDTH - LEFT) / len(bars)
    for n, seconds in enumerate(bars):
        high = seconds / top * (HIGH - 10)
        drawing.append(Rectangle(LEFT + n * wide + 0.5, HIGH - high, max(wide - 1, 0.5), high, fill="#555"))
    for begins in _beginnings(story.steps):
        x = LEFT + begins / span * wide
        drawing.append(Line(x, 0, x, HIGH + 5, stroke="black", stroke_dasharray="4 3"))
    drawing.append(Text(say("a bar is", minutes=span / 60), SMALL, LEFT, HIGH + 18))
    drawing.append(Text(f"{numerals.plain(worked / 60, 0)} min", SMALL, WIDTH, HIGH + 18, text_anchor="end"))
    return _svg(drawing)


def pace_bar(pace: float, longest: float, numerals: Numerals) -> str:
    """A pace as a bar, to stand in a table under others; the longest is as wide as can be."""
    drawing = _drawing(PACE_WIDE, PACE_HIGH, f"{numerals.fixed(pace, 1)} s")
    drawing.append(Rectangle(0, 0, PACE_WIDE * pace / longest, PACE_HIGH, fill="#555"))
    return _svg(drawing)


def _bars(steps: Sequence[Step], span: float) -> Iterator[float]:
    """Seconds a unit in each span; a step counts where it ends, with spans in which none did."""
    ends, seconds, units, passed = span, 0.0, 0, 0.0
    for step in steps:
        passed += step.seconds
        seconds, units = seconds + step.seconds, units + step.units
        if passed >= ends:
            spans = int((passed - ends) // span) + 1
            yield from [seconds / units] * spans
            ends, seconds, units = ends + spans * span, 0.0, 0
    if units:
        yield seconds / units


def _beginnings(sittings: Sequence[Sequence[Step]]) -> Iterator[float]:
    """When each sitting but the first begins, in seconds worked."""
    passed = 0.0
    for sitting in sittings[:-1]:
        passed += sum(step.seconds for step in sitting)
        yield passed


def _drawing(width: float, height: float, about: str) -> Drawing:
    return Drawing(width, height, role="img", aria_label=about, font_family="DejaVu Sans, Verdana, sans-serif")


def _svg(drawing: Drawing) -> str:
    return str(drawing.as_svg(header=""))
