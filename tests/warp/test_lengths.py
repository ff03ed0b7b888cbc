"""Lengths as weavers write them."""

from time import process_time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pint import UnitRegistry

from assistant.errors import PlanError
from assistant.meaning import Tell
from assistant.warp.lengths import length, long, measured, per, plain

units: UnitRegistry[float] = UnitRegistry()


@pytest.mark.parametrize(
    ("written", "inches"),
    [
        ("7 1/4in", 7.25), ("7-1/4 in", 7.25), ('7.25"', 7.25), ("7.25", 7.25), ("3/4", 0.75), ("3/4 inch", 0.75),
        ("2.54cm", 1), ("25.4 mm", 1), ("1 m", 100 / 2.54), ("1yd", 36), ("2 feet", 24), (" 12 IN ", 12),
    ],
)  # fmt: skip
def test_they_are_read(written: str, inches: float) -> None:
    """NIST SP 811, appendix B.8: an inch is 2.54 cm and a yard 0.9144 m, both exactly."""
    assert length(written, Tell("it"), "inch") == pytest.approx(inches, rel=1e-12)


def test_a_bare_number_counts_in_the_unit_of_the_warp() -> None:
    assert length("18.4", Tell("it"), "cm") == 18.4
    assert length("18.4", Tell("it"), "inch") == 18.4


@given(st.floats(0.01, 9999), st.sampled_from(["mm", "cm", "m", "in", "ft", "yd"]))
def test_pint_agrees(number: float, unit: str) -> None:
    written = f"{number:.6f}"
    expected = (float(written) * units(unit)).to("cm").magnitude
    assert length(f"{written}{unit}", Tell("it"), "cm") == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    "written",
    ["", "cm", "-3cm", "0", "0/4 in", "1/0 in", "7.5 1/4 in", "3 furlongs", "nan", "1e5", "٣ cm", "1 2", "5//"],
)
def test_what_is_no_length_is_said_in_one_line(written: str) -> None:
    with pytest.raises(PlanError, match=r"^the distance is '.*'; write a length"):
        length(written, Tell("the distance"), "cm")


def test_what_is_no_length_is_refused_in_time_that_grows_with_its_length_alone() -> None:
    """Four times as long, in less than eight times as long; reading that grows with the square would need sixteen."""

    def took(characters: int) -> float:
        began = process_time()
        with pytest.raises(PlanError):
            length('"' * characters, Tell("it"), "inch")
        return process_time() - began

    assert min(took(80_000) for _ in range(3)) < 8 * max(took(20_000) for _ in range(5))


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(written: str) -> None:
    try:
        assert length(written, Tell("it"), "inch") > 0
    except PlanError as error:
        assert "\n" not in str(error)  # noqa: PT017


def test_numbers_are_shown_without_a_tail() -> None:
    assert [plain(12.60), plain(1224), plain(0.5, 0), plain(16.2667)] == ["12.6", "1,224", "0", "16.27"]
    told = [str(each) for each in (measured(1, "inch"), measured(12.6, "inch"), measured(2040, "cm"))]
    assert told == ["1 inch", "12.6 inches", "2,040 cm"]
    assert [per(20.004, "inch"), per(60, "cm")] == [Tell("per inch", number=20), Tell("per cm", number=60)]
    assert [long(1, "inch"), long(12.604, "inch"), long(204.06, "cm")] == [
        Tell("inches", count=1, number=1),
        Tell("inches", count=2, number=12.6),
        Tell("centimetres", number=204.1),
    ]
