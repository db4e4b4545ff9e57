import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.quantity.span import Span, exact
from drc.quantity.text import (
    QuantityError,
    format_span,
    format_value,
    parse_quantity,
    parse_span,
    take_quantity,
)
from drc.quantity.unit import (
    AMPERE,
    CELSIUS,
    FARAD,
    HERTZ,
    OHM,
    PER_KELVIN,
    PER_VOLT,
    POINT,
    RATIO,
    SECOND,
    STEP,
    VOLT,
    Unit,
)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("4.7kohm", 4700.0, OHM),
        ("4.7 kohm", 4700.0, OHM),
        ("1MΩ", 1e6, OHM),  # Greek capital omega
        ("1M\N{OHM SIGN}", 1e6, OHM),
        ("1mohm", 1e-3, OHM),
        ("10kHz", 1e4, HERTZ),
        ("29uHz", 29e-6, HERTZ),
        ("20pF", 20e-12, FARAD),
        ("1.5\N{MICRO SIGN}A", 1.5e-6, AMPERE),
        ("1.5\N{GREEK SMALL LETTER MU}A", 1.5e-6, AMPERE),
        ("0.3ms", 0.3e-3, SECOND),
        ("5min", 300.0, SECOND),
        ("9.5h", 34200.0, SECOND),
        ("-40degC", -40.0, CELSIUS),
        ("-40 °C", -40.0, CELSIUS),
        ("\N{MINUS SIGN}40degC", -40.0, CELSIUS),
        ("0.6%", 0.006, RATIO),
        ("50ppm", 50e-6, RATIO),
        ("50ppm/K", 50e-6, PER_KELVIN),
        ("0.1%/V", 0.001, PER_VOLT),
        ("3.5points", 3.5, POINT),
        ("0.15 steps", 0.15, STEP),
        ("1/3", 1 / 3, RATIO),
        ("16", 16.0, RATIO),
        ("1e-3V", 1e-3, VOLT),
        (".5V", 0.5, VOLT),
        ("1 000 000", 1e6, RATIO),
        ("-4 700 ohm", -4700.0, OHM),
        ("12 345.5V", 12345.5, VOLT),
    ],
)
def test_a_quantity_is_read_with_si_prefix_and_letter_case(text: str, value: float, unit: Unit) -> None:
    """Every notation of a quantity gives its value in SI base units, to the last bit where text is exact."""
    assert parse_quantity(text) == (value, unit)


@pytest.mark.parametrize(
    ("text", "column", "found", "expected"),
    [
        ("", 1, "the end", "a number"),
        ("ohm", 1, '"ohm"', "a number"),
        ("4.7k", 4, '"k"', "a unit behind the prefix"),
        ("10HZ", 3, '"HZ"', "Hz (letter case counts)"),
        ("10khz", 3, '"khz"', "kHz"),
        ("1MEGohm", 2, '"MEGohm"', "M for mega"),
        ("10K", 3, '"K"', "a unit"),
        ("4,7kohm", 2, '",7kohm"', "a point as the decimal sign"),
        ("3.3V foo", 6, '"foo"', "nothing more"),
        ("1e999V", 1, '"1e999"', "a number of a size"),
        ("٣V", 1, '"٣V"', "a number"),
        ("1/0", 2, '"/0"', "a divisor that is not 0"),
        ("1V/x", 4, '"x"', "a unit below the stroke"),
        ("2..5V", 2, '"..5V"', "nothing more"),
    ],
)
def test_a_wrong_quantity_names_column_found_and_expected(
    text: str, column: int, found: str, expected: str
) -> None:
    """Text that is no quantity is refused with the column, what stands there and what would be right."""
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text)
    assert (caught.value.column, caught.value.found) == (column, found)
    assert expected in caught.value.expected


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("2.0V .. 5.5V", Span(2.0, None, 5.5, VOLT)),
        ("2.0V..5.5V", Span(2.0, None, 5.5, VOLT)),
        ("0V .. 0.8V", Span(0.0, None, 0.8, VOLT)),
        ("0 .. 0.8V", Span(0.0, None, 0.8, VOLT)),
        ("0.60V +/- 2%", Span(0.588, 0.6, 0.612, VOLT)),
        ("0.60V ± 2%", Span(0.588, 0.6, 0.612, VOLT)),
        ("10kHz +/- 3%", Span(9700.0, 10000.0, 10300.0, HERTZ)),
        ("15ms +/- 1ms", Span(0.014, 0.015, 0.016, SECOND)),
        ("+/- 50ppm", Span(-50e-6, 0.0, 50e-6, RATIO)),
        ("at least 5ms", Span(0.005, None, math.inf, SECOND)),
        ("at most 1s", Span(-math.inf, None, 1.0, SECOND)),
        ("-40degC .. 125degC", Span(-40.0, None, 125.0, CELSIUS)),
        ("5% .. 95%", Span(0.05, None, 0.95, RATIO)),
        ("-20% .. +80%", Span(-0.2, None, 0.8, RATIO)),
        ("50% +/- 3points", Span(0.47, 0.5, 0.53, RATIO)),
        ("2.7 V .. 4.2 V (nominal 3.6 V)", Span(2.7, 3.6, 4.2, VOLT)),
        ("5", exact(5.0)),
    ],
)
def test_a_span_is_read_in_each_of_its_forms(text: str, span: Span) -> None:
    """Ends, nominal (or none) and unit come out of every form a span may be written in."""
    got = parse_span(text)
    assert got.unit == span.unit
    assert (got.nominal is None) == (span.nominal is None)
    assert [got.low, got.middle, got.high] == pytest.approx([span.low, span.middle, span.high], rel=1e-14)


@pytest.mark.parametrize(
    ("text", "column", "expected"),
    [
        ("1 .. 2kohm", 1, "a unit (ohm)"),
        ("2V .. 3A", 7, "a quantity in V"),
        ("5V .. 2V", 7, "a high end that is not below"),
        ("10kHz +/- 3V", 11, "a width in Hz, or in %"),
        ("10kHz +/- -3%", 11, "a width without a sign"),
        ("50% +/- 2%", 9, "points, or LOW .. HIGH"),
        ("2V .. 4V (nominal 5V)", 19, "a nominal value between the ends"),
        ("2V .. 4V (nominal 3V", 21, "a closing bracket"),
        ("at least", 1, "a number"),
        ("2V ..", 6, "a number"),
    ],
)
def test_a_wrong_span_is_refused_and_never_guessed(text: str, column: int, expected: str) -> None:
    """Ends out of order, units that differ and what can be read two ways are refused at their column."""
    with pytest.raises(QuantityError) as caught:
        parse_span(text)
    assert caught.value.column == column
    assert expected in caught.value.expected


def test_a_quantity_can_be_taken_from_the_middle_of_a_line() -> None:
    """What follows a quantity is left to the caller, who learns where it begins."""
    assert take_quantity("input 0.3 supply", 6) == ((0.3, RATIO), 9)
    assert take_quantity("10kHz +/- 3%", 0) == ((1e4, HERTZ), 5)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (1e4, HERTZ, "10 kHz"),
        (4700.0, OHM, "4.7 kohm"),
        (12.3, POINT, "12.3 points"),
        (0.45, STEP, "0.45 steps"),
        (29.1e-6, HERTZ, "29.1 uHz"),
        (999.96, HERTZ, "1 kHz"),
        (0.99996, VOLT, "1 V"),
        (0.0, VOLT, "0 V"),
        (-0.012, VOLT, "-12 mV"),
        (25.0, CELSIUS, "25 degC"),
        (50e-6, PER_KELVIN, "50 ppm/K"),
        (0.001, PER_VOLT, "0.1 %/V"),
        (34360.0, SECOND, "9.544 h"),
        (1800.0, SECOND, "30 min"),
        (34.0, SECOND, "34 s"),
        (0.46875, RATIO, "0.4688"),
        (16384.0, RATIO, "16384"),
        (1e6, RATIO, "1 000 000"),
        (4782969.0, RATIO, "4 782 969"),
        (-1e9, RATIO, "-1 000 000 000"),
        (math.inf, SECOND, "unbounded"),
        (math.nan, SECOND, "unknown"),
    ],
)
def test_a_value_is_written_as_an_engineer_writes_it(value: float, unit: Unit, text: str) -> None:
    """Engineering prefix, four significant digits, a blank before the unit."""
    assert format_value(value, unit) == text


@pytest.mark.parametrize(
    ("span", "text"),
    [
        (Span(9700.0, 10000.0, 10300.0, HERTZ), "9.7 kHz .. 10.3 kHz (nominal 10 kHz)"),
        (Span(970.0, 1000.0, 1030.0, HERTZ), "0.97 kHz .. 1.03 kHz (nominal 1 kHz)"),
        (Span(2.7, None, 4.2, VOLT), "2.7 V .. 4.2 V"),
        (Span(1e-6, None, 1.0, AMPERE), "1 uA .. 1 A"),
        (Span(0.0, None, 0.8, VOLT), "0 mV .. 800 mV"),
        (exact(4700.0, OHM), "4.7 kohm"),
        (Span(0.005, None, math.inf, SECOND), "at least 5 ms"),
        (Span(-math.inf, None, 1.0, SECOND), "at most 1 s"),
        (Span(1.0, 2.0, math.inf, SECOND), "at least 1 s (nominal 2 s)"),
        (Span(-math.inf, None, math.inf, SECOND), "unbounded"),
        (Span(9999.9, 10000.0, 10000.1, HERTZ), "9.9999 kHz .. 10.0001 kHz (nominal 10 kHz)"),
    ],
)
def test_a_span_is_written_compactly_and_its_ends_never_look_alike(span: Span, text: str) -> None:
    """Ends share a prefix where both keep their digits, and ends that differ are printed apart."""
    assert format_span(span) == text


@given(
    st.floats(1e-12, 1e12),
    st.floats(0, 1),
    st.floats(0, 1),
    st.sampled_from([VOLT, AMPERE, SECOND, HERTZ, OHM, FARAD, POINT, STEP, CELSIUS, RATIO]),
)
def test_what_is_written_can_be_read_back(high: float, share: float, between: float, unit: Unit) -> None:
    """Reading a written span gives the same span, but for the digits that were not printed."""
    low = high * share
    span = Span(low, low + (high - low) * between, high, unit)
    got = parse_span(format_span(span))
    assert got.unit == unit or (got.unit == RATIO and span.high == 0)
    assert [got.low, got.middle, got.high] == pytest.approx(
        [span.low, span.middle, span.high], rel=1e-3, abs=1e-3 * 1e-12
    )


NEARLY = st.text("0123456789.+-/ eEkKmMuGVAHzohmsdgC%ptnialst()\tµΩ°½²٣", max_size=24)


@given(NEARLY | st.text(max_size=12))
def test_any_text_is_read_or_refused_with_a_column_inside_it(text: str) -> None:
    """No text makes anything but a span or a QuantityError, whose column lies in the text or just behind."""
    try:
        span = parse_span(text)
    except QuantityError as error:
        refused = error
    else:
        assert -math.inf < span.middle < math.inf
        assert span.low <= span.middle <= span.high
        return
    assert 1 <= refused.column <= len(text) + 1
