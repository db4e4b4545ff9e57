"""Part files as a table: what may be written in one, what it means for a board, and what is refused."""

from pathlib import Path

import pytest

from tests.contract.parts import BOARD, EXPLAIN, LIST, PART, REVIEW, SHOW, board, other, part
from tests.contract.table import Case, check

PERIOD = 'period = "0.25us"'
ERRORS = 'error = [{ current = "1uA .. 5uA", error = "1%" }, { current = "5uA .. 30uA", error = "3%" }]'

TWO = """two in one package
*@ supply vdd 3.2V .. 3.4V
V1 vdd 0 3.3
R1 vdd cfg 20k
R2 cfg 0 13.7k
R3 ra 0 100k
R4 rb 0 200k
XU3 vdd 0 cfg ra oa rb ob ZZ2
.end
"""
DELAYED = """a delay of both edges
*@ supply vdd 3.2V .. 3.4V
V1 vdd 0 3.3
R1 vdd cfg 107k
R2 cfg 0 73.2k
R3 rt 0 61.9k
R4 din 0 47k
XU1 vdd cfg out 0 rt din ZZ5
.end
"""
SCALED = """[part.ZZ3]
like = "HA10"
function = "pulse-modulator"
pins = ["supply", "strap", "output", "ground", "rate", "modulate"]
modulate = { full_scale = "0V .. 0.8V", duty = "5% .. 95%", error = "3.5points", reference = "absolute" }
"""
UNITS = """
[part.ZZ2]
like = "ZZ1"
pins = ["supply", "ground", "strap", "rate", "output", "rate", "output"]
unit.A.pins = ["supply", "ground", "strap", "rate", "output", "-", "-"]
unit.B.pins = ["supply", "ground", "strap", "-", "-", "rate", "output"]
"""

CASES = (
    Case("a part file of one's own is added to the built-in ones", REVIEW, 0, ("gate passed",), (), part()),
    Case("quantities have SI prefixes, and M is mega", SHOW, 0, ("20 kohm .. 400 kohm",), (), part(('"20kohm .. 400kohm"', '"0.02Mohm .. 0.4Mohm"'))),
    Case("m is milli, in a part file too", SHOW, 0, ("600 mV",), (), part(('"0.60V +/- 2%"', '"600mV +/- 2%"'))),
    Case("a quantity is a text: a bare number is refused", SHOW, 2, (), ("p.toml:7:", "ZZ1", "found 6", "expected"), part(('limit = "6.0V"', "limit = 6"))),
    Case("a quantity without its unit is refused", SHOW, 2, (), ("p.toml:7:", "limit", "6.0"), part(('limit = "6.0V"', 'limit = "6.0"'))),
    Case("what is not given stays unknown, and what needs it is unproven", REVIEW, 1, ("not proven", "the part file gives no timing error", "unproven"), (), part(('error = "1.5%", ', ""))),
    Case("a wrong key is told with the one meant", SHOW, 2, (), ("p.toml:7:", "rateed", "rated"), part(("rated =", "rateed ="))),
    Case("a wrong function is told with those there are", SHOW, 2, (), ("p.toml:4:", "oscilator", "one-shot"), part(('"oscillator"', '"oscilator"'))),
    Case("text that is no TOML is told with its line", SHOW, 2, (), ("p.toml:1:",), {"p.toml": "[part.ZZ1\n"}),
    Case("part names ignore case, on the board and on the command line", REVIEW, 0, ("gate passed",), (), part(board=board("zz1"))),
    Case("a pattern stands for many names", "parts ZZ1F --parts p.toml", 0, ("odd oscillator",), (), part(("[part.ZZ1]", '[part."ZZ*"]'))),
    Case("an exact name beats a pattern", "inventory bell.cir --parts p.toml", 0, ("8 kHz",), (), part(more=other("ZZ*", timing='{ period = "0.5us" }'))),
    Case("a longer literal prefix beats a shorter", LIST, 0, ("4 kHz",), (), part(more=other("ZZ2*", timing='{ period = "0.5us" }') + other("ZZ*"), board=board("ZZ2X"))),
    Case("a tie between patterns is refused", LIST, 2, (), ("p.toml:20:2: error: part ZZ2*X: found a pattern that ties with ZZ2*",), part(more=other("ZZ2*") + other("ZZ2*X"), board=board("ZZ2X"))),
    Case("like merges table by table", "parts ZZ2 --parts p.toml", 0, ("supply, limit 7 V", "2 V .. 5.5 V"), (), part(more=other("ZZ2", supply='{ limit = "7V" }'))),
    Case("like replaces a list whole", "parts ZZ2 --parts p.toml", 0, ("code 6", "prescale 7"), (), part(more=other("ZZ2", codes="[{ code = 6, prescale = 7 }]")), ("prescale 20",)),
    Case("likes that lead in a circle are refused", SHOW, 2, (), ("p.toml:", "ZZ1", "ZZ2"), part(("\nsource =", '\nlike = "ZZ2"\nsource ='), more=other("ZZ2"))),
    Case("a like of nothing is refused", SHOW, 2, (), ("p.toml:3:", "ZZ9"), part(("\nsource =", '\nlike = "ZZ9"\nsource ='))),
    Case("a part defined twice is refused", "parts HA10 --parts p.toml", 2, (), ("p.toml:1:", "HA10", "replaces"), part(("ZZ1", "HA10"))),
    Case("a part that says so replaces another", "parts HA10 --parts p.toml", 0, ("odd oscillator",), (), part(("[part.ZZ1]", '[part.HA10]\nreplaces = "HA10"'))),
    Case("a header with the pins' names gives their order", LIST, 0, ("8 kHz",), (), part(board=BOARD.replace("V1  VCC", ".subckt ZZ1 EN RT GND OUT CFG VDD\n.ends\nV1  VCC").replace("VCC CFG OUT 0 RT VCC ZZ1", "VCC RT 0 OUT CFG VCC ZZ1"))),
    Case("a role may repeat, and nc is no pin at all", LIST, 0, ("8 kHz",), (), part(('"ground", "rate"', '"ground", "ground", "nc", "rate"'), board=BOARD.replace("OUT 0 RT", "OUT 0 0 7 RT"))),
    Case("a wrong number of pins is a finding", REVIEW, 1, ("XU1",), (), part(board=BOARD.replace("OUT 0 RT", "OUT 0 0 RT"))),
    Case("N levels divide the range evenly", SHOW, 0, ("code 6 ratio 0.375 .. 0.4375, centre 0.40625: prescale 100",), (), part()),
    Case("thresholds may be given one by one", SHOW, 0, ("code 1 ratio 0.3 .. 0.45, centre 0.375",), (), part(("levels = 16", "thresholds = [0.3, 0.45, 0.8]"), ("code = 6", "code = 1"), ("code = 9", "code = 2"))),
    Case("a code that is not listed is reserved", REVIEW, 1, ("[strap-code-reserved]",), (), part(("code = 6", "code = 7"))),
    Case("a strap may be read against a voltage of its own", LIST, 0, ("XU1",), (), part(("levels = 16", 'levels = 16, reference = "1.2V +/- 2%"')), ("8 kHz",)),
    Case("a code row may hold only while another pin is high", LIST, 0, ("8 kHz",), (), part(("code = 6, prescale = 100", 'code = 6, prescale = 100, when = { enable = "high" }'))),
    Case("and does not hold while it is low", LIST, 0, ("XU1",), (), part(("code = 6, prescale = 100", 'code = 6, prescale = 100, when = { enable = "low" }')), ("8 kHz",)),
    Case("by the ratio law the rate voltage's tolerance cancels", REVIEW, 0, ("gate passed",), (), part(("+/- 2%", "+/- 9%"))),
    Case("by the current law it does not", f"{REVIEW} --gate warning", 1, ("[timing-outside-intent]",), (), part(("+/- 2%", "+/- 9%"), ('law = "ratio"', 'law = "current"'))),
    Case("of several errors the first whose conditions hold counts", EXPLAIN, 0, ("+/- 3 %",), (), part(('error = "1.5%"', ERRORS))),
    Case("where no error's conditions hold it is unknown", REVIEW, 1, ("the part file gives no timing error for current 6 uA",), (), part(('error = "1.5%"', 'error = [{ current = "1uA .. 5uA", error = "1%" }]'))),
    Case("an offset adds to the time", LIST, 0, ("7.9",), (), part(('period = "0.25us"', 'period = "0.25us", offset = "1us .. 2us"'))),
    Case("what a kind of output is, is told where it is none", SHOW, 2, (), ("p.toml:13:", "push-pul", "open-drain"), part(("push-pull", "push-pul"))),
    Case("ratings of an output may depend on the supply", f"{LIST}", 0, ("8 kHz",), (), part(('output = { kind = "push-pull", source = "12mA", sink = "12mA", resistance = "25ohm", capacitance = "1nF" }', 'output = [{ kind = "push-pull", source = "4mA", sink = "4mA", resistance = "60ohm", at_supply = "2V .. 3V" }, { kind = "push-pull", source = "12mA", sink = "12mA", resistance = "25ohm", at_supply = "3V .. 5.5V" }]'))),
    Case("an input's levels are given in parts of the supply", SHOW, 0, ("low under 0.3 supply, high over 0.7 supply",), (), part()),
    Case("an input held at the wrong level stops the block", REVIEW, 1, ("[block-never-runs]",), (), part(('active = "high"', 'active = "low"'))),
    Case("a clamp of the duty is given by its points", "parts HA30C", 0, ("8 %",)),
    Case("a trigger has an edge, a recovery, and may restart", "parts HA40G", 0, ("rising",)),
    Case("an RC timer has a ladder", "parts QB12", 0, ("thresholds 0.33333 and 0.66667 of the supply", "ladder, each resistor")),
    Case("a package may order the pins otherwise", "inventory bell.cir --parts p.toml", 0, ("8 kHz",), (), part(more='package.SMALL.pins = ["rate", "ground", "strap", "output", "enable", "supply"]\n', board=BOARD.replace("VCC CFG OUT 0 RT VCC ZZ1", "RT 0 CFG OUT VCC VCC ZZ1-SMALL"))),
    Case("two timers in one package are two blocks", "inventory a.cir --parts p.toml", 0, ("XU3/A", "XU3/B", "8 kHz", "4 kHz"), (), {"a.cir": TWO, "p.toml": PART + UNITS}),
    Case("a temperature coefficient of known sign is one, told with its sign", SHOW, 0, ("temperature coefficient 50 ppm/K",), (), part(('"+/- 50ppm"', '"50ppm"')), ("+/- 50 ppm/K",)),
    Case("a random one has no sign", SHOW, 0, ("temperature coefficient +/- 50 ppm/K",), (), part()),
    Case("a supply error counts from where the period is stated", f"{REVIEW} --gate warning", 1, ("[timing-outside-intent]",), (), part(('supply_error = "0.1%/V"', 'supply_error = "9%/V"'), ('at_supply = "3.3V"', 'at_supply = "2.5V"'))),
    Case("an error of the part widens the span", f"{REVIEW} --gate warning", 1, ("[timing-outside-intent]",), (), part(('error = "1.5%"', 'error = "9%"'))),
    Case("jitter is told", SHOW, 0, ("jitter 5 ns",), (), part((PERIOD, f'{PERIOD}, jitter = "5ns"'))),
    Case("a delay's edges may differ", "inventory a.cir --parts p.toml", 0, ("26.26 ms | 30.26 ms",), (), {"a.cir": DELAYED, "p.toml": '[part.ZZ5]\nlike = "HA50B"\ntiming = { period = "0.8us", at_current = "30uA", at_supply = "3.3V", error = "2%", tempco = "+/- 60ppm", rising = { offset = "1ms .. 2ms" }, falling = { offset = "5ms .. 6ms" } }\n'}),
    Case("an input's limit is told where it is passed", REVIEW, 1, ("[input-over-limit]",), (), part(('active = "high"', 'active = "high", limit = "supply + 0.3V"'), board=BOARD.replace("RT VCC ZZ1", "RT RUN ZZ1").replace("V1  VCC", "V2  RUN 0 5\nV1  VCC"))),
    Case("an output that only pulls down needs a pull-up", REVIEW, 1, ("XU1",), (), part(('kind = "push-pull", source = "12mA", sink', 'kind = "open-drain", sink'), board=BOARD.replace("R4  OUT 0   10k", "R4  OUT 0   10k\n*@ expect XU1 rest high"))),
    Case("an output's drop is given at a current", "parts QB12", 0, ("high drop 1.7 V at 50 mA",)),
    Case("modulation is given by full scale and duty, or by points", "parts ZZ3 --parts p.toml", 0, ("duty by modulate pin 5 % at 0 V, 95 % at 0.8 V",), (), {"p.toml": SCALED}),
    Case("and not by both", "parts ZZ3 --parts p.toml", 2, (), ("p.toml:5:", "points beside full_scale or duty"), {"p.toml": SCALED.replace("error", 'points = [["0V", "5%"], ["1V", "9%"]], error')}),
    Case("a second supply has a name", "parts zz1 --parts p.toml", 0, ("1.1 V .. 1.3 V",), (), part(('"enable"]\nalias', '"enable", "supply-core"]\nalias'), ('ambient =', 'supplies.core = { rated = "1.1V .. 1.3V", limit = "1.5V" }\nambient ='))),
    Case("consumption and start-up are told", "parts HA10", 0, ("consumption 90 uA .. 310 uA", "startup 800 us")),
    Case("a reset has an active level, a discharge its resistance", "parts QB12", 0, ("reset active low", "discharge resistance 18 ohm")),
    Case("the demonstration's makers are there", "parts", 0, ("HA10", "HA20", "HA30", "HA40", "HA50", "BR10", "BR50", "QB12", "QC12")),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.sentence for case in CASES])
def test_part_files_keep_their_contract(case: Case, tmp_path: Path) -> None:
    """Each row of the table holds."""
    check(case, tmp_path)
