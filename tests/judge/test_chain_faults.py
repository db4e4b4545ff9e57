"""Chains drawn from the wanted answer are silent; a planted mistake is found by its own rule and no other."""

from hypothesis import given, settings
from hypothesis import strategies as st

from drc.judge.assess import assess
from tests.facts.chain_boards import block, chained
from tests.judge.boards import built_in_rules

WAYS = {
    "straight": "R1 tick trg 0\n",
    "a resistor": "R1 tick trg 1k\n",
    "a filter": "R1 tick trg 1k\nC1 trg 0 1n\n",
    "two transistors": "R1 tick b 10k\nQ1 a b 0 NS\nR2 vdd a 1k\nM1 trg a 0 0 MN\nR3 vdd trg 1k\n",
    "an inverter": "XG1 tick trg vdd 0 TG1\n",
}
"""Ways from `tick` to `trg` that pass 80 us and both levels at 3 V."""

PULSE = 80e-6
"""What a block at 100 kohm makes, s: 2 us * (100 kohm / 25 kohm) * 10."""


def spoken(netlist: str) -> set[str]:
    """The chain rules that find something on a board, above a note."""
    board = chained(netlist, "supply vdd 2.9V .. 3.1V\nambient -20degC .. 60degC")
    found = assess(board, built_in_rules()).findings
    return {f.rule for f in found if f.rule.startswith("chain-") and f.level != "note"}


ways = st.sampled_from(sorted(WAYS))
shots = st.sampled_from(["TS1", "TR1"])


@settings(max_examples=12, deadline=None)
@given(ways, shots, st.floats(0.3, 0.9))
def test_a_pulse_that_ends_in_time_is_silent(way: str, shot: str, share: float) -> None:
    """Whatever lies between, a pulse of at most 0.9 of its trigger's spacing is over in time."""
    second = block("U2", shot, "out", "trg", ohm=f"{100 * share:.4g}k")
    assert spoken(block("U1", "TO1", "tick", "vdd") + second + WAYS[way]) == set()


@settings(max_examples=12, deadline=None)
@given(ways, shots, st.floats(1.1, 3.0))
def test_a_pulse_too_long_is_found_by_its_own_rule(way: str, shot: str, share: float) -> None:
    """A pulse of 1.1 of the spacing or more loses triggers, or never ends where each starts it again."""
    second = block("U2", shot, "out", "trg", ohm=f"{100 * share:.4g}k")
    own = {"TS1": "chain-one-shot-misses-triggers", "TR1": "chain-one-shot-never-returns"}[shot]
    assert spoken(block("U1", "TO1", "tick", "vdd") + second + WAYS[way]) == {own}


@settings(max_examples=10, deadline=None)
@given(st.floats(0.3, 0.85), st.booleans())
def test_a_delay_is_found_where_it_outlasts_the_pulse(share: float, swallow: bool) -> None:
    """A delay well below the pulse's length is silent; the same ratio turned round swallows every pulse."""
    ohm = 100 / share if swallow else 100 * share
    netlist = block("U1", "TS1", "tick", "kick") + block("U2", "TD1", "out", "tick", ohm=f"{ohm:.4g}k")
    board = chained(netlist, "signal kick period 1ms")
    found = {f.rule for f in assess(board, built_in_rules()).findings if f.rule.startswith("chain-")}
    assert found == ({"chain-delay-swallows-pulses"} if swallow else set())


@settings(max_examples=10, deadline=None)
@given(st.floats(2.2, 5.5), st.floats(2.2, 5.5))
def test_levels_are_judged_as_the_supplies_say(driver: float, driven: float) -> None:
    """Straight from one supply to another: below 0.7 of the second, 0.35 V above it, or silent."""
    netlist = block("U1", "TO1", "tick", "va", supply="va") + block(
        "U2", "TS1", "out", "tick", ohm="50k", supply="vb"
    )
    board = chained(f"{netlist}V2 va 0 {driver:.4f}\nV3 vb 0 {driven:.4f}\n")
    names = {"chain-level-mismatch", "input-over-limit", "chain-over-input-limit"}
    found = {f.rule for f in assess(board, built_in_rules()).findings if f.rule in names}
    if abs(driver - 0.7 * driven) < 1e-3 or abs(driver - driven - 0.35) < 1e-3:
        return
    expected = {"chain-level-mismatch"} if driver < 0.7 * driven else set()
    assert found == expected | ({"input-over-limit"} if driver > driven + 0.35 else set())
