"""What rules speak of: each subject's name, place and order; and what a statement's lost name is told as."""

import pytest

from drc.facts.model import Subject
from drc.facts.subjects import troubles
from drc.trouble import Place
from tests.facts.chain_boards import block as placed
from tests.facts.chain_boards import chained
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book

SECOND = "R4 r2 0 1k\nXU2 vdd cfg o2 0 r2 vdd PL1\n"
WANTS = """expect XU* frequency 1kHz
expect XU1 frequency 2kHz when vdd = 4V
expect XU1 frequency 3kHz when XU2 = high
supply vdd 4V
expect XU1 frequency 2kHz
expect XU2 duty 50%
expect XU1 frequency 2kHz when vdd = 4V .. 5V
expect XU1 frequency 9kHz when vdd = 4V
expect XU1 frequency 4kHz
expect XU9 frequency 4kHz
"""


def test_expectations_are_called_by_block_quantity_and_condition() -> None:
    """Each block that a statement matches is a subject; what would be called alike is numbered from 2."""
    of = book(CENTRED + SECOND, PLAIN, WANTS)
    found = of.subjects("statement")
    assert [(s.path, s.place.line) for s in found] == [
        ("XU1 frequency", 1),
        ("XU2 frequency", 1),
        ("XU1 frequency when vdd = 4 V", 2),
        ("XU1 frequency when XU2 = high", 3),
        ("XU1 frequency (2)", 5),
        ("XU2 duty", 6),
        ("XU1 frequency when vdd = 4 V .. 5 V", 7),
        ("XU1 frequency when vdd = 4 V (2)", 8),
        ("XU1 frequency (3)", 9),
    ]
    assert [s.block.path for s in found if s.block] == [
        "XU1",
        "XU2",
        "XU1",
        "XU1",
        "XU1",
        "XU2",
        "XU1",
        "XU1",
        "XU1",
    ]
    assert all(s.kind == "statement" and s.statement is not None for s in found)


def test_every_kind_of_subject_has_its_thing() -> None:
    """A block itself, an element by its path, the board by its file, a trouble by its place."""
    of = book(CENTRED + SECOND + "R9 cfg\n", PLAIN, "supply nowhere 3V")
    blocks = of.subjects("block")
    assert [(s.kind, s.path, s.block and s.block.path, s.place.line) for s in blocks] == [
        ("block", "XU1", "XU1", 7),
        ("block", "XU2", "XU2", 9),
    ]
    (whole,) = of.subjects("board")
    assert whole == Subject("board", "board.cir", Place("board.cir"))
    lines = of.subjects("line")
    assert [(s.kind, s.path) for s in lines] == [("line", str(t.place)) for t in troubles(of)]
    assert [s.trouble for s in lines] == list(troubles(of))
    assert {"board.cir:10:6", "board.intent:1:8"} <= {s.path for s in lines}
    assert [(s.kind, s.path, s.block) for s in of.subjects("net")][:2] == [
        ("net", "vdd", None),
        ("net", "cfg", None),
    ]
    assert of.subjects("part") == ()


def test_a_pair_is_of_two_blocks() -> None:
    """The driver is the block, the driven its partner; the place is the driven one's."""
    of = chained(placed("U1", "TO1", "tick", "vdd") + placed("U2", "TS1", "out", "tick"))
    (pair,) = of.subjects("pair")
    assert pair.block is not None
    assert pair.partner is not None
    assert (pair.kind, pair.block.path, pair.partner.path) == ("pair", "XU1", "XU2")
    assert pair.place == pair.partner.place


@pytest.mark.parametrize("kind", ["statement", "line", "pair", "part"])
def test_a_plain_board_has_none_of_these(kind: str) -> None:
    """Nothing stated, nothing wrong, one block, no ratings."""
    assert book(CENTRED, PLAIN).subjects(kind) == ()  # type: ignore[arg-type]


def test_all_that_was_wrong_is_told_once_in_the_order_of_reading() -> None:
    """The circuit's lines, then the blocks', then statements that mean nothing."""
    of = book(CENTRED + "R9 cfg\n", PLAIN, "supply nowhere 3V\nassume R77 tolerance 1%")
    assert [(t.kind, t.place.path, t.place.line) for t in troubles(of)] == [
        ("unreadable-line", "board.cir", 8),
        ("statement-matches-nothing", "board.intent", 1),
        ("statement-matches-nothing", "board.intent", 2),
    ]


@pytest.mark.parametrize(
    ("intent", "column", "length", "name"),
    [
        ("supply nowhere 3V", 8, 7, "nowhere"),
        ("   supply nowhere 3V", 11, 7, "nowhere"),
        ("same vdd nowhere", 10, 7, "nowhere"),
        ("expect XU1 frequency 1kHz when nowhere = 1V", 32, 7, "nowhere"),
        ("expect XU9 frequency 1kHz", 8, 3, "XU9"),
        ("fit R77 no", 5, 3, "R77"),
    ],
)
def test_a_lost_name_is_told_at_its_place_with_its_line(
    intent: str, column: int, length: int, name: str
) -> None:
    """Column and length are the name's own; the line is shown as it stands, for a caret."""
    (found,) = troubles(book(CENTRED, PLAIN, intent))
    assert (found.place.column, found.place.length) == (column, length)
    assert found.excerpt[column - 1 : column - 1 + length] == name
    assert found.excerpt.strip() == intent.strip()
    assert found.level == "error"


@pytest.mark.parametrize(
    ("intent", "lost"),
    [
        ("expect XU1 frequency 1kHz when XU1 = high", 0),
        ("expect XU1 frequency 1kHz when out = 1V", 0),
        ("expect XU1 frequency 1kHz when XU7 = high", 1),
        ("expect XU7 frequency 1kHz when nowhere = 1V", 2),
        ("expect XU1 frequency 1kHz", 0),
        ('supply "v*" 3V', 1),
        ("supply v* 3V", 0),
        ("supply w* 3V", 1),
        ('fit "R*" no', 1),
        ("fit Q* no", 1),
        ("fit R* yes", 0),
        ("same nowhere elsewhere", 2),
        ("same vdd elsewhere", 1),
        ("load vdd 1mA\nramp vdd 1ms\nnot supply out\nsignal out 1V", 0),
        ("load x 1mA\nramp x 1ms\nnot supply x\nsignal x 1V\nadjust x 0ohm .. 1ohm", 5),
        ("ambient 0degC .. 50degC", 0),
    ],
)
def test_how_many_names_of_a_statement_mean_nothing(intent: str, lost: int) -> None:
    """A star walks over all names, a quoted one is taken as it stands; each lost name is told by itself."""
    assert len(troubles(book(CENTRED, PLAIN, intent))) == lost
