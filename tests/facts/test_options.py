"""What the facts are computed under where nothing else is said, figure by figure."""

import pytest

from drc.facts.model import Fact, Input, Unknown
from drc.facts.options import FactOptions
from drc.quantity.span import exact
from drc.quantity.unit import VOLT
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span


def test_what_stands_in_is_what_a_board_is_judged_by() -> None:
    """R3 without a tolerance: 1 %, and 100 ppm/K over 40 K; both are said to be assumed."""
    bare = CENTRED.replace("R3 rt 0 100k tol=1%", "R3 rt 0 100k")
    found = fact(book(bare, PLAIN, "ambient -15degC .. 65degC"), "rate.resistance")
    assert found.span is not None
    assert found.span.high == pytest.approx(100e3 * 1.01 * 1.004)
    assert found.span.low == pytest.approx(100e3 * 0.99 * 0.996)
    assert len([note for note in found.assumptions if note.startswith("R3")]) == 2
    wide = FactOptions(resistor_tolerance=0.05, resistor_tempco=0.0)
    assert span(book(bare, PLAIN, options=wide), "rate.resistance").high == pytest.approx(105e3)


def test_a_fact_s_span_is_its_value_where_that_is_one() -> None:
    """A name, a truth and what is not known have none."""
    assert Fact("supply.voltage", exact(3.0, VOLT)).span == exact(3.0, VOLT)
    for value in ("normal", True, Unknown("why", ("what",))):
        assert Fact("block.part", value).span is None


def test_what_is_left_out_of_a_fact_is_empty() -> None:
    """No law, no evidence, no assumption, no place."""
    assert Fact("block.part", "PL1")[2:] == ("", (), ())
    assert Unknown("why").missing == ()
    assert Input("R3", "100 kohm", "line").place is None
