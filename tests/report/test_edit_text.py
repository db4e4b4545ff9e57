"""Edits as a reader sees them: what changes, and lines that are added."""

from drc.circuit.model import Token
from drc.judge.model import Edit
from drc.report.edit_text import by_element, told

VALUE = Edit("R3", Token("lamp.cir", 40, 44, "100k"), "78.7k")
PIN = Edit("XU1", Token("lamp.cir", 64, 67, "VDD"), "CFG")
ADDED = Edit("XU1", Token("lamp.cir", 60, 63, "XU1"), "R6 VDD CFG 68.1k\r\nR7 CFG 0 130k\r\nXU1")


def test_a_change_is_told_with_both_texts() -> None:
    """The element, what stands there now, and what comes in its place."""
    assert list(told(VALUE)) == ["R3 100k -> 78.7k"]


def test_lines_that_come_before_are_added() -> None:
    """They are told as they will stand in the file, and the word that they come before is not changed."""
    assert list(told(ADDED)) == ["R6 VDD CFG 68.1k added", "R7 CFG 0 130k added"]


def test_an_element_takes_one_line() -> None:
    """Its words stand in the order of the file, added lines before them."""
    other = Edit("XU1", Token("lamp.cir", 68, 71, "CFG"), "VDD")
    assert list(by_element((other, ADDED, PIN, VALUE))) == [
        "R6 VDD CFG 68.1k added",
        "R7 CFG 0 130k added",
        "XU1 VDD CFG -> CFG VDD",
        "R3 100k -> 78.7k",
    ]
