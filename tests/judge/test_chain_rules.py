"""Rules on pairs of a chain: what they find, at which level, and where they keep silent."""

import pytest

from tests.judge.boards import assessed, built_in_rules, sample_boards

CHAIN_RULES = [rule.name for rule in built_in_rules().rules if rule.subject == "pair"]


def block(name: str, part: str, out: str, pin: str, strap: str = "130k 68.1k", *, ohm: str = "100k") -> str:
    """A block on vdd with its strap pair, timing resistor, output and last pin."""
    upper, lower = strap.split()
    return (
        f"X{name} vdd cfg{name} {out} 0 rt{name} {pin} {part}\nRT{name} rt{name} 0 {ohm}\n"
        f"RA{name} vdd cfg{name} {upper}\nRB{name} cfg{name} 0 {lower}\n"
    )


def found(netlist: str, rule: str = "chain-") -> list[tuple[str, str, str]]:
    """(rule, verdict, level) of every finding of rules that begin so, on a board at 3.3 V."""
    judged = assessed(f"a board\nV1 vdd 0 3.3\nV2 v5 0 5\n{netlist}.end\n")
    return [(f.rule, f.verdict, f.level) for f in judged.findings if f.rule.startswith(rule)]


SLOW = block("U1", "HA20", "tick", "0")
"""Ticks every 2.5 s."""

FAST = block("U1", "HA10", "tick", "vdd", "63.4k 162k", ohm="392k")
"""Ticks every 4.9 ms."""

RESETTABLE = block("U3", "HA20", "out", "bark")


@pytest.mark.parametrize("rule", CHAIN_RULES)
def test_the_samples_are_silent(rule: str) -> None:
    """The station's boards are wired in chains, and no rule on pairs has a word against them."""
    boards = sample_boards()
    judged = [e for board in boards.values() for e in board.tally if e.rule == rule]
    assert len(judged) >= 3
    assert [f for board in boards.values() for f in board.findings if f.rule == rule] == []


def test_a_sound_chain_is_silent() -> None:
    """A tick every 2.5 s into a pulse of 5 ms, through a resistor: nothing to say."""
    assert found(SLOW + block("U2", "HA40", "pulse", "trg") + "R1 tick trg 1k\n") == []


def test_a_variant_that_starts_again_in_time_is_silent() -> None:
    """A one-shot that starts again, given 2.5 s for its pulse of 5 ms, is a plain pulse."""
    assert found(SLOW + block("U2", "HA40G", "pulse", "tick")) == []


def test_a_stretcher_that_wakes_an_oscillator_is_no_watchdog() -> None:
    """A pulse far shorter than the spacing of its triggers is meant, whatever it holds."""
    assert found(SLOW + block("U2", "HA40G", "bark", "tick") + RESETTABLE) == []


def test_the_ceil_law_stands_in_the_message() -> None:
    """4.9 ms into a pulse of 5 ms: the message gives the 9.8 ms at which the output comes."""
    judged = assessed(f"a board\nV1 vdd 0 3.3\n{FAST}{block('U2', 'HA40', 'pulse', 'tick')}.end\n")
    (message,) = [f.message for f in judged.findings if f.rule == "chain-one-shot-misses-triggers"]
    assert "9.8 ms" in message


def test_a_missed_trigger_is_told_once() -> None:
    """The rule on the pair speaks, and the one on the block leaves it the word."""
    netlist = FAST + block("U2", "HA40", "pulse", "tick")
    assert found(netlist) == [("chain-one-shot-misses-triggers", "fail", "warning")]
    assert found(netlist, "one-shot-misses-triggers") == []


def test_a_watchdog_on_a_clock_never_trips() -> None:
    """Triggers every 4.9 ms that never stop hold a watchdog of 10 ms for ever: a warning."""
    dog = block("U2", "HA40G", "bark", "tick", ohm="200k")
    assert ("chain-one-shot-never-returns", "fail", "warning") in found(FAST + dog + RESETTABLE)


def test_a_clock_that_may_stop_is_watched_in_silence() -> None:
    """An oscillator that something enables may stop: a one-shot that finds its pulses missing is meant."""
    gated = FAST.replace("rtU1 vdd HA10", "rtU1 run HA10")
    netlist = (
        "*@ signal run period 10s\nR9 run 0 10k\n" + gated + block("U2", "HA40G", "bark", "tick", ohm="200k")
    )
    assert found(netlist, "chain-one-shot-never-returns") == []


def test_a_latch_of_a_block_on_its_own_supply_is_a_note() -> None:
    """A block that holds its own enable is a loop: told in a note, and no error."""
    netlist = block("U1", "HA10", "on", "en", "63.4k 162k") + "D1 on en DX\nR1 en 0 47k\nC1 en 0 1n\n"
    assert ("chain-loop", "fail", "note") in found(netlist)
    assert {level for _, _, level in found(netlist)} <= {"note", "warning"}


def test_missing_thresholds_are_a_note() -> None:
    """An RC timer whose control pin is loaded has thresholds that are not known: unproven, at note level."""
    timer = "XT vdd out dis thr ctl trg vdd 0 QC12\nR7 vdd thr 47k\nR8 thr dis 0\nC7 thr 0 1u\nR9 ctl 0 10k\n"
    levels = found(SLOW + timer + "R1 tick trg 1k\n", "chain-level-mismatch")
    assert levels == [("chain-level-mismatch", "unproven", "note")]


def test_a_level_short_of_a_higher_supply_is_an_error() -> None:
    """3.3 V less a diode never reaches the 3.25 V that an input at 5 V wants."""
    at_5 = block("U2", "HA40", "pulse", "trg").replace("vdd", "v5")
    assert found(SLOW + at_5 + "D1 tick trg DX\nR1 trg 0 100k\n", "chain-level") == [
        ("chain-level-mismatch", "fail", "error")
    ]


def test_an_open_drain_shifts_the_level() -> None:
    """A transistor with a pull-up to the receiver's own supply mends it."""
    at_5 = block("U2", "HA40F", "pulse", "trg").replace("vdd", "v5")
    assert found(SLOW + at_5 + "R1 tick b 10k\nQ1 trg b 0 NS\nR2 v5 trg 10k\n") == []


@pytest.mark.parametrize(("ohm", "level"), [("470", "error"), ("10k", "warning")])
def test_an_input_over_its_limit_behind_a_transistor(ohm: str, level: str) -> None:
    """Pulled up to 5 V on a pin that stands 3.6 V: an error, behind a large resistor a warning."""
    way = f"R1 tick b 10k\nQ1 trg b 0 NS\nR2 v5 trg {ohm}\n"
    findings = found(SLOW + block("U2", "HA40F", "pulse", "trg") + way, "chain-over")
    assert findings == [("chain-over-input-limit", "fail", level)]


def test_an_input_over_its_limit_is_told_once() -> None:
    """5 V straight on a pin that stands 3.6 V is the block's own rule to tell."""
    netlist = SLOW.replace("vdd", "v5") + block("U2", "HA40", "pulse", "tick")
    assert found(netlist, "chain-over") == []
    assert found(netlist, "input-over-limit") == [("input-over-limit", "fail", "error")]
