"""Whatever the wiring, every fact about a block is a value or unknown with a reason, never an error."""

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from drc.facts.catalogue import ENTRIES
from drc.facts.model import Case, Cases, Subject, Unknown
from drc.quantity.span import Span
from tests.facts.timing_boards import book, part

LEVELS = 'low = "0.3 supply", high = "0.7 supply"'
SCALE = 'full_scale = "0V .. 1V", duty = "5% .. 95%", error = "1points"'
MORE = {
    "TW1": ("oscillator", "enable", f'input.enable = {{ {LEVELS}, active = "high" }}'),
    "TW3": ("pulse-modulator", "modulate", f"modulate = {{ {SCALE} }}"),
    "TW4": ("one-shot", "trigger", 'trigger = { edge = "rising", retriggerable = true, recovery = "1us" }'),
    "TW5": ("edge-delay", "signal", 'signal = { edges = "both" }'),
}  # fmt: skip
RC = """
[part.TW6]
title = "test part"
source = "this test"
function = "rc-timer"
pins = ["supply", "output", "discharge", "threshold", "control", "trigger", "ground"]
ladder = { lower = "1/3", upper = "2/3", error = "1%", resistance = "5kohm" }
discharge = { resistance = "20ohm" }
input.threshold = { leakage = "10nA" }
trigger = { edge = "falling", retriggerable = false, recovery = "0s", level = true }
output = { kind = "push-pull", source = "50mA", sink = "50mA", resistance = "30ohm" }
"""
PARTS = "".join(part(name, *rest) for name, rest in MORE.items()) + RC
NETS = st.sampled_from(["0", "vdd", "a", "b", "c", "d", "e"])
VALUES = st.sampled_from(["0", "10", "1k", "47k 1%", "100k", "2.2MEG", "DNP", "?"])
STATED = st.sampled_from(
    ["", "supply vdd 2.7V .. 4.2V", "signal a 0V .. 2.5V", "signal b period 1ms, high 0.1ms .. 0.2ms",
     "signal c bounce 5ms", "ambient -40degC .. 85degC", "load a 1mA", "same a b", "signal d 0.3V"]
)  # fmt: skip


@st.composite
def wirings(draw: st.DrawFn) -> str:
    """Blocks and small parts on a handful of nets, at random."""
    lines = ["V1 vdd 0 3.3"] if draw(st.booleans()) else []
    for at, name in enumerate(draw(st.lists(st.sampled_from([*MORE, "TW6"]), min_size=1, max_size=2))):
        pins = 7 if name == "TW6" else 6
        lines.append(" ".join([f"XU{at + 1}", *draw(st.lists(NETS, min_size=pins, max_size=pins)), name]))
    for at in range(draw(st.integers(0, 7))):
        kind = draw(st.sampled_from("RRRRCDLVQ"))
        nets = draw(st.lists(NETS, min_size=2, max_size=2))
        tail = {
            "R": draw(VALUES),
            "C": "100n",
            "D": "DX",
            "L": "1u",
            "V": "PULSE(0 2 0 1u 1u 1m 2m)",
            "Q": "0 QX",
        }
        lines.append(f"{kind}{at + 2} {nets[0]} {nets[1]} {tail[kind]}")
    return "\n".join([*lines, ".model DX d(is=1e-12)", ".model QX npn(is=1e-14 bf=100)"])


@settings(max_examples=60, deadline=None)
@given(wirings(), st.lists(STATED, max_size=3))
def test_no_wiring_breaks_a_fact(netlist: str, stated: list[str]) -> None:
    """Every line of the catalogue about blocks answers; no number is nan, no unknown without a reason."""
    of = book(netlist, PARTS, "\n".join(stated))
    for block in of.board.blocks:
        for line in ENTRIES:
            if line.subject != "block" or line.name.endswith(".monte_carlo"):
                continue
            value = of.fact(Subject("block", block.path, block.place, block), line.name).value
            cases = value.cases if isinstance(value, Cases) else ()
            for span in (value, *(case.value for case in cases if isinstance(case, Case))):
                if isinstance(span, Span):
                    assert not any(math.isnan(end) for end in (span.low, span.middle, span.high)), line.name
                    assert span.low <= span.high, line.name
            assert not isinstance(value, Unknown) or value.because, line.name
