"""The leaves of the front door that are about warps, and the hall. Pure."""

from collections.abc import Callable, Iterator, Mapping
from pathlib import PurePath
from shlex import split

from assistant.front.setting_up import SETTING_UP, go_on, step_told
from assistant.front.values import HALL, Asks, Doing, Known, KnownWarp, Leaf, LeafName, Opened, Pick, Words
from assistant.meaning import Tell
from assistant.session.upcoming import JobState, Standing, Upcoming
from assistant.warp.passes import PASSES, READ

MOST_IN_HALL = 4  # warps
MOST_JOBS_TOLD = 2  # of a warp, those begun last in the order of work
FIRST_EXAMPLE = "first-evening"
EDGES = ("right", "left")
ASKED_OF_CLOTH = {  # in this order; each with the option it becomes
    "width of cloth": "--width",
    "length of cloth": "--cloth",
    "sett of cloth": "--sett",
    "count of yarn": "--yarn",
}
JOBS: Mapping[str, Words] = {name: tuple(split(job.command or name)) for name, job in PASSES.items()}


def opened(leaf: Leaf, known: Known) -> Opened:
    """What stands there."""
    return LEAVES[leaf.name](leaf, known)


def at_first(known: Known) -> Leaf:
    """Where one comes in: who has done and set nothing yet is led through."""
    return Leaf(LeafName.LANGUAGE, first=True) if known.is_fresh else HALL


def _hall(_: Leaf, known: Known) -> Opened:
    picks = [_warp_pick(warp) for warp in known.warps[:MOST_IN_HALL]]
    if len(known.warps) > MOST_IN_HALL:
        picks.append(Pick(Tell("more warps"), Tell("so many", count=len(known.warps)), to=Leaf(LeafName.WARPS)))
    picks += [
        Pick(Tell("begin a warp"), to=Leaf(LeafName.BEGIN)),
        Pick(Tell("set up"), to=Leaf(LeafName.SET_UP)),
        Pick(Tell("settings"), to=Leaf(LeafName.SETTINGS)),
        Pick(Tell("doctor"), lines=(("doctor",),), doing=Doing.READ),
    ]
    told = [known.trouble] if known.trouble else []
    return Opened(Tell("hall"), (*told, *([] if known.warps else [Tell("no warp yet")])), tuple(picks))


def _warps(_: Leaf, known: Known) -> Opened:
    return Opened(Tell("warps"), (), tuple(map(_warp_pick, known.warps)))


def _warp_pick(warp: KnownWarp) -> Pick:
    stands = _stands(warp.latest) if warp.latest else (warp.why or "")
    about = Tell("stands, then", stands=stands, next=_next(warp)) if warp.next and stands else stands
    return Pick(warp.title, about, to=Leaf(LeafName.WARP, (warp.name,)))


def _stands(standing: Standing) -> Tell:
    """How far a job has come."""
    job, told = Tell(f"job {standing.job}"), standing.told
    if told is None:
        return Tell("job so", job=job, so=standing.note or Tell("job not begun"))
    if standing.state is JobState.DONE:
        return Tell("job so", job=job, so=Tell("every group is closed"))
    unit = Tell(told.unit, count=told.total)
    return Tell("job at", job=job, counted=told.counted, total=told.total, units=unit)


def _next(warp: KnownWarp) -> Tell:
    """The job that comes next."""
    assert warp.next
    return Tell(f"do {_job_of(_words(warp.next.commands[0]))}")


def _words(command: str) -> Words:
    return tuple(split(command))[1:]


def _job_of(words: Words) -> str:
    return READ.name if "--read" in words else words[0]


def _warp(leaf: Leaf, known: Known) -> Opened:
    warp, name = known.warp, leaf.of[0]
    if warp is None or warp.next is None:
        why = (warp.why if warp else None) or known.trouble
        picks = (Pick(Tell("record"), lines=(("log", name),), doing=Doing.READ),) if warp and warp.title else ()
        return Opened((warp and warp.title) or name, (why,) if why else (), picks)
    stem = PurePath(name).stem
    first = _words(warp.next.commands[0])
    ends = Tell("so many ends", title=name, count=warp.next.ends)
    told = [_stands(standing) for standing in warp.next.standings if standing.began]
    return Opened(
        warp.title,
        (ends, *told[-MOST_JOBS_TOLD:], warp.next.why, *_left(warp.next)),
        (
            Pick(_next(warp), lines=(first,), doing=Doing.SIT),
            Pick(Tell("another job"), to=Leaf(LeafName.JOBS, leaf.of)),
            Pick(Tell("plan"), lines=(("plan", name),), doing=Doing.READ),
            Pick(Tell("cards"), lines=(("plan", name, "--card", f"{stem}-cards.html", "--replace"),), doing=Doing.READ),
            Pick(Tell("call sheet"), lines=(("calls", name),), doing=Doing.READ),
            Pick(Tell("what comes next"), lines=(("next", name),), doing=Doing.READ),
            *_of_record(warp, name, stem),
        ),
    )


def _left(upcoming: Upcoming) -> Iterator[Tell]:
    """How long the job takes that comes next."""
    for standing in upcoming.standings:
        if standing.job == upcoming.job and standing.left:
            yield standing.left.told


def _of_record(warp: KnownWarp, name: str, stem: str) -> Iterator[Pick]:
    """What can be done once there is one."""
    if warp.latest:
        report = ("log", name, "--report", f"{stem}-record.html", "--replace")
        yield Pick(Tell("record"), lines=(("log", name),), doing=Doing.READ)
        yield Pick(Tell("report"), lines=(report,), doing=Doing.READ)
        yield Pick(Tell("note"), to=Leaf(LeafName.NOTE, (name,)))


def _jobs(leaf: Leaf, known: Known) -> Opened:
    name = leaf.of[0]
    standings = {each.job: each for each in known.warp.next.standings} if known.warp and known.warp.next else {}
    picks = (
        Pick(
            Tell(f"do {job}"),
            _stands(standings[job]) if job in standings and standings[job].began else Tell("job not begun"),
            ((words[0], name, *words[1:]),),
            Doing.SIT,
            Leaf(LeafName.WARP, leaf.of),
        )
        for job, words in JOBS.items()
    )
    search = Pick(Tell("find a mistake"), to=Leaf(LeafName.MISTAKE, leaf.of))
    return Opened(Tell("another job"), (), (*picks, search))


def _note(leaf: Leaf, _: Known) -> Opened:
    name = leaf.of[0]
    back = Leaf(LeafName.WARP, leaf.of)

    def becomes(text: str) -> Pick:
        return Pick(Tell("note"), lines=(("note", text, "--file", name),), to=back) if text else Pick("", to=back)

    return Opened(Tell("note"), asks=Asks(Tell("note text"), becomes))


def _mistake(leaf: Leaf, known: Known) -> Opened:
    if not (known.warp and known.warp.groups):
        return _warp(leaf, known)
    picks = tuple(Pick(group, to=Leaf(LeafName.HOW_OFF, (*leaf.of, group))) for group in known.warp.groups)
    return Opened(Tell("which group was off"), (), picks)


def _how_off(leaf: Leaf, _: Known) -> Opened:
    counted = (Pick(Tell(f"off {how}"), to=Leaf(LeafName.HOW_MANY, (*leaf.of, how))) for how in ("over", "short"))
    even = Pick(Tell("off even"), lines=(_search(*leaf.of, "--even"),), doing=Doing.TERMINAL)
    return Opened(Tell("how was it off"), (), (*counted, even))


def _how_many(leaf: Leaf, _: Known) -> Opened:
    name, group, how = leaf.of
    back = Leaf(LeafName.WARP, (name,))

    def becomes(text: str) -> Pick:
        lines = (_search(name, group, f"--{how}", text),)
        return Pick("", lines=lines, doing=Doing.TERMINAL, to=back) if text else Pick("")

    return Opened(Tell(f"off {how}"), asks=Asks(Tell("how many ends"), becomes))


def _search(name: str, group: str, *how: str) -> Words:
    return ("find", name, f"--group={group}", *how)


def _begin(leaf: Leaf, known: Known) -> Opened:
    picks = [
        Pick(
            Tell("try first"),
            Tell("try first about"),
            (("thread", FIRST_EXAMPLE),),
            Doing.SIT,
            Leaf(LeafName.WARP, (FIRST_EXAMPLE,)),
        ),
        Pick(Tell("an example"), Tell("so many", count=len(known.examples)), to=Leaf(LeafName.EXAMPLES)),
        Pick(Tell("a sequence file"), to=Leaf(LeafName.FILES if known.sequences else LeafName.FILE)),
        Pick(Tell("a draft"), Tell("a draft about"), to=Leaf(LeafName.DRAFTS if known.drafts else LeafName.DRAFT)),
        Pick(Tell("write in"), Tell("write in about"), to=Leaf(LeafName.NEW)),
        Pick(Tell("a cloth"), Tell("a cloth about"), to=Leaf(LeafName.CLOTH)),
    ]
    return Opened(Tell("begin a warp"), step_told(leaf), (*picks, *go_on(leaf)))


def _examples(_: Leaf, known: Known) -> Opened:
    picks = (Pick(name, to=Leaf(LeafName.WARP, (name,))) for name in known.examples)
    return Opened(Tell("an example"), (), tuple(picks))


def _files(_: Leaf, known: Known) -> Opened:
    picks = [Pick(name, to=Leaf(LeafName.WARP, (name,))) for name in known.sequences]
    return Opened(Tell("a sequence file"), (), (*picks, Pick(Tell("type its name"), to=Leaf(LeafName.FILE))))


def _file(_: Leaf, __: Known) -> Opened:
    asks = Asks(Tell("name of file"), lambda text: Pick("", to=Leaf(LeafName.WARP, (text,)) if text else None))
    return Opened(Tell("a sequence file"), asks=asks)


def _drafts(_: Leaf, known: Known) -> Opened:
    picks = [Pick(name, to=Leaf(LeafName.DRAFT_EDGE, (name,))) for name in known.drafts]
    return Opened(Tell("a draft"), (), (*picks, Pick(Tell("type its name"), to=Leaf(LeafName.DRAFT))))


def _draft(_: Leaf, __: Known) -> Opened:
    asks = Asks(Tell("name of draft"), lambda text: Pick("", to=Leaf(LeafName.DRAFT_EDGE, (text,)) if text else None))
    return Opened(Tell("a draft"), asks=asks)


def _draft_edge(leaf: Leaf, _: Known) -> Opened:
    draft = leaf.of[0]
    out = f"{PurePath(draft).stem}.yaml"
    picks = (
        Pick(
            Tell(f"edge {edge}"),
            lines=(("import", draft, "--out", out, "--start", edge),),
            to=Leaf(LeafName.WARP, (out,)),
        )
        for edge in EDGES
    )
    return Opened(Tell("which edge"), (Tell("which edge about"),), tuple(picks))


def _new(_: Leaf, __: Known) -> Opened:
    def becomes(text: str) -> Pick:
        name = text if text.endswith((".yaml", ".yml")) else f"{text}.yaml"
        return Pick("", to=Leaf(LeafName.NEW_EDGE, (name,)) if text else None)

    return Opened(Tell("write in"), asks=Asks(Tell("name of warp"), becomes))


def _new_edge(leaf: Leaf, _: Known) -> Opened:
    picks = (Pick(Tell(f"edge {edge}"), to=Leaf(LeafName.THREADING, (*leaf.of, edge))) for edge in EDGES)
    return Opened(Tell("which edge"), (Tell("which edge about"),), tuple(picks))


def _threading(leaf: Leaf, _: Known) -> Opened:
    out, edge = leaf.of

    def becomes(text: str) -> Pick:
        lines = (("write", out, *([text] if text else []), "--start", edge),)
        doing = Doing.STAY if text else Doing.TERMINAL
        return Pick("", lines=lines, doing=doing, to=Leaf(LeafName.WARP, (out,)))

    return Opened(Tell("write in"), (Tell("how to write"),), asks=Asks(Tell("shafts in order"), becomes))


def _cloth(leaf: Leaf, _: Known) -> Opened:
    """One thing after the other is asked of the cloth that is wanted; the yarn may be left out."""
    asked = tuple(ASKED_OF_CLOTH)[len(leaf.of)]

    def becomes(text: str) -> Pick:
        told = (*leaf.of, text)
        if len(told) < len(ASKED_OF_CLOTH):
            return Pick("", to=Leaf(LeafName.CLOTH, told) if text else None)
        given = (f"{option}={each}" for option, each in zip(ASKED_OF_CLOTH.values(), told, strict=True) if each)
        return Pick("", lines=(("plan", *given),), doing=Doing.READ)

    return Opened(Tell("a cloth"), asks=Asks(Tell(asked), becomes))


LEAVES: Mapping[LeafName, Callable[[Leaf, Known], Opened]] = {
    **SETTING_UP,
    LeafName.HALL: _hall,
    LeafName.WARPS: _warps,
    LeafName.WARP: _warp,
    LeafName.JOBS: _jobs,
    LeafName.NOTE: _note,
    LeafName.MISTAKE: _mistake,
    LeafName.HOW_OFF: _how_off,
    LeafName.HOW_MANY: _how_many,
    LeafName.BEGIN: _begin,
    LeafName.EXAMPLES: _examples,
    LeafName.FILES: _files,
    LeafName.FILE: _file,
    LeafName.DRAFTS: _drafts,
    LeafName.DRAFT: _draft,
    LeafName.DRAFT_EDGE: _draft_edge,
    LeafName.NEW: _new,
    LeafName.NEW_EDGE: _new_edge,
    LeafName.THREADING: _threading,
    LeafName.CLOTH: _cloth,
}
