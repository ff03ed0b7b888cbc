"""Yarn counts read as labels write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pint import UnitRegistry

from assistant.errors import SequenceError
from assistant.warp.lengths import SYSTEMS, per_kilogram

units: UnitRegistry[float] = UnitRegistry()

# Tex of a yarn of count 1, as ISO 1144 and ASTM D2260 tabulate the factors, to the digits printed; from memory.
TEX_OF_ONE = {"Ne": 590.5, "NeL": 1653.5, "NeK": 885.8, "Nm": 1000.0, "tex": 1.0, "den": 0.1111}


@pytest.mark.parametrize(("sign", "tex"), TEX_OF_ONE.items())
def test_the_factors_are_those_of_the_standards(sign: str, tex: float) -> None:
    assert 1_000_000 / per_kilogram(f"1 {sign}" if sign != "den" else "1 den") == pytest.approx(tex, rel=2e-4)


@given(st.integers(1, 200))
def test_pint_agrees(count: int) -> None:
    """pint knows Ne, Nm and worsted among its textile units; yards and pounds from its registry."""
    yards_a_pound = (count * 840 * units.yard / units.pound).to("m/kg").magnitude
    assert per_kilogram(f"{count} Ne") == pytest.approx(yards_a_pound, rel=1e-9)
    assert per_kilogram(f"{count * 10} yd/lb") == pytest.approx(
        (count * 10 * units.yard / units.pound).to("m/kg").magnitude, rel=1e-9
    )
    assert per_kilogram(f"{count} tex") == pytest.approx(1 / (count * units.tex).to("kg/m").magnitude, rel=1e-9)
    assert per_kilogram(f"{count} den") == pytest.approx(1 / (count * units.denier).to("kg/m").magnitude, rel=1e-9)


@pytest.mark.parametrize("written", ["16/2 Ne", "2/16 Ne", "Ne 16/2", "ne16/2", "16 / 2 NE", "8 Ne", " 8Ne "])
def test_a_plied_cotton_is_half_as_long(written: str) -> None:
    """8/1 cotton has 8 hanks of 840 yards: 6720 yards in a pound, as yarn charts print for 16/2 (from memory)."""
    assert per_kilogram(written) == per_kilogram("6720 yd/lb")


def test_plies_behind_tex() -> None:
    assert per_kilogram("20 tex x 2") == per_kilogram("40 tex") == per_kilogram("20tex×2") == 25_000
    assert per_kilogram("28/2 Nm") == 14_000
    assert per_kilogram("8400 m/kg") == 8400


@pytest.mark.parametrize(
    "written",
    [
        "", "16/2", "Ne", "16/2 cotton", "Ne 16 Ne", "20/22 den", "8400/2 m/kg", "0 Ne", "16/0 Ne", "16/2.5 Ne",
        "-3 Nm", "999999 Ne", "9999999 tex", "1.5.2 Ne", "16/2 Ne x 2", "٤ Ne", "1e3 tex",
    ],
)  # fmt: skip
def test_what_is_no_count_is_said_in_one_line(written: str) -> None:
    with pytest.raises(SequenceError) as caught:
        per_kilogram(written)
    assert "\n" not in str(caught.value)


@given(st.sampled_from([system.sign for system in SYSTEMS.values()]), st.integers(50, 500))
def test_sign_before_or_after_is_the_same(sign: str, count: int) -> None:
    assert per_kilogram(f"{sign} {count}") == per_kilogram(f"{count} {sign}")
