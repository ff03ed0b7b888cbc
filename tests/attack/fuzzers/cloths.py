"""Cloths that are wanted, with a file or before there is one.

The second opinions: the ends are repeats and what is beside them; no other number of repeats comes nearer.
"""

import json
import random
from math import isfinite

from assistant.meaning import Tell
from assistant.paper.plan import as_json, lines
from assistant.warp.examples import examples
from assistant.warp.model import Unit
from assistant.warp.plan import imagined, plan, plan_cloth, wishes
from assistant.warp.plan.cloth import WARP, finished_width
from assistant.warp.plan.wishes import per_unit, whole
from assistant.warp.reed import in_reed
from assistant.warp.sequence import load
from assistant.words import language
from fuzzers.engine import Fuzzer, law
from fuzzers.mangled import mangled

LENGTHS = ("20in", "60 cm", "3yd", "1/2 m", "7 1/4in", "0.01mm", "400m", "9", "90000m", "0")
NUMBERS = ("1", "6", "24", "0", "100000", "-1", "1.5")
SETTS = ("20", "8/cm", "80/10cm", "12.5/in", "0.0001", "999999", "0")
PERCENTS = ("0", "5", "12.5%", "90", "91", "-1")
YARNS = ("8/2 Ne", "12/15 Ne", "1,5/2 Nm", "R40 tex / 2", "3,360 yd/lb", "flax", "")
SOLD = ("8oz", "250 g", "1/2lb", "1680yd", "500m", "g", "0kg")
KINDS = {
    **dict.fromkeys(("width", "cloth", "hem", "fringe", "sample", "waste"), LENGTHS),
    **dict.fromkeys(("pieces", "repeat", "edges"), NUMBERS),
    **dict.fromkeys(("sett", "picks"), SETTS),
    **dict.fromkeys(("take_up", "weft_take_up", "shrinkage", "width_shrinkage", "draw_in"), PERCENTS),
    **dict.fromkeys(("yarn", "weft"), YARNS),
    **dict.fromkeys(("put_up", "weft_put_up"), SOLD),
}


def _given(chance: random.Random) -> bytes:
    told = {
        "unit": chance.choice(("inch", "cm")),
        "width": "20in",
        "sett": "20",
        "language": chance.choice(language.codes()),
    }
    if chance.random() < 0.4:
        told["file"] = chance.choice(list(examples()))
    for name in chance.sample(list(KINDS), chance.randint(0, 6)):
        text = chance.choice(KINDS[name])
        told[name] = text if chance.random() < 0.8 else mangled(chance, text.encode()).decode("utf-8", "replace")
    return json.dumps(told).encode()


def _tried(data: bytes) -> None:
    told: dict[str, str] = json.loads(data)
    unit: Unit = "cm" if told.pop("unit") == "cm" else "inch"
    code, file, sett = told.pop("language"), told.pop("file", ""), per_unit(told.pop("sett"), Tell("the sett"), unit)
    repeat = whole(told.pop("repeat", "1"), Tell("the repeat"), 100_000)
    edges = whole(told.pop("edges", "0"), Tell("the ends beside the repeats"), 100_000 - repeat, least=0)
    yarn = told.pop("yarn", "")
    if file:
        warp = load(examples()[file])
        wanted = wishes(warp.unit, paces=None, **told)
        found = plan(warp, wanted)
    else:
        wanted = wishes(unit, paces=None, **{"weft": WARP, **told})
        found = plan_cloth(imagined(unit, sett, yarn, repeat, edges), wanted)
    cloth = found.cloth
    law(cloth is not None, "no cloth")
    assert cloth
    assert wanted.width
    if cloth.repeat:
        for choice in cloth.choices:
            law(choice.ends == cloth.repeat.besides + choice.times * cloth.repeat.ends, choice)
            law(abs(cloth.finished - wanted.width) <= abs(choice.finished - wanted.width) + 1e-9, choice)
    lying = in_reed(cloth.warp)
    law(lying is not None and abs(finished_width(lying.width, wanted) - cloth.finished) < 1e-6, "another width")
    for bought in cloth.yarns:
        law(all(isfinite(amount) and amount >= 0 for amount in (bought.metres or 0.0, bought.grams or 0.0)), bought)
    law(all("{" not in line for line in lines(found, language.load(code))), "a place is left")
    json.dumps(as_json(found), allow_nan=False)


FUZZERS = (Fuzzer("cloths that are wanted", 10_000, _given, _tried),)
