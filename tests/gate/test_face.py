"""The public face: what the package gives to a Python program."""

import datetime
from pathlib import Path

import pytest

import drc
from drc.trouble import InputError, TickproofError
from tests.contract.running import CLEAN, WRONG_RATE


@pytest.fixture
def board(tmp_path: Path) -> Path:
    """A board that misses its frequency."""
    path = tmp_path / "bell.cir"
    path.write_text(WRONG_RATE, encoding="utf-8")
    return path


def test_a_board_is_read(board: Path) -> None:
    """`read` gives the elements with values in SI, and one canonical line an element."""
    circuit = drc.read(board)
    values = {element.path: element.value for element in circuit.elements()}
    assert values["R3"] == pytest.approx(47e3)
    assert values["C1"] == pytest.approx(100e-9)
    assert len(circuit.dump().splitlines()) == circuit.element_count == 7


def test_a_board_is_reviewed(board: Path) -> None:
    """`review` gives verdicts, findings and facts as the command reports them."""
    review = drc.review(board, date=datetime.date(2026, 3, 31))
    (outcome,) = review.boards
    assert (review.passed, review.date, outcome.path) == (False, "2026-03-31", "bell.cir")
    (ruling,) = outcome.rulings
    assert (ruling.finding.rule, ruling.state) == ("timing-outside-intent", "new")
    frequency = outcome.blocks[0].facts["timing.frequency"].span
    assert frequency is not None
    assert frequency.nominal == pytest.approx(17.02e3, rel=1e-3)
    assert "timing.frequency.monte_carlo" not in outcome.blocks[0].facts


def test_monte_carlo_is_there_when_it_is_asked_for(board: Path) -> None:
    """The draws are made only for who wants them, and lie within the extremes."""
    facts = drc.review(board, monte_carlo=True, draws=1000).boards[0].blocks[0].facts
    extreme, drawn = facts["timing.frequency"].span, facts["timing.frequency.monte_carlo"].span
    assert extreme is not None
    assert drawn is not None
    assert extreme.low <= drawn.low < drawn.high <= extreme.high


def test_two_jobs_review_as_one_does(board: Path) -> None:
    """With several processes verdicts and facts are the same; blocks keep their names."""
    second = board.with_name("clean.cir")
    second.write_text(CLEAN, encoding="utf-8")
    one, two = (drc.review(board, second, jobs=jobs, date=datetime.date(2026, 3, 31)) for jobs in (1, 2))
    for alone, shared in zip(one.boards, two.boards, strict=True):
        assert alone.rulings == shared.rulings
        assert alone.blocks[0].facts == shared.blocks[0].facts
        nets = [[net.name for net in block.block.pins["rate"]] for block in (*alone.blocks, *shared.blocks)]
        assert nets[0] == nets[1]


def test_blocks_are_listed_unjudged(board: Path) -> None:
    """`inventory` gives the blocks and their facts, and no verdict."""
    (outcome,) = drc.inventory(board)
    assert [found.block.path for found in outcome.blocks] == ["XU1"]
    assert (outcome.rulings, outcome.tally) == ((), ())


def test_a_wrong_argument_is_an_error_of_the_package(tmp_path: Path) -> None:
    """What is wrong with named inputs is one kind of error, with a trouble for each."""
    with pytest.raises(TickproofError) as caught:
        drc.review(tmp_path / "none.cir", parts=[tmp_path / "none.toml"])
    assert isinstance(caught.value, InputError)
    assert len(caught.value.troubles) == 2


def test_nothing_else_is_public() -> None:
    """A name that the package does not have is missing in the usual way."""
    with pytest.raises(AttributeError, match="no attribute"):
        drc.nothing  # type: ignore[attr-defined]  # noqa: B018
