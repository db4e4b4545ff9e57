"""How a board is drawn does not matter: order of lines, names, hierarchy, parts split in two."""

import random
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.facts.book import Book
from drc.facts.options import FactOptions
from drc.quantity.span import Span
from tests.facts.strap_boards import PLAIN
from tests.facts.timing_boards import block, book, fact

BOARD = """
V1 vin 0 5
XREG vin 0 vdd RG3
R1 vdd cfg 22k tol=1%
R2 cfg 0 10k tol=1%
C2 cfg 0 1n
R3 rt 0 100k tol=1%
R4 rt mid 220k
R5 mid vctl 10k
R6 mid 0 47k
R7 out a 330
D1 a 0 LED_RED
R8 out b 4.7k
R9 b vdd 10k
XU1 vdd cfg out 0 rt vdd PL1
"""
INTENT = "signal vctl 0.5V .. 1.5V\nambient -20degC .. 70degC"
NAMES = (
    "supply.voltage", "strap.ratio", "strap.code", "strap.margin", "strap.settling", "strap.misread",
    "rate.resistance", "rate.current", "output.source", "output.sink", "timing.frequency",
    "timing.frequency.monte_carlo",
)  # fmt: skip
FEW = FactOptions(draws=400)


def numbers(of: Book, path: str = "XU1") -> dict[str, tuple[float, ...]]:
    """Low, nominal and high of each fact."""
    found: dict[str, tuple[float, ...]] = {}
    for name in NAMES:
        value = fact(of, name, path).value
        assert isinstance(value, Span), (name, value)
        found[name] = (value.low, value.middle, value.high)
    return found


def same(one: dict[str, tuple[float, ...]], two: dict[str, tuple[float, ...]]) -> None:
    """Equal to a billionth."""
    for name, values in one.items():
        assert two[name] == pytest.approx(values, rel=1e-9, abs=1e-15), name


REFERENCE = numbers(book(BOARD, PLAIN, INTENT, FEW))


@settings(max_examples=12, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_order_of_lines_does_not_matter(chance: random.Random) -> None:
    """Shuffled lines give the same facts, random draws included."""
    lines = BOARD.strip().splitlines()
    chance.shuffle(lines)
    same(REFERENCE, numbers(book("\n".join(lines), PLAIN, INTENT, FEW)))


@settings(max_examples=12, deadline=None)
@given(st.permutations(["na", "nb", "nc", "nd", "ne", "nf", "ng", "nh"]))
def test_names_of_nets_do_not_matter(names: list[str]) -> None:
    """Renamed nets give the same facts, random draws included."""
    renamed, intent = BOARD, INTENT
    for old, new in zip(("vin", "vdd", "cfg", "rt", "mid", "vctl", "out", "b"), names, strict=True):
        renamed = re.sub(rf"(?<= ){old}(?= )", new, renamed)
        intent = re.sub(rf"(?<= ){old}(?= )", new, intent)
    same(REFERENCE, numbers(book(renamed, PLAIN, intent, FEW)))


def test_names_of_elements_do_not_matter() -> None:
    """Resistors under other names give the same facts, random draws included."""
    renamed = re.sub(r"^R(\d)", lambda m: f"RZ{97 - int(m[1])}", BOARD, flags=re.MULTILINE)
    same(REFERENCE, numbers(book(renamed, PLAIN, INTENT, FEW)))


def test_hierarchy_does_not_matter() -> None:
    """The same block inside a subcircuit, its strap inside another, gives the same facts, draws included."""
    inner = BOARD.split("XREG vin 0 vdd RG3\n")[1]
    strap = ".subckt strap top tap\nR1 top tap 22k tol=1%\nR2 tap 0 10k tol=1%\n.ends\n"
    inner = inner.replace("R1 vdd cfg 22k tol=1%\nR2 cfg 0 10k tol=1%\n", "XS vdd cfg strap\n")
    board = f"{strap}.subckt cell vdd vctl\n{inner}.ends\nV1 vin 0 5\nXREG vin 0 vdd RG3\nXC vdd vctl cell\n"
    same(REFERENCE, numbers(book(board, PLAIN, INTENT, FEW), "XC.XU1"))


@settings(max_examples=15, deadline=None)
@given(st.sampled_from(["R1", "R2", "R3", "R4", "R5", "R6", "R7", "R8", "R9"]), st.floats(0.05, 0.95))
def test_a_resistor_split_in_two_leaves_every_nominal(name: str, share: float) -> None:
    """Two resistors in series that add up to one change no nominal value."""
    line = re.search(rf"^{name} (\S+) (\S+) (\S+)(.*)$", BOARD, flags=re.MULTILINE)
    assert line is not None
    ohm = float(line[3].replace("k", "e3"))
    upper = f"{name}A {line[1]} split {ohm * share!r}{line[4]}"
    parts = f"{upper}\n{name}B split {line[2]} {ohm * (1 - share)!r}{line[4]}"
    found = numbers(book(BOARD.replace(line[0], parts), PLAIN, INTENT, FEW))
    for fact_name, values in REFERENCE.items():
        assert found[fact_name][1] == pytest.approx(values[1], rel=1e-9), fact_name


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("R3 rt 0 100k tol=1%", "V7 g7 0 0\nR3 rt g7 100k tol=1%"),
        ("R3 rt 0 100k tol=1%", "R33 rt x 0\nR3 x 0 100k tol=1%"),
        ("XREG vin 0 vdd RG3", "XREG vin 0 v3 RG3\nL1 v3 vdd 10u"),
        ("R6 mid 0 47k", "R6 mid agnd 47k\nR66 agnd 0 0"),
        ("D1 a 0 LED_RED", "R77 a aa 0\nD1 aa 0 LED_RED"),
    ],
)
def test_links_beads_and_zero_volt_sources_do_not_matter(old: str, new: str) -> None:
    """What has no resistance changes no fact."""
    same(REFERENCE, numbers(book(BOARD.replace(old, new), PLAIN, INTENT, FEW)))


DELETIONS = (
    ("V1 vin 0 5\n", "", "supply.voltage", "voltage of vin"),
    ("XREG vin 0 vdd RG3\n", "", "supply.voltage", "voltage of vdd"),
    ("R1 vdd cfg 22k tol=1%\n", "", "strap.code", ""),
    ("R2 cfg 0 10k tol=1%\n", "", "strap.code", ""),
    ("R3 rt 0 100k tol=1%\n", "", "rate.current", ""),
    ("R6 mid 0 47k", "R6 mid 0 DN", "rate.current", "R6 value"),
    ("R7 out a 330", "R7 out a ?", "output.source", "R7 value"),
)


@pytest.mark.parametrize(("old", "new", "name", "missing"), DELETIONS)
def test_what_is_taken_away_is_missed(old: str, new: str, name: str, missing: str) -> None:
    """A fact whose input is gone is unknown and names it, or has another value: never the same."""
    of = book(BOARD.replace(old, new), PLAIN, INTENT, FEW)
    value = fact(of, name).value
    if missing:
        assert missing in getattr(value, "missing", ()), value
    assert value != fact(book(BOARD, PLAIN, INTENT, FEW), name).value


def test_a_part_without_a_code_table_leaves_prescale_and_polarity_unknown() -> None:
    """The code is read all the same; what it means is not known, nor whether it is reserved."""
    start = PLAIN.index("codes    = [")
    of = book(BOARD, PLAIN[:start] + PLAIN[PLAIN.index("output   =") :], INTENT, FEW)
    assert fact(of, "strap.code").value == fact(book(BOARD, PLAIN, INTENT, FEW), "strap.code").value
    for name in ("strap.prescale", "strap.polarity", "strap.reserved"):
        assert "PL1 code" in " ".join(getattr(fact(of, name).value, "missing", ())), name


def test_a_part_without_its_figures_leaves_the_facts_that_need_them_unknown() -> None:
    """Without threshold error, rate voltage, code table or output resistance a named fact is unknown."""
    for old, new, name, missing in (
        ('threshold_error = "0.5%", ', "", "strap.margin", "PL1 strap threshold_error"),
        ('voltage = "0.5V +/- 2%", ', "", "rate.current", "PL1 rate voltage"),
        ('sink = "8mA", resistance = "25ohm"', 'sink = "8mA"', "output.source", "PL1 output resistance"),
    ):
        of = book(BOARD, PLAIN.replace(old, new, 1), INTENT, FEW)
        assert missing in getattr(fact(of, name).value, "missing", ()), name
        assert block(of).part.name == "PL1"
