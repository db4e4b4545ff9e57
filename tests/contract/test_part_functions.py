"""What a part file says of modulators, one-shots, delays, RC timers and helpers, as a table."""

from pathlib import Path

import pytest

from tests.contract.table import Case, check
from tests.contract.test_statements import SHOT, sample

REVIEW, SHOW, LIST = (
    "review a.cir --parts p.toml",
    "parts ZZ8 --parts p.toml",
    "inventory a.cir --parts p.toml",
)
WARN, EXPLAIN = f"{REVIEW} --gate warning", f"{REVIEW} --explain XU1"


def own(board: str, old: str, part: str, *changes: tuple[str, str]) -> dict[str, str | bytes]:
    """A board with a part ZZ8 in place of another, which it is like but for some lines; and changes."""
    assert old in board
    board = board.replace(old, "ZZ8")
    for before, after in changes:
        assert before in board, before
        board = board.replace(before, after)
    return {"a.cir": board, "p.toml": f'[part.ZZ8]\nlike = "{old}"\n{part}\n'}


def shot(part: str, *changes: tuple[str, str]) -> dict[str, str | bytes]:
    """The one-shot of 0.6 s with a part of its own."""
    return own(SHOT, "HA40", part, *changes)


DIM = sample("dimmer").replace("XU1", "XREG").replace("XU2", "XU1")
DOOR, BILGE = sample("door").replace("XDLY", "XU1"), sample("bilge")


def dim(part: str, *changes: tuple[str, str]) -> dict[str, str | bytes]:
    """The dimmer at three tenths with a part of its own."""
    return own(DIM, "HA30C", part, *changes)


def door(part: str, *changes: tuple[str, str]) -> dict[str, str | bytes]:
    """The debounce of 25 ms with a part of its own."""
    return own(DOOR, "HA50B", part, *changes)


def bilge(part: str, *changes: tuple[str, str]) -> dict[str, str | bytes]:
    """The RC timer of 5 s with a part of its own."""
    return own(BILGE, "QC12", part, *changes)


FAST = ("period 2s .. 9s", "period 0.2s .. 0.2s")
EDGES = ("delay 25ms", "delay-falling 25ms")
FED = """A regulator of the house's own, and what it feeds
*@ supply vin 8V .. 9V
*@ ambient 0degC .. 50degC
*@ expect XU1 frequency 8kHz +/- 6%
V1 vin 0 9
XREG vin 0 vcc ZZ8
C1 vcc 0 100n
R1 vcc cfg 20k
R2 cfg 0 13.7k
R3 rt 0 100k
XU1 vcc cfg out 0 rt vcc HA10
R4 out 0 10k
.end
"""
GATED = """A gate of the house's own between two blocks
*@ supply vdd 3.2V .. 3.4V
V1 vdd 0 3.3
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
XU1 vdd cfg tick 0 rt 0 HA20
XG1 tick tock vdd 0 ZZ8
R6 rt2 0 100k
XU2 vdd cfg pulse 0 rt2 tock HA40
.end
"""
SWITCHED = GATED.replace("XG1 tick tock vdd 0 ZZ8", "XG1 tick tock 0 ZZ8\nR7 vdd tock 10k")
MODULATOR = """[part.ZZ8]
like = "HA10"
function = "pulse-modulator"
pins = ["supply", "strap", "output", "ground", "rate", "modulate"]
modulate = { full_scale = "0V .. 1.25V", duty = "0% .. 100%", error = "2points" }
input.modulate = { leakage = "20nA" }
"""
TIMER = """[part.ZZ8]
title = "RC timer with one leakage"
source = "invented for this test"
function = "rc-timer"
pins = ["supply", "output", "discharge", "threshold", "control", "trigger", "reset", "ground"]
supply = { rated = "2.2V .. 12V" }
ladder = { lower = "1/3", upper = "2/3", error = "1%", resistance = "68kohm +/- 30%" }
discharge = { resistance = "40ohm", current = "30mA" }
timing = { at_supply = "9V", error = "1.5%", tempco = "+/- 100ppm", supply_error = "0.1%/V" }
output = { kind = "push-pull", source = "12mA", sink = "12mA", resistance = "60ohm" }
input.reset = { low = "0.4V", high = "1.1V", active = "low" }
inputs.leakage = "300nA"
reset = { active = "low" }
trigger = { edge = "falling", retriggerable = false, recovery = "0s", level = true }
"""
MAKER = 'title = "of the house"\nsource = "invented for this test"\n'


def helper(board: str, part: str) -> dict[str, str | bytes]:
    """A board with a helper of the house's own."""
    return {"a.cir": board, "p.toml": f"[part.ZZ8]\n{MAKER}{part}\n"}


REGULATOR = 'function = "regulator"\npins = ["supply", "ground", "output"]\nregulator = { output = "%s", dropout = "0.3V", current = "100mA" }'
GATE = 'function = "gate"\npins = ["input", "output", "supply", "ground"]\ngate = { logic = "%s", inverts = %s, delay = "5ns .. 9ns" }\ninput.input = { low = "0.3 supply", high = "0.7 supply" }\noutput = { kind = "push-pull", source = "8mA", sink = "8mA", resistance = "40ohm" }'
SWITCH = 'function = "transistor-switch"\npins = ["input", "output", "ground"]\nswitch = { side = "low", inverts = true, resistance = "5ohm", current = "50mA" }\ninput.input = { low = "0.4V", high = "1.2V" }'

CASES = (
    Case("a duty by full scale lies straight between its ends", EXPLAIN, 1, ("timing.duty = 37.08 points .. 44.32 points (nominal 40.68 points)",), (), {"a.cir": DIM.replace("HA30C", "ZZ8"), "p.toml": MODULATOR}),
    Case("a duty by points lies straight between them", EXPLAIN, 0, ("gate passed",), (), dim('modulate = { points = [["0.15V", "0%"], ["1.35V", "100%"]] }')),
    Case("an error of the duty is in points", WARN, 1, ("[timing-outside-intent]",), (), dim('modulate = { error = "9points" }')),
    Case("a level against the supply moves with it, so that the duty does not", REVIEW, 0, ("gate passed",), (), dim('modulate = { points = [["0%", "0%"], ["51.4%", "100%"]], reference = "supply" }')),
    Case("so does one against the rate pin's voltage", REVIEW, 0, ("gate passed",), (), dim('modulate = { points = [["0%", "0%"], ["282%", "100%"]], reference = "rate" }')),
    Case("a duty beyond its ends is clamped there", EXPLAIN, 1, ("timing.duty = 92 points law",), (), dim("", ("R5 N-U2-MOD 0 10k", "R5 N-U2-MOD 0 100k"))),
    Case("what a level is read against is one of three", SHOW, 2, (), ("p.toml:3:", '"absolute", "rate", "supply"'), dim('modulate = { reference = "ground" }')),
    Case("a trigger by the wrong edge comes at the end of a pulse", WARN, 1, ("[trigger-on-wrong-edge]",), (), shot('trigger = { edge = "falling" }')),
    Case("a trigger by both edges comes with each", WARN, 1, ("[one-shot-misses-triggers]",), (), shot('trigger = { edge = "both" }')),
    Case("a one-shot that starts again at each trigger never comes back where they are close", EXPLAIN, 0, ("output.charging = unknown: the output of XU1 does not return",), (), shot("trigger = { retriggerable = true }", FAST)),
    Case("one that does not misses triggers", WARN, 1, ("[one-shot-misses-triggers]",), (), shot("trigger = { retriggerable = false }", FAST)),
    Case("a recovery counts with the pulse", WARN, 1, ("[one-shot-misses-triggers]",), (), shot('trigger = { recovery = "1.5s" }')),
    Case("whether a trigger acts by its level is told", SHOW, 0, ("trigger, level yes",), (), shot("trigger = { level = true }")),
    Case("a trigger pulse shorter than the part sees is told", REVIEW, 1, ("[input-pulse-too-short]",), (), shot('input.trigger = { width = "80ms" }')),
    Case("jitter is part of a single time", WARN, 1, ("[timing-outside-intent]",), (), shot('timing = { jitter = "60ms" }')),
    Case("an edge that is not delayed is not what was wanted", REVIEW, 1, ("[delay-wrong-edges]",), (), door('signal = { edges = "rising" }', EDGES)),
    Case("one that is delayed is", REVIEW, 0, ("gate passed",), (), door('signal = { edges = "falling" }', EDGES)),
    Case("whether an edge starts the delay again is told", SHOW, 0, ("signal, restart no",), (), door("signal = { restart = false }")),
    Case("a bounce longer than the delay comes through", REVIEW, 1, ("[delay-shorter-than-bounce]",), (), door("", ("reed bounce 6ms", "din bounce 30ms"))),
    Case("a reset has the level that the part file gives it", REVIEW, 1, ("[block-never-runs]",), (), own(sample("lamp").replace("xu1", "XU1"), "HA20", 'reset = { active = "low" }\ninput.reset = { active = "low" }')),
    Case("the time of an RC timer is that between the taps of its ladder", EXPLAIN, 1, ("timing.pulse_width = ", "[timing-outside-intent]"), (), bilge('ladder = { upper = "1/2" }')),
    Case("a ladder's error is a share of each tap", WARN, 1, ("[timing-outside-intent]",), (), bilge('ladder = { error = "9%" }')),
    Case("a ladder's lower tap lies under its upper", SHOW, 2, (), ("p.toml:3:", "a fraction below upper"), bilge('ladder = { lower = "3/4" }')),
    Case("a ladder's resistance is moved by a load on the control pin", REVIEW, 1, ("[timing-outside-intent]",), (), bilge('ladder = { resistance = "68kohm" }', ("C4  CTL 0 10n", "C4  CTL 0 10n\nR9 CTL 0 47k"))),
    Case("a discharge switch carries no more than its current", WARN, 1, ("[rc-discharge-surge]",), (), bilge('discharge = { current = "1mA" }', ("T  0 4.7u", "T  0 5.6u"))),
    Case("a leakage for all inputs holds for each that has none of its own", WARN, 1, ("[rc-leakage]",), (), {"a.cir": BILGE.replace("QC12", "ZZ8"), "p.toml": TIMER}),
    Case("a regulator of the house feeds what hangs on it", REVIEW, 0, ("gate passed",), (), helper(FED, REGULATOR % "3.3V +/- 2%")),
    Case("and what it gives is judged", REVIEW, 1, ("[supply-over-limit]",), (), helper(FED, REGULATOR % "6.5V +/- 2%")),
    Case("a reference is a helper too", "parts ZZ8 --parts p.toml", 0, ("reference",), (), helper(FED, 'function = "reference"\npins = ["output", "ground"]\nregulator = { output = "1.2V +/- 1%", current = "5mA" }')),
    Case("a gate hands on what a block does, inverted", "inventory a.cir --parts p.toml --chains", 0, ("through XG1, inverted",), (), helper(GATED, GATE % ("inverter", "true"))),
    Case("or as it is", "inventory a.cir --parts p.toml --chains", 0, ("through XG1",), (), helper(GATED, GATE % ("buffer", "false")), ("inverted",)),
    Case("a transistor switch hands it on inverted", "inventory a.cir --parts p.toml --chains", 0, ("through XG1, inverted",), (), helper(SWITCHED, SWITCH)),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.sentence for case in CASES])
def test_what_a_part_file_says_of_functions_keeps_its_contract(case: Case, tmp_path: Path) -> None:
    """Each row of the table holds."""
    check(case, tmp_path)
