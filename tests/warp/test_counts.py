"""Yarn counts read as labels write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pint import UnitRegistry

from assistant.errors import SequenceError
from assistant.warp.counts import SYSTEMS, Label, YarnCount, label, per_kilogram

units: UnitRegistry[float] = UnitRegistry()

# Tex of a yarn of count 1, as ISO 1144 and ASTM D2260 tabulate the factors, to the digits printed; from memory.
TEX_OF_ONE = {"Ne": 590.5, "NeL": 1653.5, "NeK": 885.8, "Nm": 1000.0, "tex": 1.0, "dtex": 0.1, "den": 0.1111}


@pytest.mark.parametrize(("sign", "tex"), TEX_OF_ONE.items())
def test_the_factors_are_those_of_the_standards(sign: str, tex: float) -> None:
    assert 1_000_000 / per_kilogram(f"1 {sign}") == pytest.approx(tex, rel=2e-4)


@given(st.integers(1, 200))
def test_pint_agrees(count: int) -> None:
    """pint knows Ne, Nm and worsted among its textile units; yards and pounds from its registry."""
    yards_a_pound = (count * 840 * units.yard / units.pound).to("m/kg").magnitude
    assert per_kilogram(f"{count} Ne") == pytest.approx(yards_a_pound, rel=1e-9)
    assert per_kilogram(f"{count * 10} yd/lb") == pytest.approx(
        (count * 10 * units.yard / units.pound).to("m/kg").magnitude, rel=1e-9
    )
    assert per_kilogram(f"{count} tex") == pytest.approx(1 / (count * units.tex).to("kg/m").magnitude, rel=1e-9)
    assert per_kilogram(f"{count} dtex") == pytest.approx(1 / (count * units.dtex).to("kg/m").magnitude, rel=1e-9)
    assert per_kilogram(f"R{count} tex / 2") == per_kilogram(f"{count} tex")
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
        "", "16/2", "Ne", "16/2 cotton", "Ne 16 Ne", "20/22 den", "8400/2 m/kg", "0 Ne", "16/0 Ne", "0/16 Ne",
        "16/2.5 Ne", "-3 Nm", "999999 Ne", "9999999 tex", "1.5.2 Ne", "16/2 Ne x 2", "٤ Ne", "1e3 tex", "R16 Ne",
        "R0 tex", "R40 tex x 2", "40/2 tex", "16 2 Ne", "1,23,456 m/kg", "16//2 Ne", "20 tex x 0", "1.5/2.5 Nm",
    ],
)  # fmt: skip
def test_what_is_no_count_is_said_in_one_line(written: str) -> None:
    with pytest.raises(SequenceError) as caught:
        per_kilogram(written)
    assert "\n" not in str(caught.value)


@given(st.sampled_from([system.sign for system in SYSTEMS.values()]), st.integers(50, 500))
def test_sign_before_or_after_is_the_same(sign: str, count: int) -> None:
    assert per_kilogram(f"{sign} {count}") == per_kilogram(f"{count} {sign}")


# Handbook tables of cotton, wool and linen in yards to the pound, from memory; ply by ply.
YARDS_A_POUND = {
    "8/2 Ne": 3360, "10/2 Ne": 4200, "20/2 Ne": 8400, "3/2 Ne": 1260, "5/2 Ne": 2100, "8/4 Ne": 1680, "16/1 Ne": 13440,
    "10/1 NeL": 3000, "40/2 NeL": 6000, "2/18 NeK": 5040, "2/8 NeK": 2240,
}  # fmt: skip


@pytest.mark.parametrize(("written", "yards"), YARDS_A_POUND.items())
def test_handbook_tables(written: str, yards: int) -> None:
    assert per_kilogram(written) == pytest.approx(per_kilogram(f"{yards} yd/lb"), rel=1e-9)
    assert label(written).other is None


def test_a_cord_has_its_plies_behind_the_slash() -> None:
    """Fifteen plies of twelve: 840 x 12 / 15 yards in a pound, 672, so 1,355 m/kg; by hand."""
    found = label("12/15 Ne")
    assert found.read.metres_per_kg == pytest.approx(672 * 0.9144 / 0.45359237)
    assert round(found.read.metres_per_kg) == 1355
    assert (found.read.written, found.other) == ("12 Ne x 15", YarnCount("15 Ne x 12", per_kilogram("1050 yd/lb")))


@pytest.mark.parametrize(
    ("written", "read", "other"),
    [
        ("16/2 Ne", "16 Ne x 2", None), ("2/16 Ne", "16 Ne x 2", None), ("1/8 Nm", "8 Nm", None),
        ("12/15 Ne", "12 Ne x 15", "15 Ne x 12"), ("15/12 Ne", "15 Ne x 12", None), ("12/12 Ne", "12 Ne x 12", None),
        ("2/3 Nm", "3 Nm x 2", "2 Nm x 3"), ("3/2 Nm", "3 Nm x 2", None), ("1.5/2 Nm", "1.5 Nm x 2", None),
        ("1,5/2 Nm", "1.5 Nm x 2", None), ("2/7.5 Nm", "7.5 Nm x 2", None), ("12 Ne x 15", "12 Ne x 15", None),
        ("16 Ne / 2", "16 Ne x 2", None), ("R40 tex", "R40 tex", None), ("r 40 tex/2", "R40 tex", None),
        ("R40/2 tex", "R40 tex", None), ("tex R40", "R40 tex", None), ("R 334 dtex / 2", "R334 dtex", None),
        ("167 dtex x 2", "167 dtex x 2", None),
    ],
)  # fmt: skip
def test_which_number_is_the_plies(written: str, read: str, other: str | None) -> None:
    assert readings(written) == (read, other)


@pytest.mark.parametrize(
    ("written", "read", "other"),
    [
        ("3,360 yd/lb", "3360 yd/lb", None), ("3.360 m/kg", "3360 m/kg", None), ("8 400 m/kg", "8400 m/kg", None),
        ("8\u202f400 m/kg", "8400 m/kg", None), ("8'400 m/kg", "8400 m/kg", None),
        ("12,500 m/kg", "12500 m/kg", None), ("12.500 m/kg", "12500 m/kg", "12.5 m/kg"),
        ("1.234,5 m/kg", "1234.5 m/kg", None), ("1,234.5 m/kg", "1234.5 m/kg", None),
        ("1,234,567 m/kg", "1234567 m/kg", None), ("1,500 Nm", "1.5 Nm", "1500 Nm"), ("1,5 Nm", "1.5 Nm", None),
        ("29.525 tex", "29.5250 tex", None), ("1.125 tex", "1.1250 tex", None), ("0.125 Nm", "0.1250 Nm", None),
        ("1.100 dtex", "1100 dtex", "1.1 dtex"), ("1,100 dtex", "1100 dtex", None),
    ],
)  # fmt: skip
def test_what_a_comma_or_a_point_parts(written: str, read: str, other: str | None) -> None:
    """Thousands in English have a comma, in German a point, in French a narrow space, in Switzerland an apostrophe."""
    assert readings(written) == (read, other)


def readings(written: str) -> tuple[str, str | None]:
    """As each would be written without a doubt."""
    found = label(written)
    return found.read.written, found.other.written if found.other else None


@given(
    st.sampled_from([system.sign for system in SYSTEMS.values()]),
    st.decimals(1, 999, places=2),
    st.integers(1, 40),
    st.booleans(),
)
def test_what_a_label_means_is_written_so_that_it_means_nothing_else(
    sign: str, count: object, other: int, slash: bool
) -> None:
    written = f"{count}/{other} {sign}" if slash else f"{count} {sign}"
    try:
        found = label(written)
    except SequenceError:
        return
    for reading in filter(None, (found.read, found.other)):
        again = label(reading.written)
        assert again == Label(again.read)
        assert again.read.written == reading.written
        assert again.read.metres_per_kg == pytest.approx(reading.metres_per_kg, rel=1e-9)


@given(st.text("0123456789./, xRr'NnemMtdkglby", max_size=16))
def test_any_label_is_read_or_refused_in_one_line(written: str) -> None:
    try:
        assert 10 <= per_kilogram(written) <= 10_000_000
    except SequenceError as error:
        assert "\n" not in str(error)  # noqa: PT017
