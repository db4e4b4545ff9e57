"""RC timers against a general-purpose simulator's transient run of the very same netlist.

The part is a subcircuit of ideal comparators, a latch, the ladder and a discharge switch; the simulator
runs its body, this project knows it by its part file. Needs `ngspice` (Debian package).
"""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.facts.timing_boards import book, span

NGSPICE = shutil.which("ngspice")
pytestmark = pytest.mark.skipif(NGSPICE is None, reason="the simulator ngspice is not installed")

PART = """
[part.T14]
title = "test part"
source = "this test"
function = "rc-timer"
pins = ["supply", "output", "discharge", "threshold", "control", "trigger", "ground"]
ladder = { lower = "1/3", upper = "2/3", error = "0%", resistance = "5kohm" }
discharge = { resistance = "60ohm" }
output = { kind = "push-pull", source = "50mA", sink = "50mA", resistance = "100ohm" }
"""
BODY = """.subckt T14 vs q dis thr con trg gnd
R1 vs con 5k
R2 con low 5k
R3 low gnd 5k
B1 gnd state I = V(trg) < V(low) ? (1 - V(state)) * 1m : (V(thr) > V(con) ? -V(state) * 1m : 0)
C1 state gnd 1p IC=1
R4 state gnd 1T
B2 dis gnd I = V(state) < 0.5 ? V(dis,gnd) / 60 : 0
B3 drive gnd V = V(state) > 0.5 ? V(vs) : 0
R5 drive q 100
.ends
"""
DIODE = ".model DS D(IS=2n N=1.8 RS=0.5)\n"
CASES = {
    "plain": "RA vdd dis 10k 0%\nRB dis t 20k 0%\n",
    "small resistor to the discharge pin": "RA vdd dis 600 0%\nRB dis t 33k 0%\n",
    "control pin loaded": "RA vdd dis 10k 0%\nRB dis t 20k 0%\nRL cv 0 8.2k 0%\n",
    "control pin driven": "RA vdd dis 10k 0%\nRB dis t 20k 0%\nV3 cv 0 4\n",
    "timing resistor on another rail": "V4 hi 0 9\nRA hi dis 10k 0%\nRB dis t 20k 0%\n",
    "resistor across the capacitor": "RA vdd dis 10k 0%\nRB dis t 20k 0%\nRX t 0 150k 0%\n",
    "from its output": "RA q t 15k 0%\nRD vdd dis 1MEG 0%\n",
    "diode past the lower resistor": f"RA vdd dis 10k 0%\nRB dis t 20k 0%\nD1 dis t DS\n{DIODE}",
    "a diode each way": f"RA vdd dis 3k 0%\nD1 dis a DS\nRC a t 10k 0%\nD2 b dis DS\nRB b t 20k 0%\n{DIODE}",
}
MEASURED = """C9 t 0 100n 0%
.tran 2u 40m 0 2u UIC
.meas tran rise WHEN v(q)=3 RISE=3
.meas tran fall WHEN v(q)=3 FALL=3
.meas tran later WHEN v(q)=3 FALL=4
.meas tran again WHEN v(q)=3 RISE=4
"""


def simulated(netlist: str, folder: Path) -> dict[str, float]:
    """What the simulator's batch run prints of the measurements, s."""
    path = folder / "board.cir"
    path.write_text(netlist, encoding="utf-8")
    run = subprocess.run(
        [str(NGSPICE), "-b", str(path)], capture_output=True, text=True, timeout=60, check=False, cwd=folder
    )
    found = dict(re.findall(r"^(rise|fall|later|again)\s*=\s*(\S+)", run.stdout, re.MULTILINE))
    assert len(found) == 4, run.stdout + run.stderr
    rise, again = float(found["rise"]), float(found["again"])
    fall = next(t for t in (float(found["fall"]), float(found["later"])) if t > rise)
    return {"high": fall - rise, "low": again - fall}


@pytest.mark.parametrize("case", CASES)
def test_times_agree_with_the_transient_run(case: str, tmp_path: Path) -> None:
    """High and low time within 0.02 %, linear networks and diodes of an exponential model alike."""
    netlist = f"V1 vdd 0 6\nXU1 vdd q dis t cv t 0 T14\n{CASES[case]}{MEASURED}{BODY}"
    seen = simulated(f"a board of a test\n{netlist.replace(' 0%', '')}.end\n", tmp_path)
    board = book(netlist, PART)
    for name in ("high", "low"):
        assert span(board, f"timing.{name}").nominal == pytest.approx(seen[name], rel=2e-4), name


def test_leakage_agrees_with_the_transient_run(tmp_path: Path) -> None:
    """A threshold pin that takes 2 uA is the far end of a part whose leakage is 2 uA of either sign."""
    netlist = f"V1 vdd 0 6\nXU1 vdd q dis t cv t 0 T14\n{CASES['plain']}{MEASURED}{BODY}"
    leaking = netlist.replace("C1 state", "I9 thr gnd 2u\nC1 state").replace(" 0%", "")
    seen = simulated(f"a board of a test\n{leaking}.end\n", tmp_path)
    board = book(netlist, f'{PART}input.threshold = {{ leakage = "2uA" }}\n')
    assert span(board, "timing.high").high == pytest.approx(seen["high"], rel=2e-4)
    assert span(board, "timing.low").low == pytest.approx(seen["low"], rel=2e-4)
