"""Cards for the loom bench: a page or more for each job, in the order in which it is worked, filled by its figures."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

from assistant.errors import CardError
from assistant.meaning import Tell
from assistant.paper import CARDS
from assistant.paper.blocks import Block, Row, Tick, blocks, marks
from assistant.paper.fitting import Fit, Room, Uncut, Uncuts, fit, lines, rows, wide
from assistant.paper.plan import own_sleys, sleyed, unequal
from assistant.paper.sizes import A4, Paper
from assistant.paper.writing import MARK, layouts, unparted
from assistant.warp.heddles import ShaftPlan
from assistant.warp.lengths import long, per
from assistant.warp.outward import centre
from assistant.warp.plan.whole import Plan
from assistant.warp.reed import reed_dents, sley_cautions
from assistant.words.language import Language, load
from assistant.words.phrases import Phrases

MARGINS = (12, 23)  # mm, at the sides, each, and above and below together: as cards.css has them
LEAST = {"heddles": 16.0, "thread": 13.0, "sley": 14.0}  # points, of the figures
MOST_COLUMNS = 4
WIDEST = 16.0  # ems that a line without a break may ask for, where it holds words
# In ems of the figures, as cards.css has them: a box with what parts it from its words, the sizes of words and of what
# stands small, lines of figures and of words, what parts things beside each other.
BOX, WORDS, SMALL, LINE, TEXT, APART = 1.0, 0.75, 0.6, 1.3, 1.0, 0.5
DIGIT, RING, RULE = 0.7, 1.8, 0.25
DOT = "\u00a0· "  # between facts


@dataclass(frozen=True, slots=True)
class Card:
    """One card: its heading, and what is below it, measured in ems of its figures."""

    job: str
    title: str
    facts: tuple[str, ...]
    fit: Fit
    cell: float = 0.0  # the width of one of the things that stand beside each other in rows
    lead: float = 0.0  # what stands before them
    across: int = 1  # columns of the marks along the reed


def cards(
    plan: Plan,
    jobs: Sequence[str] = (),
    per_call: int | None = None,
    language: Language | None = None,
    paper: Paper = A4,
) -> str:
    """One HTML document with a card for each job, all three when none is named; in English where no language is given.

    The plan is of the warp as it is called. The sley card is left out where nothing is known of the reed. Raises
    CardError for a job without a card.
    """
    language = language or load("en")
    phrases = Phrases.read(language, "paper", "plan", "phrases")
    made = _Cards(plan, per_call, phrases, language, paper)
    layout = layouts()
    layout.filters |= {"number": language.numerals.plain, "told": made.told, "spare": made.spare}
    return layout.get_template("cards.html").render(
        lang=language.code,
        mark=MARK,
        paper=paper,
        say=made.say,
        plan=plan,
        warp=plan.warp,
        cards=[made.card(job) for job in asked(plan, jobs)],
        blocks=made.blocks,
        marks=made.marks,
        sley_facts=made.sley_facts,
        repeat=made.repeat,
        shared=made.shared,
        tick_width=made.tick_width,
    )


def asked(plan: Plan, jobs: Sequence[str]) -> list[str]:
    """The jobs whose cards are made. Raises CardError for one that has none."""
    for job in jobs:
        if job not in CARDS:
            raise CardError(
                "there is no card for {job}; there are cards for {known}",
                job=job,
                known=", ".join(CARDS),
            )
    if "sley" in jobs and not plan.dented:
        raise CardError("there is no sley plan for a card; write reed, with sett or sley, in the file")
    return [job for job in jobs or CARDS if job != "sley" or plan.dented]


def spare(shaft: ShaftPlan) -> Tell:
    """What to do on one shaft before, or while, threading."""
    if shaft.on_loom is None:
        return Tell("not counted")
    if shaft.missing:
        return Tell("missing", missing=shaft.missing, group=shaft.runs_out)
    return Tell("spare", left=shaft.left, right=shaft.right)


class _Cards:
    """The cards of one plan, in words, and how large each comes out."""

    def __init__(self, plan: Plan, per_call: int | None, phrases: Phrases, language: Language, paper: Paper) -> None:
        self._plan, self._phrases, self._numerals, self._paper = plan, phrases, language.numerals, paper
        self.blocks = blocks(plan, per_call, phrases)
        self.marks = marks(plan, plan.dented) if plan.dented else []
        self.repeat = unparted(phrases.worded(sleyed(plan.dented.sley))) if plan.dented else ""
        self.shared = any(tick.shared for block in self.blocks for tick in block.ticks)
        self.sley_facts = list(self._sley_facts())

    def say(self, key: str, **places: object) -> str:
        """A phrase, its numbers and their units on one line."""
        return unparted(self._phrases.text(key, **places))

    def told(self, tell: Tell) -> str:
        """What is told, likewise."""
        return self.say(tell.phrase, **tell.places)

    def spare(self, shaft: ShaftPlan) -> str:
        """What to do on one shaft, in words."""
        return self.told(spare(shaft))

    def ends(self, block: Block) -> str:
        """How many ends a group has, or each of those alike."""
        return self.say("ends each" if block.times > 1 else "ends", count=block.ends, number=block.ends)

    def card(self, job: str) -> Card:
        """The card of a job."""
        return {"heddles": self._heddles, "thread": self._thread, "sley": self._sley}[job]()

    def _facts(self, *more: str) -> str:
        warp = self._plan.warp
        return DOT.join((warp.title, self.say("ends", count=warp.ends, number=warp.ends), *more))

    def _room(self, title: str, facts: Iterable[str]) -> Room:
        width, height = ((mm - less) * 72 / 25.4 for mm, less in zip(*self._sheet, strict=True))
        heading = 25.3 * lines(22 * wide(title, bold=True), width)
        told = sum(2.8 + 15.6 * lines(12 * wide(line), width) for line in facts)
        return Room(width, height, height - heading - told - 21)

    @property
    def _sheet(self) -> tuple[tuple[float, float], tuple[float, float]]:
        return (self._paper.width, self._paper.height), (2 * MARGINS[0], MARGINS[1])

    def _fitted(self, job: str, facts: tuple[str, ...], pieces: Uncuts, widest: float, most_columns: int = 1) -> Fit:
        return fit(pieces, self._room(self.say(f"{job} title"), facts), LEAST[job], most_columns, widest)

    def tick_width(self, job: str, block: Block) -> float:
        """How wide each of its boxes is with what stands beside it, in ems of words."""
        told: dict[str, Callable[[Tick], str]] = {
            "heddles": lambda tick: tick.name,
            "thread": lambda tick: f"{tick.name}: {self._numerals.plain(tick.ends)}",
            "sley": lambda tick: f"{tick.name}: {self._numerals.plain(tick.dent or 0)}*",
        }
        return BOX + APART / WORDS + max(wide(told[job](tick), bold=True) for tick in block.ticks)

    def _ticks(self, job: str, block: Block, width: float, again: float = 0.0) -> list[Uncut]:
        """The boxes of groups that are alike, a piece a line."""
        each = min(WORDS * self.tick_width(job, block), width)
        return [Uncut(LINE * WORDS * 1.1, again)] * rows([each] * len(block.ticks), width)

    def _heading(self, told: str, width: float) -> float:
        return RULE + LINE * WORDS * lines(BOX + WORDS * wide(told, bold=True), width)

    # Heddles to count out: what every shaft needs, then by group.

    def _heddles(self) -> Card:
        facts = (self._facts(self.say(f"count from {self._plan.warp.start}")),)
        counts = [count for block in self.blocks for _, count in block.heddles]
        cell = RING + 0.2 + DIGIT * len(self._numerals.plain(max(counts))) + 2 * APART
        pieces = partial(self._heddle_pieces, cell=cell)
        widest = min(WIDEST, max(self._before_told + WORDS * wide(self.spare(shaft)) for shaft in self._plan.shafts))
        return Card("heddles", self.say("heddles title"), facts, self._fitted("heddles", facts, pieces, widest), cell)

    @property
    def _before_told(self) -> float:
        """The columns of the table before that of what to do."""
        numbers = [self._numerals.plain(max(shaft.needed, shaft.on_loom or 0)) for shaft in self._plan.shafts]
        digits = DIGIT * max(map(len, numbers))
        heads = (SMALL * wide(self.say(key)) for key in ("shaft", "needed", "on the loom"))
        return sum(max(head, least) + APART for head, least in zip(heads, (RING, digits, digits), strict=True))

    def _heddle_pieces(self, width: float, cell: float) -> list[Uncut]:
        head = LINE * SMALL + 0.2
        told = width - self._before_told
        table = [
            Uncut(0.15 + max(LINE, TEXT * lines(WORDS * wide(self.spare(shaft)), told)), head)
            for shaft in self._plan.shafts
        ]
        table[0] = Uncut(table[0].height + head)
        found = [*table, Uncut(0.3)]
        for block in self.blocks:
            heading = self._heading(f"{block.name} {self.ends(block)}", width)
            figures = LINE * rows([cell] * len(block.heddles), width)
            found.append(Uncut(heading + figures + 0.2))
            if block.times > 1:
                found += self._ticks("heddles", block, width)
        return found

    # The call sheet: a line a call.

    def _thread(self) -> Card:
        warp = self._plan.warp
        yarns = DOT.join(f"{yarn.key}: {yarn.name}" for yarn in warp.yarns.values() if yarn.name != yarn.key)
        where = (self.say(f"begin at {warp.start}"), self.say(f"shaft 1 {warp.loom.shaft_1}"))
        signs = [self.say("sheet signs")] if any(end.floats or end.joins for end in warp.every_end()) else []
        named = [yarns] if len(warp.yarns) > 1 and yarns else []
        facts = (self._facts(*where), *named, self.say("sheet note"), *signs)
        told = [shafts for block in self.blocks for row in block.rows for _, shafts in row.ends]
        cell = max(map(_shafts_wide, told), default=0.0)
        digits = len(self._numerals.plain(max(block.ends for block in self.blocks)))
        lead = BOX + DIGIT * SMALL * digits + 0.4
        calls = [row for block in self.blocks for row in block.rows]
        most = max(sum(_row(row, cell)) for row in calls)
        cell = most / max(len(row.ends) for row in calls)
        pieces = partial(self._thread_pieces, cell=cell, lead=lead)
        fitted = self._fitted("thread", facts, pieces, lead + most, MOST_COLUMNS)
        return Card("thread", self.say("thread title"), facts, fitted, cell, lead)

    def _thread_pieces(self, width: float, cell: float, lead: float) -> list[Uncut]:
        found: list[Uncut] = []
        for block in self.blocks:
            in_all = f"{DOT}{block.ticks[0].ends} {self.say('in all')}" if block.times == 1 else ""
            head = self._heading(f"{block.name} {self.ends(block)}{in_all}", width) + 0.1
            body = [Uncut(LINE, head)] if block.like else []
            body += [Uncut(_row_high(row, cell, width - lead), head) for row in block.rows]
            if block.times > 1:
                body += self._ticks("thread", block, width, head)
            first, *rest = body
            found += [Uncut(first.height + head + (0.4 if found else 0.0)), *rest]
        return found

    # The sley plan: the repeat, the dents that groups end in, marks along the reed.

    def _sley_facts(self) -> Iterable[str]:
        plan = self._plan
        lying, start = plan.dented, plan.start
        if lying is None or start is None:
            return
        dents = self.say("dents", count=lying.dents, number=lying.dents)
        reed = self.told(per(plan.warp.loom.reed or 0, plan.unit))
        how_wide = self.say("wide", width=long(lying.width, plan.unit))
        yield f"{self.say('reed of')} {reed}{DOT}{dents}{DOT}{how_wide}"
        if start.first_dent:
            in_reed = reed_dents(lying, plan.reed_width or 0)
            yield self.say(f"first end in dent from {plan.warp.start}", dent=start.first_dent, dents=in_reed)
        yield self.say(f"first end {plan.warp.start} of centre", distance=long(start.from_centre, plan.unit))
        if plan.warp.call_from == "centre" and lying.dents > 1:
            half = centre(lying)
            end, far = lying.held(half + 1).start - 1, lying.dents - half
            yield self.say(f"centre from {plan.warp.start}", end=end, following=end + 1, near=half, far=far)
        for cautioned in sley_cautions(plan.warp):
            yield self.told(cautioned)
        yield from map(self.told, own_sleys(plan.warp))
        if uneven := unequal(lying):
            yield DOT.join(map(self.told, uneven))

    def _sley(self) -> Card:
        facts = (self._facts(self.say(f"from {self._plan.warp.start}")),)
        mark = max(
            (
                WORDS * wide(self.told(mark.distance))
                + SMALL * wide(self.say("ends", count=mark.ends, number=mark.ends))
                + DIGIT * len(self._numerals.plain(mark.dent))
                + 3 * APART
                for mark in self.marks
            ),
            default=1.0,
        )
        fitted = self._fitted("sley", facts, partial(self._sley_pieces, mark=mark), min(mark, WIDEST))
        room = self._room("", ()).width / fitted.size
        return Card("sley", self.say("sley title"), facts, fitted, across=max(1, int(room / mark)))

    def _sley_pieces(self, width: float, mark: float) -> list[Uncut]:
        found = [Uncut(0.3 + 1.6 * LINE * lines(1.6 * wide(self.repeat, bold=True), width))]
        found += [Uncut(0.1 + LINE * WORDS * lines(WORDS * wide(fact, bold=True), width)) for fact in self.sley_facts]
        title = [Uncut(self._heading(self.say("groups and dents"), width) + 0.6)]
        for block in self.blocks:
            title_high = title.pop().height if title else 0.0
            if block.times == 1:
                told = BOX + WORDS * wide(f"{block.name}: {self.ends(block)}", bold=True) + 5 * DIGIT
                found.append(Uncut(title_high + 0.1 + LINE * lines(told, width)))
            else:
                found.append(Uncut(title_high + 0.1 + LINE * WORDS * lines(WORDS * wide(block.name, bold=True), width)))
                found += self._ticks("sley", block, width)
        if self.marks:
            across = max(1, int(width / mark))
            many = -(-len(self.marks) // across)
            found.append(Uncut(0.6 + self._heading(self.say("along the reed"), width) + LINE))
            found += [Uncut(LINE)] * (many - 1)
        notes = f"{self.say('dents are counted')} {self.say('next group begins') if self.shared else ''}"
        return [*found, Uncut(0.5 + LINE * SMALL * lines(SMALL * wide(notes), width))]


def _shafts_wide(shafts: str) -> float:
    """The shafts of one end, in a box where there are several."""
    several = "/" in shafts
    return DIGIT * len(shafts.replace("/", "")) + (0.4 * shafts.count("/") + 0.4 if several else 0) + APART


def _row(row: Row, cell: float) -> list[float]:
    """How wide each end of a call comes out."""
    return [max(cell, SMALL * wide(yarn) + APART if yarn else 0.0) for yarn, _ in row.ends]


def _row_high(row: Row, cell: float, width: float) -> float:
    named = SMALL * 1.1 if any(yarn for yarn, _ in row.ends) else 0.0
    return 0.2 + (LINE + named) * rows(_row(row, cell), width)
