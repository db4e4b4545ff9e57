"""A review made by hand for what is drawn: surroundings, draws, expectations, and names that mean harm."""

from typing import cast

from drc.blocks.model import Block, Code
from drc.circuit.model import Element
from drc.facts.model import Fact
from drc.outcome import BlockOutcome, Expected, Histogram, Neighbour, Review, Surroundings
from drc.quantity.span import Span, exact
from drc.quantity.unit import HERTZ, VOLT
from drc.trouble import Place
from tests.report.made import CHAIN, FACTS, LAMP, PART, REVIEW, net

SCRIPT = "<script>document.title='taken'</script>"
BREAKING = "\"'></text></svg><img src=x onerror=document.title='taken'>"
ESCAPE = "n\x1b[31m\u202etxt&amp;"
HOSTILE = (SCRIPT, BREAKING, ESCAPE)
"""Names of nets and elements that would do something in a page that took them as markup."""

NEAR = Surroundings(
    elements=(
        Neighbour("R1", "R", "100 kohm", ("vcc", "n5")),
        Neighbour("R2", "R", "47 kohm", ("n5", "0")),
        Neighbour("RT", "R", "100 kohm", ("n4", "0"), fitted=False),
        Neighbour("R7", "R", "330 ohm", ("out", SCRIPT)),
        Neighbour("D1", "D", BREAKING, (SCRIPT, "0")),
        Neighbour("R8", "R", "1 kohm", ("out", ESCAPE)),
        Neighbour("Q1", "Q", "NPN", ("col", ESCAPE, "0"), "npn"),
        Neighbour("L1", "L", "1 mH", ("vcc", "col")),
        Neighbour("XU4", "X", "ZZ40", ("out", "x", "y"), role="trigger"),
        Neighbour("C1", "C", "100 nF", ("vcc", "0")),
    ),
    rails={"vcc": ("3.135 V .. 3.465 V", True)},
    grounds=frozenset({"0"}),
)


RATED = {
    **FACTS,
    "supply.rated": Fact("supply.rated", Span(2.0, None, 3.4, VOLT)),
    "supply.limit": Fact("supply.limit", exact(6.0, VOLT)),
}


def drawn_block(path: str = "XU3", near: Surroundings | None = NEAR) -> BlockOutcome:
    """A block with everything that can be drawn of it."""
    pins = {
        "rate": (net("n4"),),
        "strap": (net("n5"),),
        "ground": (net("0"),),
        "supply": (net("vcc"),),
        "output": (net("out"),),
    }
    part = PART._replace(codes=(Code(2, 50, inverted=True), Code(3, 100)))
    block = Block(path, None, part, cast(Element, None), "part", pins, Place("lamp.cir", 14, 1, 3))
    wanted = Expected(
        "expect XU3 frequency 800Hz +/- 5%",
        Place("lamp.cir", 3, 4),
        "frequency",
        Fact("expect.wanted", Span(760.0, 800.0, 840.0, HERTZ)),
        FACTS["timing.frequency"],
    )
    draws = Histogram(0.311, 0.314, (1, 4, 9, 4, 1), "19 draws at each of 1 corners, seed 1")
    return BlockOutcome(block, RATED, near, draws, (wanted,))


BOARD = LAMP._replace(
    path=f"boards/{SCRIPT}.cir",
    blocks=(drawn_block(), drawn_block("XU5")),
    chains=(CHAIN._replace(driven="XU5", loop=()), CHAIN._replace(driver="XU5")),
)
DRAWN: Review = REVIEW._replace(boards=(*REVIEW.boards, BOARD))
