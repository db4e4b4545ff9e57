"""Where a resistor ends on a connector and on nothing else: the assumption that nothing is brought there."""

import pytest

from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact

NOTE = "nothing is brought to v through J9"


@pytest.mark.parametrize(
    ("lines", "intent", "noted"),
    [
        ("R9 rt v 100k\nJ9 v PLUG", "", True),
        ("R9 v rt 100k\nJ9 v PLUG", "", True),
        ("R9 rt v 100k\nR8 v rt 100k\nJ9 v PLUG", "", True),
        ("R9 rt m 100k\nR8 m v 100k\nJ9 v PLUG", "", True),
        ("R9 rt v 100k\nC9 v 0 1n\nJ9 v PLUG", "", True),
        ("R9 rt v 100k\nR8 v m 100k\nJ9 v PLUG", "", False),
        ("R9 rt v 100k\nR8 v 0 100k\nJ9 v PLUG", "", False),
        ("R9 rt v 100k\nD9 v vdd DX\nJ9 v PLUG", "", False),
        ("R9 rt v 100k\nD9 0 v DX\nJ9 v PLUG", "", False),
        ("R9 rt v 100k\nJ9 v PLUG", "load v 0A .. 1uA", False),
        ("R9 rt v 100k\nTP9 v PAD", "", False),
        ("R9 rt v 100k", "", False),
        ("J9 rt PLUG", "", False),
    ],
)
def test_an_end_at_a_connector_is_an_assumption(lines: str, intent: str, noted: bool) -> None:
    """A clamp, a load or a second way tells what the net is at; a test point brings nothing."""
    found = fact(book(f"{CENTRED}.model DX D(IS=1e-14)\n{lines}\n", PLAIN, intent), "rate.resistance")
    assert [note for note in found.assumptions if "through J9" in note] == [NOTE] * noted
