"""Chains of boards wired at random: every question has an answer."""

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from drc.facts.catalogue import ENTRIES
from drc.facts.model import Unknown
from tests.facts.chain_boards import block, chained

NETS = st.sampled_from(["a", "b", "c", "d", "vdd", "0", "v5"])
NAMES = [entry.name for entry in ENTRIES if entry.subject == "pair"]


@st.composite
def boards(draw: st.DrawFn) -> str:
    """Three blocks whose outputs, inputs and supplies lie on a handful of nets, and parts between these."""
    lines = ["V2 v5 0 5\n"]
    for number in range(1, 4):
        kind = draw(st.sampled_from(["TO1", "TS1", "TR1", "TD1"]))
        supply = draw(st.sampled_from(["vdd", "vdd", "v5", "a"]))
        lines.append(block(f"U{number}", kind, draw(NETS), draw(NETS), supply=supply))
    shapes = ["R{n} {} {} 1k", "R{n} {} {} 100k", "C{n} {} {} 1n", "D{n} {} {} DX", "Q{n} {} {} {} NS",
              "M{n} {} {} {} {} MP", "XG{n} {} {} vdd 0 TG1", "XG{n} {} {} {} 0 TG2", "XW{n} {} {} {} 0 TW1",
              "L{n} {} {} 1u", "V{n}0 {} {} 0"]  # fmt: skip
    for number in range(draw(st.integers(0, 7))):
        shape = draw(st.sampled_from(shapes))
        ends = [draw(NETS) for _ in range(shape.count("{}"))]
        lines.append(shape.format(*ends, n=number + 10) + "\n")
    return "".join(lines)


@settings(max_examples=60, deadline=None)
@given(boards())
def test_any_wiring_has_an_answer(netlist: str) -> None:
    """Every fact of every pair is a value without nan, or unknown with a reason; nothing asks for ever."""
    board = chained(netlist)
    for subject in board.subjects("pair"):
        for name in NAMES:
            found = board.fact(subject, name)
            if isinstance(found.value, Unknown):
                assert found.value.because
            elif found.span is not None:
                assert not any(math.isnan(end) for end in (found.span.low, found.span.high)), found
