"""The call sheet: what will be spoken, with running counts; the paper to fall back on."""

from assistant.languages import Language
from assistant.session.events import Say
from assistant.session.wording import Wording
from assistant.warp.model import End, Warp
from assistant.warp.passes import Call, thread
from assistant.warp.plan import heddles


def as_json(warp: Warp, language: Language, per_call: int) -> dict[str, object]:
    """Title, ends, groups with the heddles each needs by shaft, and the calls."""
    words = Wording(language)
    return {
        "title": warp.title,
        "ends": warp.ends,
        "groups": [
            {"name": g.name, "ends": len(g.ends), "shafts": {str(shaft): n for shaft, n in heddles(g.ends).items()}}
            for g in warp.groups
        ],
        "calls": [
            {
                "group": warp.groups[call.group].name,
                "first_end": call.first_end,
                "ends": [list(end.shafts) for end in call.ends],
                "text": Say(words.call(warp, call)).text,
            }
            for call in thread(warp, per_call)
        ],
    }


def lines(warp: Warp, language: Language, per_call: int) -> list[str]:
    """A line a call: ends counted in its group and in all once it is threaded, then its shafts and yarns."""
    words = Wording(language)
    sheet = [f"{warp.title}: {warp.ends} ends, first end at the {warp.start} edge, shaft 1 at the {warp.loom.shaft_1}"]
    for call in thread(warp, per_call):
        group = warp.groups[call.group]
        if call.start == 0:
            sheet += ["", f"{group.name}: {len(group.ends)} ends", "  group   all"]
        in_group, in_all = call.start + len(call.ends), call.first_end - 1 + len(call.ends)
        sheet.append(f"  {in_group:5} {in_all:5}   {_shafts(warp, call, words)}")
    return sheet


def _shafts(warp: Warp, call: Call, words: Wording) -> str:
    yarns = [words.yarn(warp, end) for end in call.ends]
    named = zip(["", *yarns], yarns, call.ends, strict=False)
    return "  ".join((f"{yarn} " if yarn != before else "") + _written(end) for before, yarn, end in named)


def _written(end: End) -> str:
    return "/".join(map(str, end.shafts))
