"""Small boards and the parts on them, for tests of finding blocks."""

from collections.abc import Mapping

from drc.blocks.find import find_blocks
from drc.blocks.model import Block, Board
from drc.blocks.parts import parse_parts
from drc.netlist.read import read_text

PARTS = """
[part.OSC]
function = "oscillator"
pins = ["supply", "strap", "output", "ground", "rate", "enable"]
alias = { output = ["Q"], rate = ["RT"], strap = ["CFG"], enable = ["RUN"] }
package.S8.pins = ["output", "ground", "nc", "rate", "strap", "supply", "nc", "enable"]
package.R6.pins = ["ground", "strap", "output", "supply", "rate", "enable"]

[part.SHOT]
function = "one-shot"
pins = ["supply", "strap", "output", "ground", "rate", "trigger"]
alias = { trigger = ["GO"] }

[part.TWIN]
function = "rc-timer"
pins = ["output", "threshold", "trigger", "ground", "output", "threshold", "trigger", "supply"]
package.T9.pins = ["A.output", "A.trigger", "A.threshold", "supply", "ground", "B.threshold", "B.trigger",
    "B.output", "nc"]
[part.TWIN.unit.A]
pins = ["output", "threshold", "trigger", "ground", "-", "-", "-", "supply"]
alias = { threshold = ["LEFT"] }
[part.TWIN.unit.B]
pins = ["-", "-", "-", "ground", "output", "threshold", "trigger", "supply"]

[part.REG]
function = "regulator"
pins = ["supply", "ground", "output"]
"""


def board_of(text: str) -> Board:
    """The board of a netlist's lines, with the parts above; no other parts are known."""
    circuit = read_text("a board\n" + text + "\n.end\n")
    assert circuit.troubles == ()
    return find_blocks(circuit, parse_parts(PARTS))


def only(text: str) -> Block:
    """The only block of a board that gives no trouble."""
    board = board_of(text)
    assert board.troubles == ()
    (block,) = board.blocks
    return block


def nets(block: Block) -> Mapping[str, str]:
    """Each role's nets by name, joined by blanks."""
    return {role: " ".join(net.name for net in pins) for role, pins in block.pins.items()}


def told(board: Board) -> list[tuple[str, str, str]]:
    """The kind, level and message of each trouble."""
    return [(t.kind, t.level, t.message) for t in board.troubles]
