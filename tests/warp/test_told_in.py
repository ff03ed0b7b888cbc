"""A warp told in other units is the same warp."""

import pytest

from assistant.warp.examples import examples
from assistant.warp.plan import plan, wishes
from assistant.warp.reed import in_reed
from assistant.warp.sequence import load, loads
from assistant.warp.units import told_in

BASE = "shafts: 4\ngroups: [{name: stripe, thread: 5(1..4), times: 23}]\n"


@pytest.mark.parametrize("name", examples())
def test_told_there_and_back_it_lies_in_the_same_dents(name: str) -> None:
    """An inch is 2.54 cm exactly: NIST SP 811."""
    warp = load(examples()[name])
    other = told_in(warp, "cm" if warp.unit == "inch" else "inch")
    lying, told = in_reed(warp), in_reed(other)
    assert lying is not None
    assert told is not None
    assert (told.sley.repeat, told.dents, told.ends) == (lying.sley.repeat, lying.dents, lying.ends)
    assert told.width == pytest.approx(lying.width * (2.54 if other.unit == "cm" else 1 / 2.54))
    back = told_in(other, warp.unit)
    assert back.sett == pytest.approx(warp.sett)
    assert back.loom.reed == pytest.approx(warp.loom.reed)


def test_a_sley_plan_that_comes_of_the_sett_stays_without_a_caution() -> None:
    """21.5 ends an inch in a reed of 10 are sleyed 2-2-2-2-2-2-3, 21.43; in cm that is no contradiction either."""
    warp = loads(f"{BASE}sett: 21.5\nreed: 10\nreed_width: 24\n".encode(), "f.yaml")
    metric = told_in(warp, "cm")
    assert metric.sley == (2, 2, 2, 2, 2, 2, 3)
    assert (round(metric.loom.reed or 0, 2), round(metric.loom.reed_width or 0, 2)) == (39.37, 60.96)
    assert plan(metric, wishes("cm")).cautions == ()
    assert [caution.phrase for caution in plan(warp, wishes("inch")).cautions] == ["sett missed inch"]


def test_what_the_file_does_not_tell_stays_untold() -> None:
    metric = told_in(loads(BASE.encode(), "f.yaml"), "cm")
    assert (metric.unit, metric.sett, metric.loom.reed, metric.loom.reed_width, metric.sley) == (
        "cm",
        None,
        None,
        None,
        (),
    )
