"""Sizing: what is proposed gives the wanted time by the plain formula, and passes a review as it stands."""

import math
import re
from pathlib import Path

import pytest

import drc
from drc.cli import main

WISHES = [
    (["--frequency", "10kHz"], 1e-4),
    (["--period", "6h"], 21600.0),
    (["--pulse-width", "15ms +/- 5%"], 15e-3),
    (["--delay", "25ms"], 25e-3),
    (["--frequency", "500Hz", "--duty", "30%"], 2e-3),
    (["--frequency", "800Hz", "--polarity", "inverted", "--part", "HA10"], 1.25e-3),
    (["--frequency", "1kHz", "--part", "br10", "--supply", "2.9V .. 3.1V"], 1e-3),
    (["--frequency", "1kHz", "--part", "QC12"], 1e-3),
    (["--period", "2s", "--duty", "65%", "--part", "QC12", "--supply", "3.2V .. 3.4V"], 2.0),
    (["--pulse-width", "15ms +/- 8%", "--part", "QB12"], 15e-3),
]


def _run(capsys: pytest.CaptureFixture[str], *options: str) -> tuple[int, str, str]:
    code = main(["size", *options])
    out = capsys.readouterr().out
    table, _, netlist = out.partition("\n\n")[2].partition("\n\n")
    return code, table, netlist


@pytest.mark.parametrize(
    ("options", "time_s"), WISHES, ids=lambda o: " ".join(o) if isinstance(o, list) else ""
)
def test_proposed_netlist_passes_review(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, options: list[str], time_s: float
) -> None:
    """The stanza, saved as it is printed, is reviewed without error or warning, and gives the time."""
    code, _, netlist = _run(capsys, *options)
    assert code == 0
    (tmp_path / "sized.cir").write_text(netlist)
    (board,) = drc.review(tmp_path / "sized.cir").boards
    assert [r.finding.message for r in board.rulings if r.finding.level != "note"] == []
    (block,) = board.blocks
    facts = {name: fact.span for name, fact in block.facts.items() if fact.span is not None}
    names = ("timing.period", "timing.pulse_width", "timing.delay")
    made = next(facts[name] for name in names if name in facts)
    assert made.middle == pytest.approx(time_s, rel=0.03)


def test_ideal_resistor_by_hand(capsys: pytest.CaptureFixture[str]) -> None:
    """HA10: R = V_rate T / (period at_current prescale) = 0.6 V 100 us / (0.25 us 30 uA 50) = 160 kohm."""
    _, _, netlist = _run(capsys, "--frequency", "10kHz", "--part", "HA10")
    assert re.search(r"^R3 RT 0 160k$", netlist, re.MULTILINE)


def test_steering_goes_through_both_points(capsys: pytest.CaptureFixture[str]) -> None:
    """Two points give timing and control resistor: I1 - I2 = (V2 - V1) / R_ctl, the rest flows in R_rate.

    HA10 at prescale 1000: I = 0.25 us 30 uA 1000 f = 15 uA at 2 kHz, 7.5 uA at 1 kHz; so R_ctl is
    2 V / 7.5 uA = 267 kohm and R_rate = 0.6 V / (15 uA - 0.6 V / 267 kohm) = 47 kohm.
    """
    code, _, netlist = _run(capsys, "--steer", "2kHz at 0V, 1kHz at 2V", "--part", "HA10")
    assert code == 0
    assert "R3 RT 0 47k\nR4 CTL RT 267k\n" in netlist


def test_rc_timer_by_hand(capsys: pytest.CaptureFixture[str]) -> None:
    """Astable: R1 + 2 R2 = 1 / (f C ln 2), duty (R1 + R2) / (R1 + 2 R2); one-shot: R = t / (C ln 3).

    1 kHz at 60 % with 10 nF: 144.27 kohm, of which R2 is 40 %, 57.7 kohm, and R1 20 %, 28.9 kohm: any
    circuit-theory text on the timer with three equal resistors.
    """
    _, _, netlist = _run(capsys, "--frequency", "1kHz", "--duty", "60%", "--part", "QC12")
    ohms = dict(re.findall(r"^(R\d) \S+ \S+ (\S+)k$", netlist, re.MULTILINE))
    assert "C2 CAP 0 10n tol=5%" in netlist
    assert float(ohms["R1"]) + 2 * float(ohms["R2"]) == pytest.approx(144.27, rel=0.01)
    assert float(ohms["R2"]) == pytest.approx(57.7, rel=0.02)
    _, _, netlist = _run(capsys, "--pulse-width", "15ms", "--part", "QC12")
    (kilohm, nano) = re.findall(r"^[RC][12] \S+ \S+ ([\d.]+)", netlist, re.MULTILINE)[-2:]
    assert float(kilohm) * float(nano) * 1e-6 * math.log(3) == pytest.approx(15e-3, rel=0.02)


def test_the_capacitor_is_as_loose_as_the_wish_allows(capsys: pytest.CaptureFixture[str]) -> None:
    """A wide wish takes 5 %, a narrow one a tighter one, and what no capacitor meets is said with 1."""
    for width, tolerance in (("20%", "5%"), ("12%", "2%")):
        code, _, netlist = _run(capsys, "--frequency", f"1kHz +/- {width}", "--part", "QC12")
        assert code == 0
        assert f" tol={tolerance}\n" in netlist
    assert main(["size", "--frequency", "1kHz +/- 2%", "--part", "QC12"]) == 1
    capsys.readouterr()


def test_what_an_rc_timer_cannot_do_is_not_offered(capsys: pytest.CaptureFixture[str]) -> None:
    """Its output is high for more than half of the time; it has no polarity and no rate pin to steer."""
    for more in (["--duty", "40%"], ["--polarity", "inverted"]):
        assert main(["size", "--frequency", "1kHz", "--part", "QC12", *more]) == 1
    assert "nothing fits" in capsys.readouterr().out


def test_stock_list_is_all_there_is(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """With a stock list no other value is proposed; where it does not reach, nothing fits and that is 1."""
    stock = tmp_path / "stock.csv"
    stock.write_text("value,bin\n100k,A1\n150k,A2\n33k,A3\n68k,A4\n47k,A5\n")
    code, _, netlist = _run(capsys, "--frequency", "10kHz", "--stock", str(stock))
    assert code == 0
    assert set(re.findall(r"^R\d \S+ \S+ (\S+)$", netlist, re.MULTILINE)) <= {
        "100k",
        "150k",
        "33k",
        "68k",
        "47k",
    }
    stock.write_text("value\n1k\n")
    assert main(["size", "--frequency", "10kHz", "--stock", str(stock)]) == 1
    assert "nothing fits" in capsys.readouterr().out


def test_values_on_the_board_are_preferred(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Among strap pairs of like margin the one already on the board is taken."""
    board = tmp_path / "b.cir"
    board.write_text("t\nR1 a 0 133k\nR2 a 0 69.8k\n.end\n")
    _, _, netlist = _run(capsys, "--frequency", "10kHz", "--part", "HA10", "--board", str(board))
    assert "R1 VDD CFG 133k\nR2 CFG 0 69.8k\n" in netlist


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--delay", "3V"], '--delay: error: found "3V", expected a value in s'),
        (["--frequency", "fast"], '--frequency: error: found "fast"'),
        (["--frequency", "1kHz", "--duty", "130%"], "--duty: error: found 130%, expected a duty between"),
        (["--steer", "1kHz at 0V"], '--steer: error: found "1kHz at 0V", expected two points'),
        (["--steer", "1kHz at 0V, 2kHz at 2V"], "expected a frequency that falls as the voltage rises"),
        (["--frequency", "1kHz", "--part", "XY9"], "--part: error: no part XY9"),
        (["--frequency", "1kHz", "--stock", "absent.csv"], "absent.csv: error: cannot be read"),
    ],
)
def test_wrong_options_are_one_line(
    capsys: pytest.CaptureFixture[str], options: list[str], message: str
) -> None:
    """A wish that cannot be read is refused in one line that names the option, with exit code 2."""
    assert main(["size", *options]) == 2
    err = capsys.readouterr().err
    assert message in err
    assert err.count("\n") == 1
