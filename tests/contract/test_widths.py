"""Pages keep within the terminal: every command's, at the narrowest width and at a common one."""

import re
import shlex
from pathlib import Path

import pytest

from tests.contract.running import tickproof

ROOT = Path(__file__).parents[2]

POSITION = re.compile(r"\S+(:\d+)*: (error|warning|note): |    ")
"""What an editor reads must stay one line, with the source line under it; so must a netlist's own lines."""

COMMANDS = (
    "review samples/fog-station --tally --explain XU1 XU2 U1",
    "inventory samples/fog-station",
    "inventory samples/fog-station --chains",
    "mend samples/fog-station/radio.cir",
    "swap samples/archive --replace samples/archive/swaps.csv",
    "size --period 6h --part HA20",
    "parts",
    "parts HA10",
    "parts QC12",
    "rules",
    "rules --facts",
    "rules strap-near-threshold",
)


@pytest.mark.parametrize("width", [80, 131])
@pytest.mark.parametrize("command", COMMANDS)
def test_no_line_is_longer_than_the_terminal_is_wide(command: str, width: int) -> None:
    """Every line fits, apart from those whose form is somebody else's."""
    ran = tickproof(ROOT, shlex.split(command), COLUMNS=str(width))
    assert ran.code in (0, 1), ran.err
    long = [line for line in ran.out.split("\n") if len(line) > width and not POSITION.match(line)]
    assert long == []


@pytest.mark.parametrize(("told", "taken"), [("40", 80), ("1000", 200), ("wide", 80)])
def test_a_page_is_between_80_and_200_columns_wide(told: str, taken: int) -> None:
    """A narrower terminal gets 80 columns, a wider one 200: lines beyond that are hard to read."""
    outs = [tickproof(ROOT, ["rules"], COLUMNS=columns).out for columns in (told, str(taken))]
    assert outs[0] == outs[1]
