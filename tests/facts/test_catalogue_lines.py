"""The names that house rules may rest on, with subject and kind, and the figures behind them.

A name, its subject and its unit stay as they are: what is listed here may be added to and never renamed.
"""

from collections.abc import Callable, Mapping

import pytest

from drc.facts import (
    modulate_range,
    net_facts,
    output,
    output_net,
    pair_facts,
    part_choice,
    part_error,
    rate,
    rate_facts,
    rate_neighbours,
    rc_care,
)
from drc.facts.dependence import constant, fact
from drc.facts.model import Entry, Unknown
from drc.facts.options import FactOptions
from drc.quantity.span import Span, exact
from drc.quantity.unit import AMPERE, VOLT

LINES: Mapping[Callable[[], tuple[Entry, ...]], str] = {
    modulate_range.modulate_range_entries: "modulate.share ratio, modulate.duty_range points, "
    "filter.ripple ratio",
    net_facts.net_entries: "net.name name, net.pins ratio, net.blocks ratio, net.feeds truth, net.voltage V",
    output.output_entries: "output.source A, output.sink A, output.source_rated A, output.sink_rated A",
    output_net.output_net_entries: "output.capacitance F, output.capacitance_rated F, output.tied truth, "
    "output.contention truth",
    pair_facts.pair_entries: "pair.role name, pair.inverted truth, pair.coupled truth, pair.logic truth, "
    "pair.loop name, pair.watchdog truth, pair.starts_again truth, pair.free_running truth, pair.period s, "
    "pair.high s, pair.low s, pair.bounce s, pair.spacing s, pair.settling s, pair.series ohm, "
    "pair.level_high V, pair.level_low V, pair.high_wanted V, pair.low_wanted V, pair.high_margin V, "
    "pair.low_margin V, pair.limit V, pair.limit_margin V, pair.supply_driver V, pair.supply_driven V",
    part_choice.part_choice_entries: "strap.better_prescale ratio, strap.prescale_gain name, "
    "rate.tolerance ratio, timing.part_error ratio",
    rate_facts.rate_entries: "rate.open truth, rate.shorted truth, rate.resistance ohm, "
    "rate.resistance_rated ohm, rate.current A, rate.current_rated A, rate.capacitance F, "
    "rate.capacitance_rated F",
    rate_neighbours.rate_neighbour_entries: "rate.shared name, rate.leakage A, steering.one_way name, "
    "block.lonely_net name",
    rc_care.rc_care_entries: "control.capacitance F, control.use name, rc.capacitor_kind name, "
    "rc.capacitor_leakage A, rc.capacitor_width ratio, rc.recovery s, capacitor.reversed name, "
    "trigger.held s, trigger.level truth, expect.width ratio",
}
SUBJECTS = {"net": "net", "pair": "pair", "expect": "statement"}
FIGURES = {
    modulate_range.modulate_range_entries: (modulate_range.AVERAGING, 0.5),
    pair_facts.pair_entries: (len(pair_facts.LOGIC_ROLES), 8),
    part_choice.part_choice_entries: (
        (part_choice.EDGE, part_choice.MIDDLE, part_error.SLACK),
        (0.8, 0.5, 1e-9),
    ),
    rate_facts.rate_entries: (rate.TURN_ON, 0.3),
    rate_neighbours.rate_neighbour_entries: (rate_neighbours.SEMICONDUCTOR_A, 50e-9),
    rc_care.rc_care_entries: (
        (rc_care.LARGE_F, rc_care.LEAKAGE_PER_CV, rc_care.LEAST_LEAKAGE_A, round(rc_care.SETTLED, 6)),
        (10e-6, 0.01, 3e-6, 2.995732),
    ),
}
"""Common practice, no source, or from memory, as each says where it stands; ln 20 to six digits."""


@pytest.mark.parametrize("entries", LINES, ids=lambda each: each.__module__)
def test_what_a_rule_may_name_stays(entries: Callable[[], tuple[Entry, ...]]) -> None:
    """Every name with its kind, about the subject that its first word says; and the figures it rests on."""
    lines = {entry.name: entry for entry in entries()}
    for line in LINES[entries].split(", "):
        name, kind = line.split(" ")
        entry = lines[name]
        told = entry.kind if isinstance(entry.kind, str) else (entry.kind.symbol or "ratio")
        assert told == kind, name
        assert entry.subject == SUBJECTS.get(name.partition(".")[0], "block")
        assert entry.meaning
        assert callable(entry.compute)
    figure, stands = FIGURES.get(entries, (None, None))
    assert figure == stands


def test_a_fact_is_computed_under_the_options_that_stand_in() -> None:
    """1 % and 100 ppm/K for resistors, 10 % for capacitors, 5 % for a named rail, up to 1 mA for a part."""
    options = FactOptions()
    assert fact("supply.voltage", constant(3.0, VOLT), options).span == exact(3.0, VOLT)
    assert isinstance(fact("supply.voltage", Unknown("why"), options).value, Unknown)
    assert options[:7] == (0.01, 100e-6, 0.10, 0.0, 0.0, 0.0, 0.05)
    assert options.consumption == Span(0.0, None, 1e-3, AMPERE)
    assert options[8:] == (None, "normal", 20_000, 1, {})
