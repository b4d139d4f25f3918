"""Text with units against the definitions of the units, and whatever else a stranger may write.

Conversion factors: NIST Special Publication 811 (2008 edition), appendix B, and the SI Brochure, 9th edition, BIPM
2019; from memory, all exact by definition save where an angle brings in pi.
"""

from __future__ import annotations

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaling.files.errors import InputError
from scaling.files.units import EXAMPLES, SHOWN, format_number, format_value, parse, shown_unit, to_shown
from scaling.formulas import book

DEFINITIONS = [
    ("1 mm", "m", 1e-3),
    ("1 inch", "m", 0.0254),
    ("1 in", "m", 0.0254),
    ("1 ft", "m", 0.3048),
    ("1 thou", "m", 0.0254e-3),
    ("1 µm", "m", 1e-6),
    ("1 um", "m", 1e-6),
    ("1 g", "kg", 1e-3),
    ("1 lb", "kg", 0.45359237),
    ("1 oz", "kg", 0.45359237 / 16),
    ("1 min", "s", 60),
    ("1 hour", "s", 3600),
    ("1 ms", "s", 1e-3),
    ("1 rpm", "rad/s", 2 * math.pi / 60),
    ("1 deg", "rad", math.pi / 180),
    ("1 rpm/V", "rad/s/V", 2 * math.pi / 60),
    ("1 mAh", "A s", 3.6),
    ("1 Ah", "A s", 3600),
    ("1 mohm", "ohm", 1e-3),
    ("1 mΩ", "ohm", 1e-3),
    ("1 milliohm", "ohm", 1e-3),
    ("1 MPa", "Pa", 1e6),
    ("1 GPa", "Pa", 1e9),
    ("1 N/mm^2", "Pa", 1e6),
    ("1 psi", "Pa", 0.45359237 * 9.80665 / 0.0254**2),
    ("1 g cm^2", "kg m^2", 1e-7),
    ("1 g*cm**2", "kg m^2", 1e-7),
    ("1 g cm²", "kg m^2", 1e-7),
    ("1 g·cm²", "kg m^2", 1e-7),
    ("1 kg mm^2", "kg m^2", 1e-6),
    ("1 mm^2", "m^2", 1e-6),
    ("1 g/cm^3", "kg/m^3", 1e3),
    ("1 kgf", "N", 9.80665),
    ("1 lbf", "N", 0.45359237 * 9.80665),
    ("1 Wh", "J", 3600),
    ("1 km/h", "m/s", 1 / 3.6),
    ("1 mph", "m/s", 1609.344 / 3600),
    ("1 mA", "A", 1e-3),
    ("50 %", "1", 0.5),
    ("0.5", "1", 0.5),
]


@pytest.mark.parametrize(("text", "unit", "expected"), DEFINITIONS, ids=str)
def test_units_are_as_defined(text: str, unit: str, expected: float) -> None:
    assert parse(text, unit) == pytest.approx(expected, rel=1e-12)


@given(st.floats(1e-9, 1e9) | st.floats(-1e9, -1e-9) | st.just(0.0))
def test_any_number_converts_as_it_is_written(number: float) -> None:
    assert parse(f"{number!r} mm", "m") == pytest.approx(number * 1e-3, rel=1e-14, abs=0)
    assert parse(f"  {number!r}   kg ", "kg") == number
    assert parse(f"{number!r}", "1") == parse(number, "1") == number


@pytest.mark.parametrize(
    ("text", "number"), [("12mm", 12), (".5 mm", 0.5), ("5. mm", 5), ("+5 mm", 5), ("1e1 mm", 10), ("1E-1mm", 0.1)]
)
def test_numbers_are_written_in_the_usual_ways(text: str, number: float) -> None:
    assert parse(text, "m") == pytest.approx(number / 1e3, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("12 mm", "kg"),
        ("12 mm", "1"),
        ("12 mm", "m^2"),
        ("2300 rpm", "rad/s/V"),
        ("450 mA", "A s"),
        ("3 kg", "N"),
        ("3 kgf", "kg"),
        ("5 N m", "N"),
        ("5 V", "A"),
        ("5 K", "s"),
        ("12", "m"),
        ("mm", "m"),
        ("", "m"),
        (" ", "1"),
        ("12 mm 3", "m"),
        ("1 2 mm", "m"),
        ("12,5 mm", "m"),
        ("1_000 mm", "m"),
        ("0x10 mm", "m"),
        ("1/2 inch", "m"),
        ("twelve mm", "m"),
        ("nan mm", "m"),
        ("inf mm", "m"),
        ("-inf mm", "m"),
        ("1e999 mm", "m"),
        ("12 furlong per", "m"),
        ("12 mm;", "m"),
        ("12 $", "m"),
        ("12 {mm}", "m"),
        ("12 'mm'", "m"),
        ("12 mm/", "m"),
        ("12 m^", "m"),
        ("12 /m", "m"),
        ("12 m^99", "m"),
        ("12 m m^-1 m/m^", "m"),
        ("12 mm # no", "m"),
        ("12 __class__", "m"),
        ("12 m.__class__", "m"),
        ("12 lambda", "m"),
        ("12 m=m", "m"),
        ("12 (m", "m"),
        ("12 m)", "m"),
        ("12 m//m", "m"),
    ],
    ids=str,
)
def test_what_is_no_value_of_the_unit_is_refused(text: str, unit: str) -> None:
    with pytest.raises(InputError) as refused:
        parse(text, unit, "file.toml", "a.key")
    assert (refused.value.file, refused.value.key, refused.value.given) == ("file.toml", "a.key", text)
    assert refused.value.allowed


@pytest.mark.parametrize("value", [True, False, None, [1], {"a": 1}, (1,), b"12 mm", 1 + 0j], ids=repr)
def test_what_is_neither_text_nor_number_is_refused(value: object) -> None:
    for unit in ("m", "1"):
        with pytest.raises(InputError):
            parse(value, unit)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 12, 12.5])
def test_a_plain_number_has_no_unit(value: float) -> None:
    with pytest.raises(InputError):
        parse(value, "m")
    if math.isfinite(value):
        assert parse(value, "1") == value
    else:
        with pytest.raises(InputError):
            parse(value, "1")


@pytest.mark.parametrize(
    ("text", "unit"),
    [("100 Hz", "rad/s"), ("100 1/s", "rad/s"), ("2300 1/min/V", "rad/s/V"), ("2300 Hz/V", "rad/s/V")],
)
def test_turns_are_never_taken_for_radians(text: str, unit: str) -> None:
    """A speed in hertz or per minute counts turns, 100 Hz is 628 rad/s: refused, so never 2 pi out."""
    with pytest.raises(InputError):
        parse(text, unit)


def test_a_temperature_rise_is_no_temperature() -> None:
    """80 K of rise are 80 K; 80 degrees on the Celsius scale must not become a rise of 353 K: they are refused."""
    assert parse("80 K", "K") == 80
    for text in ("80 degC", "80 °C", "80 celsius"):
        with pytest.raises(InputError):
            parse(text, "K")


@given(st.text(max_size=40))
def test_any_text_is_a_value_or_is_refused(text: str) -> None:
    for unit in ("m", "1", "rad/s/V"):
        try:
            assert math.isfinite(parse(text, unit))
        except InputError as error:
            assert "\n" not in str(error)


@given(st.text(alphabet="0123456789.eE+-/*^() mgkVAsrpµ²·%", max_size=16).filter(lambda text: text.count("^") < 2))
def test_any_text_of_units_is_a_value_or_is_refused(text: str) -> None:
    with contextlib.suppress(InputError):
        assert math.isfinite(parse(f"5 {text}", "m"))


# Units on the way out.


@pytest.mark.parametrize("unit", SHOWN)
def test_shown_units_undo_parsing(unit: str) -> None:
    assert parse(f"7 {shown_unit(unit)}", unit) == pytest.approx(7 / to_shown(1.0, unit), rel=1e-12)


def test_every_unit_of_the_book_is_shown_in_a_unit_of_its_own_dimension() -> None:
    units = {variable.unit for variable in book.variables.values()} | {
        entry.unit for entry in book.quantities.values()
    }
    for unit in units:
        assert parse(f"3 {shown_unit(unit)}", unit) == pytest.approx(3 / to_shown(1.0, unit), rel=1e-12), unit


@pytest.mark.parametrize("unit", EXAMPLES)
def test_examples_in_messages_are_right(unit: str) -> None:
    assert parse(EXAMPLES[unit].strip('"'), unit) > 0


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    # Rounded by hand.
    [
        (0.0, 3, "0"),
        (1.0, 3, "1.00"),
        (123.4, 3, "123"),
        (12.34, 3, "12.3"),
        (0.01234, 3, "0.0123"),
        (99.96, 3, "100"),
        (1234.5, 3, "1230"),
        (-12.34, 3, "-12.3"),
        (1234567.0, 3, "1.23e+06"),
        (0.00012345, 3, "1.23e-04"),
        (454.0, 4, "454.0"),
    ],
)
def test_numbers_are_shown_to_significant_digits(value: float, digits: int, text: str) -> None:
    assert float(format_number(value, digits)) == float(text)


@given(st.floats(1e-12, 1e12), st.integers(1, 6))
def test_shown_numbers_are_near_and_short(value: float, digits: int) -> None:
    text = format_number(value, digits)
    assert float(text) == pytest.approx(value, rel=0.51 * 10.0 ** (1 - digits))
    assert len(text) <= 14


def test_values_are_shown_with_their_unit() -> None:
    assert format_value(0.454, "kg") == "454 g"
    assert format_value(0.084, "m") == "84.0 mm"
    assert format_value(0.5, "1") == "0.500"
