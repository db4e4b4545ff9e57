"""Every refusal of a part file, its whole text and place pinned."""

import pytest

from drc.blocks.parts import parse_parts
from drc.trouble import InputError, Trouble

PART = '[part.P]\nfunction = "oscillator"\npins = ["supply", "ground", "output", "rate", "strap"]\n'
"""A part that is right so far: `...` in a row stands for it, and the row adds what is wrong."""

INPUT_ROLES = (
    "control, enable, reset, modulate, trigger, signal, threshold, select, select2, select3, feedback, input"
)
ROLES = f"supply, ground, output, rate, strap, discharge, {INPUT_ROLES}, nc"
KEYS = (
    "title, source, function, pins, alias, supply, supplies, ambient, rate, timing, strap, codes, output, "
    "input, inputs, modulate, trigger, signal, reset, ladder, discharge, regulator, gate, switch, package, "
    "unit, consumption, startup"
)

# A row: the part file, then, indented, each refusal as line:column: message.
REFUSALS = """
part = 3
    1:1: key part: found 3, expected tables such as [part.NAME]

[prat.P]
pins=[]
    1:2: found the table "prat", expected only tables such as [part.NAME]; did you mean part?

part.P = 3
    1:1: part P: found 3, expected a table

[part.P]
    1:2: part P, key function: found nothing, expected this key: it has no default
    1:2: part P, key pins: found nothing, expected this key: it has no default

[part." P"]
    1:2: part  P: found " P", expected a part name of 1 to 100 characters without blanks around it

[part.P]
function = "oscilator"
pins = ["suply"]
    2:1: part P, key function: found "oscilator", expected one of "oscillator", "slow-oscillator", "pulse-modulator", "one-shot", "edge-delay", "rc-timer", "regulator", "reference", "gate", "transistor-switch"; did you mean oscillator?
    3:1: part P, key pins.1: found "suply", expected a role, one of <ROLES>; did you mean supply?

...
[part.p]
function="oscillator"
pins=["supply"]
    4:2: part p: found a part already defined at parts.toml:1:2, expected a new name, or replaces = "p"

...
[part.p]
like="P"
replaces="Q"
    6:1: part p, key replaces: found "Q", expected the part's own name, "p"

[part.P]
replaces="P"
    2:1: part P, key replaces: found "P", expected a part defined before this one, in this file or an earlier one

[part.A]
like = "B"
[part.B]
like = "A"
    2:1: part A, key like: found "B", expected no circle: B is like A is like B
    4:1: part B, key like: found "A", expected no circle: A is like B is like A

[part.A]
like = "A"
    2:1: part A, key like: found "A", expected no circle: A is like A

...
[part.PA]
like = "Pq"
    5:1: part PA, key like: found "Pq", expected a part of these files

...
[part.PA]
like = 3
    5:1: part PA, key like: found 3, expected the name of a part, in quotes

[part."AB*1"]
function="oscillator"
pins=["supply"]
[part."ab*"]
like="AB*1"
    4:2: part ab*: found a pattern that ties with AB*1 (parts.toml:1:2), expected patterns that no name matches both of, or a longer text before the first *

...
rats = { voltage = "1V" }
    4:1: part P, key rats: found an unknown key, expected one of <KEYS>; did you mean rate?

...
rate = { voltag = "1V" }
    4:10: part P, key rate.voltag: found an unknown key, expected one of voltage, current, resistance, capacitance, law; did you mean voltage?

...
rate = { voltage = "1A" }
    4:10: part P, key rate.voltage: found "1A", expected a voltage or a span of one, such as "2.0V .. 5.5V"

...
rate = { voltage = 1 }
    4:10: part P, key rate.voltage: found 1, expected a voltage or a span of one, such as "2.0V .. 5.5V": a string with its unit

...
rate = { voltage = "1v" }
    4:10: part P, key rate.voltage: found "1v", expected a voltage or a span of one, such as "2.0V .. 5.5V" (column 2: found "v", expected V (letter case counts))

...
rate = { law = "rato" }
    4:10: part P, key rate.law: found "rato", expected one of "ratio", "current"; did you mean ratio?

...
rate = 3
    4:1: part P, key rate: found 3, expected a table with the keys voltage, current, resistance, capacitance, law

...
rate = { capacitance = "-3pF" }
    4:10: part P, key rate.capacitance: found "-3pF", expected a capacitance that is not below zero

...
supply = { rated = "5V .. 2V" }
    4:12: part P, key supply.rated: found "5V .. 2V", expected a voltage or a span of one, such as "2.0V .. 5.5V" (column 7: found "2V", expected a high end that is not below the low end)

...
supply = { limit = "2V .. 5V" }
    4:12: part P, key supply.limit: found "2V .. 5V", expected a voltage, such as "3.3V" (column 4: found "..", expected nothing more)

...
ambient = "-40C .. 85C"
    4:1: part P, key ambient: found "-40C .. 85C", expected a temperature or a span of one, such as "-40degC .. 125degC"

...
timing = { error = "1.5" , tempco = "50ppm/V", supply_error = "0.1%", offset = "-1us .. 1us", at_suply = "3V" }
    4:12: part P, key timing.error: found "1.5", expected a ratio in % or ppm, such as "1.5%"
    4:28: part P, key timing.tempco: found "50ppm/V", expected a ratio per kelvin, such as "50ppm" or "50ppm/K"
    4:48: part P, key timing.supply_error: found "0.1%", expected a ratio per volt, such as "0.1%/V"
    4:71: part P, key timing.offset: found "-1us .. 1us", expected a time that is not below zero
    4:95: part P, key timing.at_suply: found an unknown key, expected one of period, at_current, at_supply, error, tempco, supply_error, offset, jitter; did you mean at_supply?

...
timing = { error = [ { eror = "1%" }, { error = "1%", prescale = "1V .. 2V"} ] }
    4:12: part P, key timing.error.1.eror: found an unknown key, expected one of error, current, supply, ambient, prescale, code; did you mean error?
    4:12: part P, key timing.error.1.error: found nothing, expected this key: it has no default
    4:12: part P, key timing.error.2.prescale: found "1V .. 2V", expected a ratio or a span of one, such as "10% .. 90%"

...
timing = { error = [] }
    4:12: part P, key timing.error: found an empty list, expected a list of rows

...
timing = { period = "1us", rising = { period = "1V" } }
    4:39: part P, key timing.rising.period: found "1V", expected a time, such as "0.8ms"

...
strap = { }
    4:1: part P, key strap: found neither levels nor thresholds, expected one of them, such as levels = 16

...
strap = { levels = 1 }
    4:11: part P, key strap.levels: found 1, expected a whole number from 2 to 4096

...
strap = { levels = 2.5 }
    4:11: part P, key strap.levels: found 2.5, expected a whole number from 2 to 4096

...
strap = { thresholds = [0.2, 0.1] }
    4:11: part P, key strap.thresholds: found a list of 2, expected fractions between 0 and 1 that rise from each to the next

...
strap = { levels = 4, thresholds = [0.2, 0.4] }
    4:23: part P, key strap.thresholds: found a list of 2, expected 3 fractions, one fewer than levels = 4

...
strap = { thresholds = [2] }
    4:11: part P, key strap.thresholds.1: found 2, expected a fraction from 0 to 1, such as 0.25, "1/3" or "40%"

...
strap = { levels = 8, reference = "own" }
    4:23: part P, key strap.reference: found "own", expected a voltage or a span of one, such as "2.0V .. 5.5V" (column 1: found "own", expected a number, such as 4.7kohm or 10kHz)

...
codes = [ { code = 0 }, { code = 1, prescale = 0 }, { code = 2, prescale = 1, when = { select = "hi" } } ]
    4:1: part P, key codes.1.prescale: found nothing, expected this key: it has no default
    4:1: part P, key codes.2.prescale: found 0, expected a whole number from 1 to 1000000000000
    4:1: part P, key codes.3.when.select: found "hi", expected one of "low", "high"

...
codes = [ { code = 0, prescale = 1 }, { code = 0, prescale = 2 } ]
    4:1: part P, key codes.2: found code 0 again, expected a code that differs from row 1, or a when that does

...
strap = { levels = 2 }
codes = [ { code = 2, prescale = 1 } ]
    5:1: part P, key codes.1: found code 2, expected a code below 2, the strap's number of levels

...
codes = [ { code = 0, prescale = 1, when = { select = "high" } } ]
    4:1: part P, key codes: found when select, expected a role that one of the pins has

...
codes = []
    4:1: part P, key codes: found an empty list, expected a list of rows, such as { code = 0, prescale = 1 }

...
codes = 5
    4:1: part P, key codes: found 5, expected a list of rows, such as { code = 0, prescale = 1 }

...
codes = [ { code = 0, prescale = 1, inverted = "yes" } ]
    4:1: part P, key codes.1.inverted: found "yes", expected true or false

...
output = { source = "3mA" }
    4:1: part P, key output.kind: found nothing, expected this key: it has no default

...
output = [ { kind = "push" } ]
    4:1: part P, key output.1.kind: found "push", expected one of "push-pull", "open-drain", "open-source", "three-state"

...
output = { kind = "push-pull", high_drop = "0.4V" }
    4:32: part P, key output.high_drop: found "0.4V", expected a voltage at a current, such as "0.4V at 10mA"

...
input.enabel = { low = "0.3 supply" }
    4:1: part P, key input.enabel: found "enabel", expected an input role, one of <INPUT_ROLES>; did you mean enable?

...
input.enable = { low = "0.3 suply", limit = "supply + 3A", pull = "up", active = "hi" }
    4:18: part P, key input.enable.low: found "0.3 suply", expected a voltage, or one by the supply, such as "0.8V", "0.3 supply" or "supply + 0.3V"
    4:37: part P, key input.enable.limit: found "supply + 3A", expected a voltage, or one by the supply, such as "0.8V", "0.3 supply" or "supply + 0.3V"
    4:60: part P, key input.enable.pull: found "up", expected a direction and a resistance, such as "up 100kohm"
    4:73: part P, key input.enable.active: found "hi", expected one of "high", "low"

...
modulate = { full_scale = "0V .. 1V" }
    4:1: part P, key modulate: found neither points nor both full_scale and duty, expected full_scale = "0V .. 0.8V", duty = "5% .. 95%", or points

...
modulate = { points = [["1V", "5%"], ["0V", "9%"]] }
    4:14: part P, key modulate.points: found a list of 2, expected levels that rise from each point to the next

...
modulate = { points = [["1V", "5%"]] }
    4:14: part P, key modulate.points: found a list of 1, expected at least two points, such as ["0.08V", "5%"]

...
modulate = { points = [["1V"], ["2V", "5%"]] }
    4:14: part P, key modulate.points.1: found a list of 1, expected a level and a duty, such as ["0.08V", "5%"]

...
modulate = { full_scale = "0V .. 1V", duty = "0% .. 120%", error = "3%" }
    4:39: part P, key modulate.duty: found "0% .. 120%", expected a duty from 0% to 100%
    4:60: part P, key modulate.error: found "3%", expected points of duty, such as "3.5points"

...
modulate = { full_scale = "0V .. 1V", duty = "0% .. 100%", reference = "supply" }
    4:14: part P, key modulate.full_scale: found "0V .. 1V", expected a ratio or a span of one, such as "10% .. 90%"

...
modulate = { points = [["0V", "5%"], ["1V", "9%"]], duty = "5% .. 9%" }
    4:14: part P, key modulate.points: found points beside full_scale or duty, expected either points, or both of the others

...
modulate = 3
    4:1: part P, key modulate: found 3, expected a table with the keys full_scale, duty, points, error, reference

...
trigger = { edge = "up", retriggerable = "no", recovery = "1V" }
    4:13: part P, key trigger.edge: found "up", expected one of "rising", "falling", "both"
    4:26: part P, key trigger.retriggerable: found "no", expected true or false
    4:48: part P, key trigger.recovery: found "1V", expected a time, such as "0.8ms"

...
ladder = { lower = "2/3", upper = "1/3" }
    4:12: part P, key ladder.lower: found "2/3", expected a fraction below upper

...
ladder = { lower = "1/3" }
    4:1: part P, key ladder.upper: found nothing, expected this key: it has no default

...
package.S8 = { pins = ["supply"] }
    3:1: part P, key pins: found other roles than package S8 has, expected the same in both: S8 lacks ground, output, rate, strap

...
package.S8.pins = ["A.suply", "ground", "output", "rate", "strap"]
    4:1: part P, key package.S8.pins.1: found "suply", expected a role, one of <ROLES>; did you mean supply?

...
[part.Q]
like = "P"
pins = ["supply", "ground", "output", "rate", "reset"]
package.S6.pins = ["A.supply", "ground", "output", "rate", "strap", "nc"]
    6:1: part Q, key pins: found other roles than package S6 has, expected the same in both: S6 lacks reset and S6 adds strap

...
unit.A.pins = ["supply"]
    4:1: part P, key unit.A.pins: found a list of 1, expected 5 roles, one a pin of the part ("-" where not its own)

...
unit.A = {}
    4:1: part P, key unit.A.pins: found nothing, expected this key: it has no default

...
alias = { output = ["Q"], rate = ["q"] }
    4:27: part P, key alias.rate: found "q", expected a name that is not already one of output

...
alias = { outptu = ["Q"] }
    4:11: part P, key alias.outptu: found "outptu", expected a role, one of <ROLES>; did you mean output?

...
alias = { output = "Q" }
    4:11: part P, key alias.output: found "Q", expected a list of pin names, such as ["OUT", "Q"]

...
supplies.io = { rated = "1V .. 2V" }
    4:1: part P, key supplies.io: found "io", expected a pin with the role "supply-io"

...
reset = { active = "yes" }
    4:11: part P, key reset.active: found "yes", expected one of "high", "low"

...
reset = "high"
    4:1: part P, key reset: found "high", expected a table with the keys active

...
title = 3
    4:1: part P, key title: found 3, expected text in quotes, on one line

...
startup = "soon"
    4:1: part P, key startup: found "soon", expected a time, such as "0.8ms" (column 1: found "soon", expected a number, such as 4.7kohm or 10kHz)

[[part]]
    1:3: key part: found a list of 1, expected tables such as [part.NAME]

...
[part.Q]
like = "P"
pins = ["supply", "sup"]
    6:1: part Q, key pins.2: found "sup", expected a role, one of <ROLES>

...
trigger = { edge = "risng" }
[part.Q]
like = "P"
title = "inherits a wrong trigger"
    4:13: part P, key trigger.edge: found "risng", expected one of "rising", "falling", "both"; did you mean rising?

...
codes = [ { code = 0, prescale = 1 }, 7 ]
    4:1: part P, key codes.2: found 7, expected a table with the keys code, prescale, inverted, when, rest

...
rate.current = "3 mV"
    4:1: part P, key rate.current: found "3 mV", expected a current or a span of one, such as "1.5uA .. 30uA"

...
consumption = "1uA"
ambient = 25
    5:1: part P, key ambient: found 25, expected a temperature or a span of one, such as "-40degC .. 125degC": a string with its unit

...
gate = { logic = "nnand" }
    4:10: part P, key gate.logic: found "nnand", expected one of "buffer", "inverter", "and", "nand", "or", "nor", "xor", "xnor"; did you mean nand?

...
switch = { side = "left" }
    4:12: part P, key switch.side: found "left", expected one of "low", "high"

...
regulator = { dropout = "1ohm" }
    4:15: part P, key regulator.dropout: found "1ohm", expected a voltage, such as "3.3V"

...
discharge = { current = "3" }
    4:15: part P, key discharge.current: found "3", expected a current, such as "12mA"

...
signal = { edges = "all" }
    4:12: part P, key signal.edges: found "all", expected one of "rising", "falling", "both"

...
inputs = { leekage = "1nA" }
    4:12: part P, key inputs.leekage: found an unknown key, expected one of leakage; did you mean leakage?

...
timing = { tempco = "50", jitter = "1%" }
    4:12: part P, key timing.tempco: found "50", expected a ratio per kelvin, such as "50ppm" or "50ppm/K"
    4:27: part P, key timing.jitter: found "1%", expected a time, such as "0.8ms"

...
package = 4
    4:1: part P, key package: found 4, expected a table of packages by name

...
alias = ["Q"]
    4:1: part P, key alias: found a list of 1, expected a table of roles and names, such as { output = ["OUT"] }

...
unit.A = { pins = ["supply", "-", "-", "-", "-"], ailas = {} }
    4:51: part P, key unit.A.ailas: found an unknown key, expected one of pins, alias; did you mean alias?

...
like = "P"
replaces = 4
    5:1: part P, key replaces: found 4, expected the part's own name, "P"

...
rate = { voltage = "0.6V +/- 2" }
    4:10: part P, key rate.voltage: found "0.6V +/- 2", expected a voltage or a span of one, such as "2.0V .. 5.5V" (column 10: found "2", expected a width in V, or in %)

[part.""]
    1:2: part : found "", expected a part name of 1 to 100 characters without blanks around it

...
strap = { reference = "1.2V" }
    4:1: part P, key strap: found neither levels nor thresholds, expected one of them, such as levels = 16

...
modulate = { points = [["0V", "5%"], ["1V", "150%"]] }
    4:14: part P, key modulate.points.2: found "150%", expected a fraction from 0 to 1, such as 0.25, "1/3" or "40%"
"""  # noqa: E501


def rows() -> list[tuple[str, list[str]]]:
    """The rows of REFUSALS as (part file, refusals)."""
    text = REFUSALS.replace("<ROLES>", ROLES).replace("<KEYS>", KEYS).replace("<INPUT_ROLES>", INPUT_ROLES)
    found = []
    for row in text.strip("\n").split("\n\n"):
        lines = row.split("\n")
        given = [line for line in lines if not line.startswith("    ")]
        wanted = [line.strip() for line in lines if line.startswith("    ")]
        found.append(("\n".join(given).replace("...\n", PART) + "\n", wanted))
    return found


def troubles_of(text: str) -> tuple[Trouble, ...]:
    """What a part file is refused for."""
    with pytest.raises(InputError) as caught:
        parse_parts(text)
    return caught.value.troubles


@pytest.mark.parametrize(("text", "wanted"), rows())
def test_refusal(text: str, wanted: list[str]) -> None:
    """A wrong part file is refused with place, key, found and expected, and every wrong key is told of."""
    troubles = troubles_of(text)
    assert [f"{t.place.line}:{t.place.column}: {t.message}" for t in troubles] == wanted
    assert {(t.kind, t.level) for t in troubles} == {("part-file", "error")}


def test_the_part_that_rows_add_to_is_right() -> None:
    """The common start of the rows is refused for nothing itself."""
    assert list(parse_parts(PART).by_name) == ["P"]


@pytest.mark.parametrize(("text", "line"), [("[part.P\n", 1), ('\npart."A\n', 2), ("[part.P]\nx = \n", 2)])
def test_text_that_is_no_toml(text: str, line: int) -> None:
    """A file that is no TOML is one refusal at the line where reading stopped, with that line as excerpt."""
    (trouble,) = troubles_of(text)
    assert trouble.place.line == line
    assert trouble.message.startswith("found text that is no TOML: ")
    assert trouble.excerpt == text.split("\n")[line - 1]


def test_a_refused_value_is_quoted_on_one_line() -> None:
    """Line ends and control characters of a refused value are written as escapes, a long one is cut."""
    (title,) = troubles_of(PART + "title = '''a\nb'''\n")
    assert title.message == 'part P, key title: found "a\\nb", expected text in quotes, on one line'
    (long,) = troubles_of(PART + f'startup = "{"x" * 99}"\n')
    assert f'found "{"x" * 57}...", expected a time' in long.message


def test_a_wrong_value_is_told_of_the_file_that_wrote_it() -> None:
    """What a part inherits wrong is refused once, at the line and under the name that wrote it."""
    (only,) = troubles_of(PART + 'startup = "soon"\n[part.Q]\nlike = "P"\n[part.R]\nlike = "Q"\n')
    assert (only.place.line, only.message[:20]) == (4, "part P, key startup:")


def test_the_excerpt_is_the_line_as_written() -> None:
    """A refusal carries the line that it points at, so that a caret can stand under it."""
    (trouble,) = troubles_of(PART + '\trate = { voltage = "1A" }\r\n')
    assert trouble.excerpt == '\trate = { voltage = "1A" }'
    assert trouble.excerpt[trouble.place.column - 1 :][: trouble.place.length] == "voltage"
