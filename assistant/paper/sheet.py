"""The call sheet: what will be spoken, with running counts; the paper to fall back on."""

from itertools import chain
from typing import Any

from assistant.session.place import Course
from assistant.session.telling import told
from assistant.warp.heddles import heddles
from assistant.warp.model import Warp
from assistant.warp.outward import Outward
from assistant.warp.passes import Pass
from assistant.warp.turned import OTHER
from assistant.words.columns import columns
from assistant.words.language import Language
from assistant.words.printed import Printed
from assistant.words.speech import Say
from assistant.words.wording import Wording


def as_json(warp: Warp, language: Language, job: Pass[Any], size: int | None) -> dict[str, object]:
    """Title, ends, groups with the heddles each needs by shaft, and the calls; from the centre, the way groups go."""
    course = Course(warp, job, size)
    words, warp = Wording(language, job.name, course.unit), course.warp
    return {
        "title": warp.title,
        "ends": warp.ends,
        "groups": [
            {
                "name": g.name,
                "ends": len(g.ends),
                "shafts": {str(shaft): n for shaft, n in heddles(g.ends).items()},
                **({"towards": OTHER[course.begins_at(number)]} if isinstance(warp, Outward) else {}),
            }
            for number, g in enumerate(warp.groups)
        ],
        "calls": [
            {
                "group": warp.groups[call.group].name,
                f"first_{job.unit}": call.first,
                f"{job.unit}s": job.listed(call.units),
                **({"in_heddles": [len(unit.ends) for unit in call.units]} if job.shafts else {}),
                "text": Say(words.parts(told(course, call))).text,
            }
            for call in chain.from_iterable(course.calls)
        ],
    }


def lines(warp: Warp, language: Language, job: Pass[Any], size: int | None) -> list[str]:
    """A line a call: what is then counted in its group and in all, and what to do."""
    course = Course(warp, job, size)
    spoken, words, warp = Wording(language, job.name, course.unit), Printed(language), course.warp
    in_group, in_all = words.text("column in group"), words.text("column in all")
    left, right = max(5, columns(in_group)), max(5, columns(in_all))
    heading = f"  {' ' * (left - columns(in_group))}{in_group} {' ' * (right - columns(in_all))}{in_all}"
    begun = "half" if isinstance(warp, Outward) else "end"
    sheet = [
        words.text(
            "sheet", title=warp.title, job=words.job(job.name), count=warp.ends, units=words.units("end", warp.ends),
            first=words.text(f"first {begun} {warp.start}"), shaft_1=words.text(f"shaft 1 {warp.loom.shaft_1}"),
        )
    ]  # fmt: skip
    for call in chain.from_iterable(course.calls):
        if call.start == 0:
            name, units = warp.groups[call.group].name, words.units(course.unit, call.of)
            sheet += ["", words.text("sheet of group", group=name, count=call.of, units=units), heading]
        written = "  ".join(part.text for part in spoken.written(job.tell(warp, call)))
        group_count, all_count = call.start + len(call.units), call.first - 1 + len(call.units)
        sheet.append(f"  {group_count:{left}} {all_count:{right}}   {written}")
    return sheet
