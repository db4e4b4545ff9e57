"""A part file of an odd oscillator, the board it stands on, and both with changes."""

from tests.contract.running import CLEAN

PART = """[part.ZZ1]
title = "odd oscillator"
source = "invented for this test"
function = "oscillator"
pins = ["supply", "strap", "output", "ground", "rate", "enable"]
alias = { output = ["OUT"], rate = ["RT"], strap = ["CFG"], supply = ["VDD"], ground = ["GND"], enable = ["EN"] }
supply = { rated = "2.0V .. 5.5V", limit = "6.0V" }
ambient = "-40degC .. 125degC"
rate = { voltage = "0.60V +/- 2%", current = "1.5uA .. 30uA", resistance = "20kohm .. 400kohm", law = "ratio" }
timing = { period = "0.25us", at_current = "30uA", at_supply = "3.3V", error = "1.5%", tempco = "+/- 50ppm", supply_error = "0.1%/V" }
strap = { levels = 16, threshold_error = "0.6%", leakage = "15nA", read = "once" }
codes = [{ code = 6, prescale = 100 }, { code = 9, prescale = 20, inverted = true }]
output = { kind = "push-pull", source = "12mA", sink = "12mA", resistance = "25ohm", capacitance = "1nF" }
input.enable = { low = "0.3 supply", high = "0.7 supply", leakage = "10nA", active = "high" }
consumption = "50uA .. 200uA"
"""
BOARD = CLEAN.replace("HA10", "ZZ1")
REVIEW, LIST, SHOW = (
    "review bell.cir --parts p.toml",
    "inventory bell.cir --parts p.toml",
    "parts zz1 --parts p.toml",
)
EXPLAIN = f"{REVIEW} --explain XU1"


def part(*changes: tuple[str, str], more: str = "", board: str = BOARD) -> dict[str, str | bytes]:
    """The board and its part file with changes; `more` stands at the file's end."""
    text = PART
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return {"bell.cir": board, "p.toml": text + more}


def other(name: str, **lines: str) -> str:
    """Another part, like the first but for some lines."""
    return "\n".join(
        [f'\n["part"."{name}"]', 'like = "ZZ1"', *(f"{key} = {value}" for key, value in lines.items()), ""]
    )


def board(name: str) -> str:
    """The board with a part of that name."""
    return CLEAN.replace("HA10", name)
