"""A board as pin list and bill of materials alone: reviewed like any other."""

from pathlib import Path

import pytest

from drc.cli import main

PINS = (
    "Designator,Pin,Net\nU1,1,VDD\nU1,2,CFG\nU1,3,OUT\nU1,4,GND\nU1,5,RT\nU1,6,VDD\n"
    "R1,1,VDD\nR1,2,CFG\nR2,1,CFG\nR2,2,GND\nR3,1,RT\nR3,2,GND\nR4,1,OUT\nR4,2,GND\nC1,1,VDD\nC1,2,GND\n"
)
BOM = "Reference,Value,Tol\nR1,130k,1%\nR2,68k1,1%\nR3,{rate},1%\nR4,10k,5%\nC1,1u,10%\nU1,HA10,\n"
INTENT = "supply VDD 3.2V .. 3.4V\nambient 0degC .. 50degC\nexpect U1 frequency 16kHz +/- 6%\n"


@pytest.mark.parametrize(("rate", "code"), [("100k", 0), ("1M", 1)])
def test_values_and_parts_come_from_the_bill_of_materials(tmp_path: Path, rate: str, code: int) -> None:
    """The list names no part and no value: the bill of materials gives both, and a decade slip fails."""
    (tmp_path / "pins.csv").write_text(PINS)
    (tmp_path / "bom.csv").write_text(BOM.format(rate=rate))
    (tmp_path / "pins.intent").write_text(INTENT)
    assert main(["review", str(tmp_path / "pins.csv"), "--bom", str(tmp_path / "bom.csv")]) == code


def test_mending_writes_the_bill_of_materials(tmp_path: Path) -> None:
    """The remedy of a value that the bill of materials gives is written there."""
    (tmp_path / "pins.csv").write_text(PINS)
    (tmp_path / "bom.csv").write_text(BOM.format(rate="1M"))
    (tmp_path / "pins.intent").write_text(INTENT)
    options = ["--bom", str(tmp_path / "bom.csv"), "--write"]
    assert main(["mend", str(tmp_path / "pins.csv"), *options]) == 0
    assert (tmp_path / "bom.csv").read_text() == BOM.format(rate="100k")
