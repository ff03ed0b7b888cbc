"""Stories -> SVG, black on white but for yarns. Nothing that a weaver wrote goes into a chart but their colours."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from drawsvg import Drawing, Line, Path, Rectangle, Text

from assistant.paper.hanging import Paint, from_the_left, looks, runs, spans
from assistant.paper.story import Step, Story
from assistant.session.history import local
from assistant.warp.model import End, Group, Warp
from assistant.words.numerals import Numerals

WIDTH, LEFT, SMALL = 680, 120, 11  # of a chart, of what stands beside it, and of its letters; in pixels
ROW, BAR = 24, 11  # of a sitting, and of the bar in it
HIGH = 150  # of the pace over time
SPANS = (1, 2, 5, 10, 15, 20, 30, 60, 120, 240)  # minutes that a bar of the pace may stand for
MOST_BARS = 60
NOTCHES = (0.5, 1, 2, 5, 10, 20, 30, 60, 120, 240, 600)  # seconds between lines of the pace
PACE_WIDE, PACE_HIGH = 110, 9
WARP_HIGH, BORDER = 64, 7  # of the warp as it hangs, and of what stands out below it where a group ends
CLOSE_WIDE, CLOSE_HIGH = 170, 16  # of one group
APART = 2.0  # ends at least so wide are parted by lines

Worded = Callable[..., str]  # a phrase by its key, with its places, in words


def warp(hanging: Warp, marked: Mapping[str, Sequence[int]], say: Worded) -> str:
    """Every end in its colour in loom order, right on the right; below it where groups end, and numbers at some."""
    per_end = WIDTH / hanging.ends
    places = {name: sum(span) / 2 * per_end for name, span in spans(hanging).items() if name in marked}
    texts = {name: ", ".join(map(str, marked[name])) for name in sorted(places, key=lambda name: places[name])}
    rows = _rows([(places[name], len(text) * SMALL * 0.65 + 4) for name, text in texts.items()])
    deep = BORDER + (SMALL + 8 + max(rows) * (SMALL + 2) if rows else 1)
    drawing = _drawing(WIDTH, WARP_HIGH + deep, say("warp as it hangs"))
    _ends(drawing, from_the_left(hanging, hanging.every_end()), looks(hanging), WIDTH, WARP_HIGH)
    borders = sorted({end for span in spans(hanging).values() for end in span})
    steps = "".join(f"M{end * per_end:.2f} {WARP_HIGH}v{BORDER}" for end in borders)
    drawing.append(Path(steps, stroke="black", stroke_width=0.5))
    for (name, text), row in zip(texts.items(), rows, strict=True):
        x, y = places[name], WARP_HIGH + 2
        half = len(text) * SMALL * 0.325
        drawing.append(Path(f"M{x:.2f} {y}l4 7h-8z"))
        middle = min(max(x, half), WIDTH - half)
        drawing.append(Text(text, SMALL, middle, y + 8 + SMALL + row * (SMALL + 2), text_anchor="middle"))
    return _svg(drawing)


def group(hanging: Warp, of: Group, say: Worded) -> str:
    """One group close by, likewise."""
    drawing = _drawing(CLOSE_WIDE, CLOSE_HIGH, say("ends", count=len(of.ends), number=len(of.ends)))
    _ends(drawing, from_the_left(hanging, of.ends), looks(hanging), CLOSE_WIDE, CLOSE_HIGH)
    return _svg(drawing)


def swatch(look: Paint) -> str:
    """A yarn as it is drawn."""
    drawing = Drawing(22, 14, aria_hidden="true")
    drawing.append(Rectangle(0, 14 * (1 - look.high), 22, 14 * look.high, fill=look.colour))
    drawing.append(Rectangle(0.3, 0.3, 21.4, 13.4, fill="none", stroke="black", stroke_width=0.6))
    return _svg(drawing)


def _ends(drawing: Drawing, ends: Sequence[End], drawn: Mapping[str, Paint], width: float, high: float) -> None:
    """The ends from left to right, each yarn as one shape, in a frame, since a yarn may be as white as the paper."""
    per_end = width / len(ends)
    shapes = dict.fromkeys(drawn, "")
    for run in runs(ends):
        tall = high * drawn[run.yarn].high
        left, wide = run.left * per_end, run.ends * per_end
        shapes[run.yarn] += f"M{left:.2f} {high - tall:g}h{wide:.2f}v{tall:g}h-{wide:.2f}z"
    for yarn, shape in shapes.items():
        if shape:
            drawing.append(Path(shape, fill=drawn[yarn].colour))
    if per_end >= APART:
        lines = "".join(f"M{end * per_end:.2f} 0v{high:g}" for end in range(1, len(ends)))
        drawing.append(Path(lines, stroke="#999", stroke_width=0.4))
    frame = Rectangle(0.3, 0.3, width - 0.6, high - 0.6, fill="none", stroke="black", stroke_width=0.6)
    drawing.append(frame)


def _rows(texts: Sequence[tuple[float, float]]) -> list[int]:
    """For texts by the place of their middle and their width, from left to right, the row where each has room."""
    ends: list[float] = []
    found = []
    for middle, wide in texts:
        row = next((n for n, end in enumerate(ends) if end <= middle - wide / 2), len(ends))
        ends[row : row + 1] = [middle + wide / 2]
        found.append(row)
    return found


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
