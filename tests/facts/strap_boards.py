"""A plain oscillator of eight strap levels, for the tests of rails, straps, rate pins and outputs."""

PLAIN = """
[part.PL1]
title    = "plain oscillator"
source   = "this test"
function = "oscillator"
pins     = ["supply", "strap", "output", "ground", "rate", "enable"]
supply   = { rated = "2V .. 6V", limit = "7V" }
ambient  = "-40degC .. 125degC"
rate     = { voltage = "0.5V +/- 2%", current = "1uA .. 20uA", resistance = "25kohm .. 500kohm", \
capacitance = "20pF", law = "ratio" }
timing   = { period = "2us", at_current = "20uA", at_supply = "3V", error = "1%", tempco = "+/- 50ppm", \
supply_error = "0%/V" }
strap    = { levels = 8, threshold_error = "0.5%", leakage = "20nA", source_resistance = "200kohm", \
read_after = "1ms", read = "once" }
codes    = [ { code = 0, prescale = 1 }, { code = 2, prescale = 10 }, \
{ code = 3, prescale = 10, inverted = true } ]
output   = { kind = "push-pull", source = "10mA", sink = "8mA", resistance = "25ohm" }
input.enable = { low = "0.3 supply", high = "0.7 supply", active = "high" }

[part.PL1D]
like   = "PL1"
output = { kind = "open-drain", sink = "8mA", low_drop = "0.4V at 8mA" }

[part.PL1H]
like        = "PL1"
consumption = "2mA +/- 10%"

[part.RG3]
title     = "regulator"
source    = "this test"
function  = "regulator"
pins      = ["supply", "ground", "output"]
regulator = { output = "3.0V +/- 2%", dropout = "0.5V" }

[part.RGA]
title     = "adjustable regulator"
source    = "this test"
function  = "regulator"
pins      = ["supply", "ground", "output", "feedback"]
regulator = { feedback = "1.2V +/- 1%", dropout = "0.5V" }
"""

CENTRED = """
V1 vdd 0 4
R1 vdd cfg 22k tol=1%
R2 cfg 0 10k tol=1%
R3 rt 0 100k tol=1%
XU1 vdd cfg out 0 rt vdd PL1
"""
"""r = 10/32 = 2.5/8: the middle of code 2. Rth = 22k*10k/32k = 6875 ohm. I = 0.5 V / 100k = 5 uA."""
