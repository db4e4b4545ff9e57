"""The table of blocks for a spreadsheet."""

import csv
import io
from pathlib import Path

import pytest

from drc.report.csv_report import HEADINGS, render
from tests.report.made import FACTS, LAMP, REVIEW, block

GOLDEN = Path(__file__).with_name("golden") / "review.csv"


def rows(text: str) -> list[dict[str, str]]:
    """The rows by heading."""
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_text_is_pinned() -> None:
    """The table of a given review is this text, to the byte."""
    assert render(REVIEW) == GOLDEN.read_bytes().decode()


def test_lines_end_as_the_format_has_it() -> None:
    """RFC 4180: lines end in carriage return and line feed, and all have as many fields."""
    text = render(REVIEW)
    assert text.count("\n") == text.count("\r\n") == 3
    assert all(len(line) == len(HEADINGS) for line in csv.reader(io.StringIO(text, newline="")))


def test_a_block_takes_a_row_for_each_time() -> None:
    """Frequency and period of one block are two rows, in SI units."""
    first, second = rows(render(REVIEW))
    assert (first["quantity"], first["nominal"], first["extreme low"]) == ("frequency", "10000", "9700")
    assert (second["quantity"], second["monte carlo high"]) == ("period", "0.0001015")
    assert (first["strap code"], first["prescale"], first["polarity"]) == ("2", "50", "inverted")
    assert first["open findings"] == "1"


def test_a_block_without_a_known_time_is_still_a_row() -> None:
    """What could not be worked out is left empty, not left out."""
    facts = {name: fact for name, fact in FACTS.items() if not name.startswith("timing.")}
    board = LAMP._replace(blocks=(LAMP.blocks[0]._replace(facts=facts),))
    (only,) = rows(render(REVIEW._replace(boards=(board,))))
    assert (only["block"], only["quantity"], only["nominal"]) == ("XU3", "", "")


@pytest.mark.parametrize("name", ["=1+1", "+cmd", "-2", "@x"])
def test_no_name_is_taken_as_a_formula(name: str) -> None:
    """A name that a spreadsheet would work out is marked as text."""
    board = LAMP._replace(blocks=(LAMP.blocks[0]._replace(block=block(name)),))
    assert rows(render(REVIEW._replace(boards=(board,))))[0]["block"] == f"'{name}"
