"""What a part file says of a part's ratings and pins, as a table: each key changes what a board comes to."""

from pathlib import Path

import pytest

from tests.contract.parts import BOARD, EXPLAIN, LIST, REVIEW, SHOW, part
from tests.contract.table import Case, check

WARN = f"{REVIEW} --gate warning"
TALLY = f"{REVIEW} --tally"
CFG, RT, OUT = "R2  CFG 0   13.7k", "R3  RT  0   100k", "R4  OUT 0   10k"
FROM = ("RT VCC ZZ1", "RT RUN ZZ1")
"""Takes the enable pin off the supply, to a net of its own."""

OUTPUT = 'output = { kind = "push-pull", source = "12mA", sink = "12mA", resistance = "25ohm", capacitance = "1nF" }'
ENABLE = 'input.enable = { low = "0.3 supply", high = "0.7 supply", leakage = "10nA", active = "high" }'
ERROR = 'error = "1.5%"'


def on(*changes: tuple[str, str], base: str = BOARD) -> str:
    """The board with changes."""
    for old, new in changes:
        assert old in base, old
        base = base.replace(old, new)
    return base


def enabled(given: str, *changes: tuple[str, str]) -> dict[str, str | bytes]:
    """The board with changes and its enable pin on a net RUN; the part file gives that of the pin."""
    return part((ENABLE, f"input.enable = {{ {given} }}" if given else ""), board=on(FROM, *changes))


def driven(given: str, *changes: tuple[str, str]) -> dict[str, str | bytes]:
    """The board with changes; the part file gives that of the output."""
    return part((OUTPUT, f"output = {given}"), board=on(*changes))


def error(rows: str, *changes: tuple[str, str]) -> dict[str, str | bytes]:
    """The board with changes; the part file gives its timing error in rows."""
    return part((ERROR, f"error = [{rows}]"), board=on(*changes))


LEVELS = 'low = "0.3 supply", high = "0.7 supply", active = "high"'
SUPPLIED = ("3.2V .. 3.4V", "2.4V .. 2.6V"), ("VCC 0 3.3", "VCC 0 2.5")
BY_SUPPLY = '[{ kind = "push-pull", source = "4mA", sink = "4mA", resistance = "60ohm", at_supply = "2V .. 3V" }, { kind = "push-pull", source = "12mA", sink = "12mA", resistance = "25ohm", at_supply = "3V .. 5.5V" }]'
EIGHT = (OUT, f"{OUT}\n*@ load OUT 8mA")
UP = (OUT, "R4  VCC OUT 10k")

CASES = (
    Case("a rated supply is told where it is left", REVIEW, 1, ("[supply-out-of-range]",), (), part(('"2.0V .. 5.5V"', '"2.0V .. 3.0V"'))),
    Case("an absolute maximum is told where it is passed", REVIEW, 1, ("[supply-over-limit]",), (), part(('limit = "6.0V"', 'limit = "3.3V"'))),
    Case("a rated ambient is told where it is left", REVIEW, 1, ("[ambient-out-of-range]",), (), part(('"-40degC .. 125degC"', '"20degC .. 30degC"'))),
    Case("the rate pin holds its voltage, and the current out of it is the voltage by the resistor", EXPLAIN, 0, ("rate.current = 5.807 uA .. 6.197 uA (nominal 6 uA)",), (), part()),
    Case("a rated current out of the rate pin is told where it is left", REVIEW, 1, ("[rate-current-out-of-range]",), (), part(('current = "1.5uA', 'current = "7uA'))),
    Case("a rated timing resistor is told where it is left", REVIEW, 1, ("[rate-resistance-out-of-range]",), (), part(('"20kohm .. 400kohm"', '"20kohm .. 82kohm"'))),
    Case("so is capacitance on the rate pin", REVIEW, 1, ("[rate-capacitance]",), (), part(('law = "ratio"', 'law = "ratio", capacitance = "20pF"'), board=on((RT, f"{RT}\nC3 RT 0 47p")))),
    Case("what the part stands of it passes", REVIEW, 0, ("gate passed",), (), part(('law = "ratio"', 'law = "ratio", capacitance = "50pF"'), board=on((RT, f"{RT}\nC3 RT 0 47p")))),
    Case("the period is that at its current: twice the current, half the period", LIST, 0, ("16 kHz",), (), part(('at_current = "30uA"', 'at_current = "15uA"'))),
    Case("a threshold's error is a share of full scale, and is taken off the margin", REVIEW, 1, ("[strap-near-threshold]",), (), part(('threshold_error = "0.6%"', 'threshold_error = "4%"'))),
    Case("leakage of the strap pin moves the ratio", REVIEW, 1, ("[strap-near-threshold]",), (), part(('leakage = "15nA", read', 'leakage = "20uA", read'))),
    Case("a strap divider is as stiff as the part wants it", WARN, 1, ("[strap-source-resistance]",), (), part(('read = "once"', 'read = "once", source_resistance = "5kohm"'))),
    Case("a strap has settled when it is read", REVIEW, 1, ("[strap-settles-late]",), (), part(('read = "once"', 'read = "once", read_after = "0.3ms"'), board=on((CFG, f"{CFG}\nC3 CFG 0 100n")))),
    Case("how often a strap is read is once or continuous", SHOW, 0, ("strap read continuous",), (), part(('"once"', '"continuous"'))),
    Case("and nothing else", SHOW, 2, (), ("p.toml:11:", '"once", "continuous"'), part(('"once"', '"twice"'))),
    Case("code 0 is the lowest, and a rail is no threshold", EXPLAIN, 0, ("strap.code = 0\n", "strap.margin = 0.904"), (), part(("code = 6", "code = 0"), board=on((CFG, "R2 CFG 0 0"), ("R1  VCC CFG 20k\n", "")))),
    Case("the highest code reaches up to the supply", EXPLAIN, 0, ("strap.code = 15\n", "strap.margin = 0.904"), (), part(("code = 6", "code = 15"), board=on((CFG, "R1 CFG VCC 0"), ("R1  VCC CFG 20k\n", "")))),
    Case("thresholds are fractions: others are refused", SHOW, 2, (), ("p.toml:11:", "fractions between 0 and 1"), part(("levels = 16", "thresholds = [0.3, 0.2]"))),
    Case("an inverted code turns the output round", EXPLAIN, 1, ("strap.polarity = inverted", "[strap-outside-intent]"), (), part(("prescale = 100 }", "prescale = 100, inverted = true }"), board=on(("V1  VCC", "*@ expect XU1 polarity normal\nV1  VCC")))),
    Case("a strap read against a voltage of its own has its code by that", LIST, 0, ("8 kHz",), (), part(("levels = 16", 'levels = 16, reference = "1.2V +/- 2%"'), board=on((CFG, "R2 CFG 0 3.47k")))),
    Case("a temperature coefficient of known sign counts from 25 degC, with its sign", f"{EXPLAIN} --gate warning", 1, ("timing.frequency = 7.058 kHz .. 8.205 kHz",), (), part(('"+/- 50ppm"', '"2000ppm"'), board=on(("0degC .. 50degC", "75degC")))),
    Case("a random one goes both ways", f"{EXPLAIN} --gate warning", 1, ("timing.frequency = 7.058 kHz .. 9.162 kHz",), (), part(('"+/- 50ppm"', '"+/- 2000ppm"'), board=on(("0degC .. 50degC", "75degC")))),
    Case("an error may hold for a range of supplies", WARN, 0, ("gate passed",), (), error('{ supply = "3.0V .. 3.6V", error = "1.5%" }, { error = "9%" }')),
    Case("beyond it the next row counts", WARN, 1, ("[timing-outside-intent]",), (), error('{ supply = "4.5V .. 5.5V", error = "1.5%" }, { error = "9%" }')),
    Case("or of temperatures", WARN, 0, ("gate passed",), (), error('{ ambient = "0degC .. 70degC", error = "1.5%" }, { error = "9%" }')),
    Case("which hold over all of the board's", WARN, 1, ("[timing-outside-intent]",), (), error('{ ambient = "0degC .. 40degC", error = "1.5%" }, { error = "9%" }')),
    Case("or of prescales", WARN, 1, ("[timing-outside-intent]",), (), error('{ prescale = "1 .. 10", error = "1.5%" }, { error = "9%" }')),
    Case("or of codes", WARN, 0, ("gate passed",), (), error('{ code = "6", error = "1.5%" }, { error = "9%" }')),
    Case("an input between its levels is told", REVIEW, 1, ("[input-between-levels]",), (), enabled(LEVELS, (RT, f"{RT}\nR5 VCC RUN 10k\nR6 RUN 0 10k"))),
    Case("levels may be voltages", REVIEW, 0, ("gate passed",), (), enabled('low = "0.4V", high = "1.5V", active = "high"', (RT, f"{RT}\nR5 VCC RUN 10k\nR6 RUN 0 10k"))),
    Case("an input's leakage through its resistor moves its level", WARN, 1, ("[input-between-levels]",), (), enabled(f'{LEVELS}, leakage = "2.5uA"', (RT, f"{RT}\nR5 VCC RUN 1MEG"))),
    Case("an input behind a capacitor has hysteresis", WARN, 0, ("gate passed",), (), enabled(f'{LEVELS}, hysteresis = "0.1 supply"', (RT, f"{RT}\nR5 VCC RUN 100k\nC5 RUN 0 100n"))),
    Case("or is told to have none", WARN, 1, ("[slow-edge-into-input]", "has no hysteresis"), (), enabled(f'{LEVELS}, hysteresis = "0V"', (RT, f"{RT}\nR5 VCC RUN 100k\nC5 RUN 0 100n"))),
    Case("or is not known to have any", TALLY, 0, ("unproven XU1 slow-edge-into-input",), (), enabled(LEVELS, (RT, f"{RT}\nR5 VCC RUN 100k\nC5 RUN 0 100n"))),
    Case("an input with a pull of its own may be left open", REVIEW, 0, ("gate passed",), (), enabled(f'{LEVELS}, pull = "up 100kohm"')),
    Case("one that is pulled the wrong way stops the block", REVIEW, 1, ("[block-never-runs]",), (), enabled(f'{LEVELS}, pull = "down 100kohm"')),
    Case("one without a pull floats", REVIEW, 1, ("[input-floating]",), (), enabled(LEVELS)),
    Case("what an input wants is unknown where the part file says nothing of it", REVIEW, 0, ("note: XU1: not proven that the enable and reset pins let the block run",), (), enabled("", (RT, f"{RT}\nR5 VCC RUN 10k"))),
    Case("a role that is no input's is refused", SHOW, 2, (), ("p.toml:14:", "an input role"), part(("input.enable", "input.output"))),
    Case("an output sources no more than its rating", REVIEW, 1, ("[output-source-overload]",), (), driven('{ kind = "push-pull", source = "5mA", sink = "12mA", resistance = "25ohm" }', EIGHT)),
    Case("nor does it sink more", REVIEW, 1, ("[output-sink-overload]",), (), driven('{ kind = "push-pull", source = "12mA", sink = "5mA", resistance = "25ohm" }', (OUT, "R4 VCC OUT 430"))),
    Case("nor drive more capacitance", WARN, 1, ("[output-capacitance]",), (), part(board=on((OUT, f"{OUT}\nC4 OUT 0 2.2n")))),
    Case("of ratings by supply that of the board's supply counts", REVIEW, 0, ("gate passed",), (), driven(BY_SUPPLY, EIGHT)),
    Case("at another supply the other one", REVIEW, 1, ("[output-source-overload]",), (), driven(BY_SUPPLY, EIGHT, *SUPPLIED)),
    Case("where none is for the board's supply its rating is unknown", WARN, 1, ("not proven that the output can source what its load takes",), (), driven('{ kind = "push-pull", source = "12mA", sink = "12mA", resistance = "25ohm", at_supply = "4.5V .. 5.5V" }', EIGHT)),
    Case("an open-drain output is high by its pull-up alone", EXPLAIN, 0, ("gate passed",), (), driven('{ kind = "open-drain", sink = "12mA", resistance = "25ohm" }', UP)),
    Case("an open-source output is low by its pull-down alone", EXPLAIN, 0, ("gate passed",), (), driven('{ kind = "open-source", source = "12mA", resistance = "25ohm" }')),
    Case("a three-state output may be off too", EXPLAIN, 0, ("gate passed",), (), driven('{ kind = "three-state", source = "12mA", sink = "12mA", resistance = "25ohm", disabled = "open" }')),
    Case("an output's drops stand for its resistance", EXPLAIN, 0, ("gate passed",), (), driven('{ kind = "push-pull", source = "12mA", sink = "12mA", high_drop = "0.4V at 10mA", low_drop = "0.3V at 10mA" }')),
    Case("a drop without its current is refused", SHOW, 2, (), ("p.toml:13:", "0.4V at 10mA"), driven('{ kind = "push-pull", high_drop = "0.4V" }')),
    Case("the output of a block that is not enabled is low", EXPLAIN, 1, ("output.rest = low",), (), part(('"1nF" }', '"1nF", disabled = "low" }'), board=on(FROM, (RT, f"{RT}\nR5 RUN 0 10k")))),
    Case("or high", EXPLAIN, 1, ("output.rest = high",), (), part(('"1nF" }', '"1nF", disabled = "high" }'), board=on(FROM, (RT, f"{RT}\nR5 RUN 0 10k")))),
    Case("or open", EXPLAIN, 1, ("output.rest = open",), (), part(('"1nF" }', '"1nF", disabled = "open" }'), board=on(FROM, (RT, f"{RT}\nR5 RUN 0 10k")))),
    Case("or unknown, where the part file does not say", EXPLAIN, 1, ("output.rest = unknown",), (), part(board=on(FROM, (RT, f"{RT}\nR5 RUN 0 10k")))),
    Case("a header's names are those of the part's alias", REVIEW, 1, ("pin",), (), part(('rate = ["RT"]', 'rate = ["TIME"]'), board=on(("V1  VCC", ".subckt ZZ1 EN TIME GND OUT CFG VDD\n.ends\nV1  VCC"), ("VCC CFG OUT 0 RT VCC ZZ1", "VCC CFG OUT 0 RT VCC ZZ1")))),
    Case("prefixes have the case that SI gives them", SHOW, 2, (), ("p.toml:9:", "20Kohm"), part(('"20kohm .. 400kohm"', '"20Kohm .. 400Kohm"'))),
    Case("a span has its lower end first", SHOW, 2, (), ("p.toml:7:",), part(('"2.0V .. 5.5V"', '"5.5V .. 2.0V"'))),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.sentence for case in CASES])
def test_what_a_part_file_says_of_pins_keeps_its_contract(case: Case, tmp_path: Path) -> None:
    """Each row of the table holds."""
    check(case, tmp_path)
