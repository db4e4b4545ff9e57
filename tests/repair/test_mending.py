"""The mend command: a true diff, only the value's characters written, and nothing to do the second time."""

from pathlib import Path

import pytest

from drc.cli import main
from tests.repair.test_remedies import PARTS, PRESCALE

RIGHT = (
    "one oscillator\n*@ supply vdd 4.75V .. 5.25V\n*@ ambient 0degC .. 50degC\n"
    "*@ assume R* tolerance 1%, tempco 100ppm\n*@ expect XU1 period {period:.9g}s +/- 5%\n"
    "V1 vdd 0 5\nC1 vdd 0 1u tol=10%\nR1 vdd cfg {upper}\nR2 cfg 0 {lower}\n"
    "R3 rt 0 {rate} ; 10\xb5A\nXU1 vdd 0 rt cfg out ZZ1\n.end\n"
)


def _board(upper: str, lower: str, rate: str) -> str:
    return RIGHT.format(period=2e-6 * PRESCALE[5] * 150 / 20, upper=upper, lower=lower, rate=rate)


def _mend(
    folder: Path, text: str, *options: str, encoding: str = "utf-8", end: str = "\n"
) -> tuple[int, bytes]:
    path = folder / "board.cir"
    path.write_bytes(text.replace("\n", end).encode(encoding))
    (folder / "zz.toml").write_text(PARTS)
    code = main(["mend", str(path), "--parts", str(folder / "zz.toml"), *options])
    return code, path.read_bytes()


@pytest.mark.parametrize("encoding", ["utf-8", "latin-1", "utf-16"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_only_the_value_is_written(tmp_path: Path, encoding: str, end: str) -> None:
    """--write changes the value's characters; encoding, line ends and comments stay byte for byte."""
    code, after = _mend(tmp_path, _board("100k", "220k", "15k"), "--write", encoding=encoding, end=end)
    assert code == 0
    assert after == _board("100k", "220k", "150k").replace("\n", end).encode(encoding)


def test_nothing_is_written_unasked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --write the file stays as it is, and the diff shows what would change."""
    code, after = _mend(tmp_path, _board("100k", "220k", "15k"))
    assert (code, after.decode()) == (0, _board("100k", "220k", "15k"))
    out = capsys.readouterr().out
    assert "-R3 rt 0 15k ; 10\xb5A\n+R3 rt 0 150k ; 10\xb5A\n" in out
    assert "1 remedy, not written; --write does it; the review after it finds nothing" in " ".join(
        out.split()
    )


def test_mending_twice_changes_nothing_the_second_time(tmp_path: Path) -> None:
    """What was mended needs no mending."""
    _, once = _mend(tmp_path, _board("220k", "100k", "1.5meg"), "--write")
    code, twice = _mend(tmp_path, once.decode(), "--write")
    assert (code, twice) == (0, once)


def test_value_in_a_parameter_is_changed_where_it_is_written(tmp_path: Path) -> None:
    """A value that comes from a parameter is mended in the parameter's own line."""
    text = _board("100k", "220k", "{RT}").replace("V1 vdd", ".param RT=15k\nV1 vdd")
    code, after = _mend(tmp_path, text, "--write")
    assert (code, after.decode()) == (0, text.replace("RT=15k", "RT=150k"))


def test_value_in_a_bill_of_materials_is_changed_there(tmp_path: Path) -> None:
    """Where the bill of materials gives the value, its cell is mended and the netlist left alone."""
    bom = tmp_path / "bom.csv"
    bom.write_bytes(b'ref,value\r\n"R3",15k\r\nR1,100k\r\n')
    text = _board("100k", "220k", "15k")
    code, after = _mend(tmp_path, text, "--write", "--bom", str(bom))
    assert after.decode() == text
    assert bom.read_bytes() == b'ref,value\r\n"R3",150k\r\nR1,100k\r\n'
    assert code == 0


def test_edit_that_spoils_another_instance_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A shared subcircuit's resistor is left alone where another instance would pay, and that is said."""
    text = _board("100k", "220k", "150k").replace("R3 rt 0 150k", "X9 rt 0 RES").replace(
        ".end\n",
        ".subckt RES a b\nR1 a b 15k\n.ends\nX8 rt2 0 RES\nR11 vdd cfg2 100k\nR12 cfg2 0 220k\n"
        "XU2 vdd 0 rt2 cfg2 out2 ZZ1\n"
        f"*@ expect XU2 period {2e-6 * PRESCALE[5] * 15 / 20:.9g}s +/- 5%\n.end\n",
    )  # fmt: skip
    code, after = _mend(tmp_path, text, "--write")
    out = " ".join(capsys.readouterr().out.split())
    assert (code, after.decode()) == (1, text)
    assert "not mended: X9.R1 15k -> 150k would clear timing-outside-intent on XU1" in out
    assert ", and would bring timing-outside-intent on XU2" in out


def test_values_come_from_the_stock_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With a stock list a remedy takes only values in it, and the two on the board may still be exchanged."""
    (tmp_path / "stock.csv").write_text("value\n147k\n91k\n300k\n")
    stock = ("--stock", str(tmp_path / "stock.csv"))
    code, after = _mend(tmp_path, _board("100k", "220k", "15k"), "--write", *stock)
    assert (code, b"R3 rt 0 147k" in after) == (0, True)
    code, after = _mend(tmp_path, _board("220k", "100k", "150k"), "--write", *stock)
    assert (code, after.decode()) == (0, _board("100k", "220k", "150k"))
    (tmp_path / "stock.csv").write_text("value\n1k\n")
    assert _mend(tmp_path, _board("100k", "220k", "15k"), *stock)[0] == 1
    assert "nothing to mend" in capsys.readouterr().out


def test_settings_name_the_stock_list(tmp_path: Path) -> None:
    """`stock` in the settings file does the same for every review and mend."""
    (tmp_path / "stock.csv").write_text("value\n147k\n")
    (tmp_path / "tickproof.toml").write_text('stock = "stock.csv"\n')
    _, after = _mend(tmp_path, _board("100k", "220k", "15k"), "--write")
    assert b"R3 rt 0 147k" in after


def test_a_name_in_an_intent_file_is_mended_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A statement about a name that the board does not have is mended in the intent file alone."""
    lines = _board("100k", "220k", "150k").split("\n")
    stated = "\r\n".join(line.removeprefix("*@ ") for line in lines if line.startswith("*@"))
    intent = tmp_path / "board.intent"
    intent.write_bytes(stated.replace("expect XU1", "expect XUI").encode())
    board = "\n".join(line for line in lines if not line.startswith("*@"))
    code, after = _mend(tmp_path, board, "--write")
    assert (code, after.decode()) == (0, board)
    assert intent.read_bytes() == stated.encode()
    assert "XUI is not on the board, XU1 is: statement XUI -> XU1" in capsys.readouterr().out.replace(
        "\n", " "
    )
