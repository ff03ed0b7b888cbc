"""The call sheet: what will be spoken, with running counts; the paper to fall back on."""

from itertools import chain
from typing import Any

from assistant.session.place import Course
from assistant.session.telling import told
from assistant.warp.heddles import heddles
from assistant.warp.model import Warp
from assistant.warp.passes import Pass
from assistant.words.language import Language
from assistant.words.speech import Say
from assistant.words.wording import Wording


def as_json(warp: Warp, language: Language, job: Pass[Any], size: int | None) -> dict[str, object]:
    """Title, ends, groups with the heddles each needs by shaft, and the calls."""
    words, course = Wording(language, job.name), Course(warp, job, size)
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
                f"first_{job.unit}": call.first,
                f"{job.unit}s": job.listed(call.units),
                "text": Say(words.parts(told(course, call))).text,
            }
            for call in chain.from_iterable(course.calls)
        ],
    }


def lines(warp: Warp, language: Language, job: Pass[Any], size: int | None) -> list[str]:
    """A line a call: what is then counted in its group and in all, and what to do."""
    words, course = Wording(language, job.name), Course(warp, job, size)
    sheet = [
        f"{warp.title}, {job.name}: {warp.ends} ends, first end at the {warp.start} edge, "
        f"shaft 1 at the {warp.loom.shaft_1}"
    ]
    for call in chain.from_iterable(course.calls):
        if call.start == 0:
            sheet += ["", f"{warp.groups[call.group].name}: {call.of} {job.unit}s", "  group   all"]
        written = "  ".join(part.text for part in words.written(job.tell(warp, call)))
        in_group, in_all = call.start + len(call.units), call.first - 1 + len(call.units)
        sheet.append(f"  {in_group:5} {in_all:5}   {written}")
    return sheet
