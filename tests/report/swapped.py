"""A swap made by hand, with one of everything that its reports have to show."""

from drc.circuit.model import Token
from drc.facts.model import Fact
from drc.judge.model import Edit
from drc.outcome import BlockSwap, BoardSwap, Change, MendedFile, SwapReview
from drc.quantity.span import Span, exact
from drc.quantity.unit import SECOND
from tests.report.drawn import BOARD, SCRIPT, drawn_block
from tests.report.made import REVIEW

BEFORE = drawn_block()
AFTER = BEFORE._replace(facts={**BEFORE.facts, "strap.prescale": Fact("strap.prescale", exact(64))})

CHANGES = (
    Change("block.part", Fact("block.part", "ZZ10"), Fact("block.part", "YY10"), ("part",)),
    Change("strap.prescale", BEFORE.facts["strap.prescale"], AFTER.facts["strap.prescale"], ("part", "R3")),
    Change("timing.period", Fact("timing.period", Span(97e-6, 1e-4, 103e-6, SECOND)), None, (SCRIPT,)),
)

MENDED = BoardSwap(
    "drop-in with changed values",
    "with R3 100k -> 78.7k",
    BOARD,
    BOARD,
    (BlockSwap(BEFORE, AFTER, "name", CHANGES), BlockSwap(BEFORE, None, None, ())),
    gained=BOARD.rulings[:1] or REVIEW.boards[0].rulings[:1],
    lost=REVIEW.boards[0].rulings[1:2],
    edits=(Edit("R3", Token("lamp.cir", 120, 124, "100k"), "78.7k"),),
    why=("R3 makes 100 us again",),
    restored=BOARD,
    files=(MendedFile("lamp.cir", "R1 a b 1k\nR3 c 0 100k\n", "R1 a b 1k\nR3 c 0 78.7k\n"),),
)
REFUSED = MENDED._replace(
    verdict="not a replacement",
    reason=f"{SCRIPT} has no inverted codes",
    edits=(),
    why=(),
    restored=None,
    files=(),
)
SAME = BoardSwap(
    "drop-in", "", REVIEW.boards[0], REVIEW.boards[0], (BlockSwap(BEFORE, BEFORE, "wiring", ()),), (), ()
)

SWAPPED = SwapReview(
    REVIEW.version, REVIEW.date, REVIEW.seed, REVIEW.draws, "error", False, "parts replaced by swaps.csv",
    REVIEW.inputs, (MENDED, REFUSED, SAME), REVIEW.rules,
)  # fmt: skip
