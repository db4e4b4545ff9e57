"""The house's derating of rated power and voltage comes from the settings."""

from pathlib import Path

import pytest

import drc

BOARD = (
    "a capacitor near its rating\n*@ supply vdd 3.2V .. 3.4V\n*@ ambient 0degC .. 50degC\n"
    "*@ assume R* tolerance 1%, tempco 100ppm\n*@ assume C* tolerance 10%\n"
    "*@ expect XU1 frequency 16kHz +/- 6%\nV1 vdd 0 3.3\nC1 vdd 0 1u\nR1 vdd cfg 130k\nR2 cfg 0 68.1k\n"
    "R3 rt 0 100k\nR4 out 0 10k\nC2 out 0 100p/4V\nXU1 vdd cfg out 0 rt vdd HA10\n.end\n"
)


@pytest.mark.parametrize(("settings", "found"), [("", False), ('[derating]\nvoltage = "80%"\n', True)])
def test_a_house_derates_what_the_rating_allows(tmp_path: Path, settings: str, found: bool) -> None:
    """3.4 V on a 4 V capacitor is within its rating, and beyond four fifths of it."""
    (tmp_path / "board.cir").write_text(BOARD)
    (tmp_path / "tickproof.toml").write_text(settings)
    (board,) = drc.review(tmp_path / "board.cir").boards
    assert ("part-overvoltage" in {ruling.finding.rule for ruling in board.rulings}) is found
