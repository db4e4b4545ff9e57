"""Which prescale centres the timing resistor, what that gains, and how wide the resistor is; by hand.

The part is rated for 25 kohm to 500 kohm: the geometric middle is 111.8 kohm, and half the range a factor of
sqrt(20) = 4.472. A resistor is at an edge beyond 4.472^0.8 of the middle (33.7 kohm, 371 kohm), and in the
middle within 4.472^0.5 of it (52.9 kohm, 236 kohm).
"""

import pytest

from drc.facts.book import Book
from drc.facts.model import Fact
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, part, span, unknown

BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt sel TC1
RT rt 0 {ohm}
RA vdd cfg 30k 0%
RB cfg 0 10k 0%
RS sel 0 10k
"""
ROWS = "{ code = 0, prescale = 1 }, { code = 1, prescale = 10 }, { code = 2, prescale = 50 }"
SELECT = 'input.select = { low = "0.3 supply", high = "0.7 supply" }'
STILL = "ambient 25degC .. 25degC"


def board(ohm: str, rows: str = ROWS, error: str = '"1%"', intent: str = STILL, rated: str = "") -> Book:
    """A part that reads code 1."""
    base = part("TC1", "oscillator", "select", SELECT)
    start = base.index("codes = [")
    codes = base[start : base.index("]", start) + 1]
    file = base.replace(codes, f"codes = [ {rows} ]").replace('error = "1%"', f"error = {error}")
    file = file.replace('resistance = "25kohm .. 500kohm"', f'resistance = "{rated}"') if rated else file
    return book(BOARD.format(ohm=ohm), file, intent)


def untimed(file: str) -> str:
    """A part file without the line of its timing."""
    start = file.index("timing = {")
    return file[:start] + file[file.index("\n", start) + 1 :]


def better(of: Book) -> tuple[float | None, object]:
    """The prescale to take, and what it gains."""
    return span(of, "strap.better_prescale").nominal, fact(of, "strap.prescale_gain").value


SPREAD = "over its spread it leaves the rated 25 kohm .. 500 kohm, as far as {}"


@pytest.mark.parametrize(
    ("ohm", "prescale", "gain"),
    [
        ("499k 1%", 50, SPREAD.format("504 kohm")),
        ("499k 0.1%", 10, "nothing"),
        ("600k 0%", 50, SPREAD.format("600 kohm")),
        ("25.1k 1%", 2, SPREAD.format("24.85 kohm")),
        ("25.1k 0.1%", 10, "nothing"),
        ("20k 0%", 2, SPREAD.format("20 kohm")),
        ("500k 0%", 10, "nothing"),
        ("25k 0%", 10, "nothing"),
    ],
)
def test_a_resistor_whose_spread_leaves_the_range(ohm: str, prescale: float, gain: str) -> None:
    """499 kohm at prescale 10 are 99.8 kohm at 50; 25.1 kohm are 125.5 kohm at 2."""
    assert better(board(ohm, ROWS.replace("prescale = 1 }", "prescale = 2 }"))) == (prescale, gain)


@pytest.mark.parametrize(
    ("ohm", "law"),
    [
        ("370k 0%", "lies well within"),
        ("372k 0%", "and gains nothing"),
        ("33.8k 0%", "lies well within"),
        ("33.6k 0%", "no other prescale"),
        ("0.5 0%", "no other prescale"),
        ("450k 0%", "prescale 50 with 90 kohm gives the same time, and gains nothing"),
    ],
)
def test_where_the_edge_begins(ohm: str, law: str) -> None:
    """Beyond 371 kohm and below 33.7 kohm; 33.6 kohm would be 336 kohm at prescale 1, or 6.7 kohm at 50."""
    of = board(ohm)
    found = fact(of, "strap.better_prescale")
    assert law in found.law
    assert better(of) == (10, "nothing")


@pytest.mark.parametrize(
    ("other", "prescale"), [(25, 10), (26, 26), (113, 113), (114, 10), (20, 10), (1000, 10)]
)
def test_how_near_the_middle_another_prescale_must_bring_it(other: int, prescale: int) -> None:
    """600 kohm at 10: at 26 it is 230.8 kohm and at 113 53.1 kohm; at 25 240 kohm, at 114 52.6 kohm."""
    rows = f"{{ code = 0, prescale = {other} }}, {{ code = 1, prescale = 10 }}"
    assert better(board("600k 0%", rows))[0] == prescale


@pytest.mark.parametrize(
    ("rows", "prescale"),
    [
        ("{ code = 0, prescale = 30 }, { code = 1, prescale = 10 }, { code = 2, prescale = 50 }", 50),
        ("{ code = 0, prescale = 50 }, { code = 1, prescale = 10 }, { code = 2, prescale = 30 }", 50),
        ("{ code = 1, prescale = 10 }, { code = 2, prescale = 50, inverted = true }", 10),
        ("{ code = 1, prescale = 10, inverted = true }, { code = 2, prescale = 50 }", 10),
        (
            "{ code = 1, prescale = 10, inverted = true }, { code = 2, prescale = 50, inverted = true }",
            50,
        ),
        ('{ code = 1, prescale = 10 }, { code = 2, prescale = 50, rest = "high" }', 10),
        ('{ code = 1, prescale = 10, rest = "high" }, { code = 2, prescale = 50, rest = "high" }', 50),
        ('{ code = 1, prescale = 10 }, { code = 2, prescale = 50, when = { select = "low" } }', 10),
        (
            '{ code = 1, prescale = 10, when = { select = "low" } }, '
            '{ code = 2, prescale = 50, when = { select = "low" } }',
            50,
        ),
        ("{ code = 1, prescale = 10 }, { code = 2, prescale = 10 }", 10),
    ],
)
def test_another_row_must_do_the_same(rows: str, prescale: float) -> None:
    """Of the same polarity, rest and condition; of several the one that centres the resistor best."""
    assert better(board("600k 0%", rows))[0] == prescale


def test_a_row_is_as_exact_as_at_its_own_current_and_prescale() -> None:
    """450 kohm draw 1.11 uA; 90 kohm at prescale 50 draw 5.56 uA: the error there is what is gained."""
    near = '[ { error = "1%", current = "5.5uA .. 5.6uA" }, { error = "3%", current = "1uA .. 2uA" } ]'
    assert better(board("450k 0%", error=near)) == (50, "the part's own error would go from 3 % to 1 %")
    by_row = '[ { error = "2%", prescale = "50" }, { error = "2.5%" } ]'
    assert better(board("450k 0%", error=by_row)) == (50, "the part's own error would go from 2.5 % to 2 %")
    by_code = '[ { error = "2%", code = "2" }, { error = "2.5%" } ]'
    assert better(board("450k 0%", error=by_code)) == (50, "the part's own error would go from 2.5 % to 2 %")


@pytest.mark.parametrize(
    "error",
    [
        '"1%"',
        '[ { error = "3%", current = "5.5uA .. 5.6uA" }, { error = "1%", current = "1uA .. 2uA" } ]',
        '[ { error = "1%", current = "5.5uA .. 5.6uA" } ]',
        '[ { error = "1%", current = "1uA .. 2uA" } ]',
    ],
)
def test_what_is_no_more_exact_gains_nothing(error: str) -> None:
    """The same error, a larger one, or one that the part file does not give here or there."""
    assert better(board("450k 0%", error=error)) == (10, "nothing")


@pytest.mark.parametrize("lacking", ['voltage = "0.5V +/- 2%", ', "timing"])
def test_without_a_current_or_a_timing_nothing_is_known_to_be_gained(lacking: str) -> None:
    """A part file without the rate pin's voltage, or its timing: a resistor inside its range stays."""
    base = part("TC1", "oscillator", "select", SELECT).replace("prescale = 100 }", "prescale = 50 }")
    assert lacking in base
    bare = untimed(base) if lacking == "timing" else base.replace(lacking, "")
    of = book(BOARD.format(ohm="450k 0%"), bare, STILL)
    assert better(of) == (10, "nothing")
    assert "prescale 50 with 90 kohm" in fact(of, "strap.better_prescale").law


def test_the_choice_rests_on_the_code_table() -> None:
    """Its rows are the evidence, with the part file's place."""
    of = board("499k 1%")
    for name in ("strap.better_prescale", "strap.prescale_gain"):
        found: Fact = fact(of, name)
        (evidence,) = found.inputs
        assert evidence[:3] == ("TC1 codes", "3 rows", "part file")
        assert evidence.place == of.board.blocks[0].part.place


def test_without_a_range_or_a_resistor_there_is_no_choice() -> None:
    """A rated range from nothing, none at all, and a short."""
    none = part("TC1", "oscillator", "select", SELECT).replace('resistance = "25kohm .. 500kohm", ', "")
    rateless = book(BOARD.format(ohm="600k"), none)
    for of in (rateless, board("600k 0%", rated="0ohm .. 500kohm"), board("0")):
        assert unknown(of, "strap.better_prescale").missing == ("rate resistance",)


def test_what_a_choice_wants_is_named() -> None:
    """An open pin; no strap; both strap and resistor not known; a resistor that takes states."""
    base = part("TC1", "oscillator", "select", SELECT)
    netlist = BOARD.format(ohm="100k")
    opened = netlist.replace("RT rt 0", "RT rx 0")
    assert unknown(book(opened, base), "strap.better_prescale").missing == ("rate resistance",)
    loose = netlist.replace("RA vdd cfg 30k 0%\n", "").replace("RB cfg 0 10k 0%\n", "")
    strapless = unknown(book(loose, base), "strap.better_prescale")
    assert strapless == unknown(book(loose, base), "strap.prescale")
    both = unknown(book(loose.replace("100k", "DNK"), base), "strap.better_prescale")
    assert both.missing == (*strapless.missing, "RT value")
    states = BOARD.format(ohm="100k") + "RX rt o2 100k\nR6 r2 0 100k\nXU2 vdd cfg o2 0 r2 sel TC9\n"
    three = base + base.replace("TC1", "TC9").replace('kind = "push-pull"', 'kind = "three-state"')
    of = book(states, three)
    assert "takes states" in unknown(of, "strap.better_prescale").because
    assert unknown(of, "rate.tolerance").missing == ("rate.resistance",)


def test_a_range_may_begin_below_an_ohm() -> None:
    """From 0.5 ohm to 500 kohm the middle is 500 ohm: 100 kohm are 0.77 of the way to the end."""
    assert (
        "lies well within" in fact(board("100k 0%", rated="0.5ohm .. 500kohm"), "strap.better_prescale").law
    )


def test_a_range_without_width_has_no_edge() -> None:
    """A part rated for one resistance alone: nothing is nearer to its middle than what is there."""
    assert better(board("100k 0%", rated="100kohm .. 100kohm")) == (10, "nothing")


@pytest.mark.parametrize(
    ("resistors", "intent", "width"),
    [
        ("R3 rt 0 100k tol=1%", STILL, 0.01),
        ("R3 rt 0 100k tol=1%", "ambient -40degC .. 125degC", 0.01),
        ("R3 rt 0 100k tol=1%", "ambient 60degC .. 85degC\nassume R3 tempco 200ppm", 0.01),
        ("R3 rt m 80k tol=1%\nR4 m 0 20k", "assume R4 value 10kohm .. 30kohm", 0.008),
        ("R3 rt m 75k tol=1%\nR4 m 0 25k tol=5%", STILL, 0.02),
        ("R3 rt 0 100k tol=0%", "ambient -40degC .. 125degC\nassume R3 tempco 200ppm", 0.0),
    ],
)
def test_the_width_of_the_timing_resistance_is_its_tolerance(
    resistors: str, intent: str, width: float
) -> None:
    """Half the spread over the nominal at 25 degC, a trimmer in its middle: 0.8 of 1 %, or 0.75 + 1.25 %."""
    of = book(CENTRED.replace("R3 rt 0 100k tol=1%", resistors), PLAIN, intent)
    found = fact(of, "rate.tolerance")
    assert found.span is not None
    assert found.span.middle == pytest.approx(width, abs=1e-12)
    assert (found.span.low, found.span.high) == (found.span.middle, found.span.middle)
    assert found.inputs


@pytest.mark.parametrize(
    ("resistor", "missing"),
    [
        ("R3 rt 0 0", ("rate.resistance",)),
        ("R3 rx 0 1k", ("rate.resistance",)),
        ("R3 rt 0 DNK", ("R3 value",)),
    ],
)
def test_a_pin_without_a_resistor_has_no_width(resistor: str, missing: tuple[str, ...]) -> None:
    """A short, an open pin, a value that cannot be read."""
    of = book(CENTRED.replace("R3 rt 0 100k tol=1%", resistor), PLAIN)
    assert unknown(of, "rate.tolerance").missing == missing


def test_the_least_error_of_a_part_s_rows_and_where_it_stands() -> None:
    """The smallest of three; its evidence is the part file's."""
    rows = '[ { error = "2%", current = "10uA" }, { error = "0.5%", prescale = "10" }, { error = "3%" } ]'
    of = board("100k", error=rows)
    found = fact(of, "timing.part_error")
    assert found.span is not None
    assert found.span.middle == pytest.approx(0.005)
    assert found.inputs[0][:3] == ("TC1 timing error", "+/- 0.5 %", "part file")
    assert found.inputs[0].place == of.board.blocks[0].part.place
    base = part("TC1", "oscillator", "select", SELECT)
    lacking = unknown(book(BOARD.format(ohm="100k"), untimed(base)), "timing.part_error")
    assert lacking.missing == ("TC1 timing.error",)
