"""Inputs that once broke something, cut down to what did: each is told or reviewed, and soon."""

from collections.abc import Sequence
from pathlib import Path
from random import Random
from typing import Any

import pytest

from tests.contract.running import CLEAN
from tests.fuzz.trial import trial

BLOCK = "XU1 VCC CFG OUT 0 RT VCC HA10\n"
TIMER = "XU1 v out d t ctl t v 0 QC12\n"

RAIL = """(edif b (edifVersion 2 0 0) (edifLevel 0) (keywordMap (keywordLevel 0))
 (external P (edifLevel 0) (technology (numberDefinition))
  (cell RES (cellType GENERIC) (view v (viewType NETLIST)
   (interface (port &1 (direction INOUT)) (port &2 (direction INOUT)))))
  (cell HA10 (cellType GENERIC) (view v (viewType NETLIST) (interface
    (port VDD) (port CFG) (port OUT) (port GND) (port RT) (port EN)))))
 (library W (edifLevel 0) (technology (numberDefinition))
  (cell TOP (cellType GENERIC) (view v (viewType NETLIST) (interface)
   (contents
    (instance R1 (viewRef v (cellRef RES (libraryRef P))) (property VALUE (string "10R")))
    (instance I7 (viewRef v (cellRef RES (libraryRef P))) (property Value (string "4k7")))
    (instance U1 (viewRef v (cellRef HA10 (libraryRef P))))
    (net (rename N "+3.3V") (joined (portRef VDD (instanceRef U1)) (portRef &2 (instanceRef R1))
      (portRef EN (instanceRef U1))))
    (net VIN (joined (portRef &1 (instanceRef R1)) (portRef &1 (instanceRef I7))))
    (net GND (joined (portRef GND (instanceRef U1))))
    (net n (joined (portRef RT (instanceRef U1)) (portRef &2 (instanceRef I7))))))))
 (design D (cellRef TOP (libraryRef W))))
"""

BROKEN: dict[str, tuple[str, str]] = {
    "a supply without bound": (
        "netlist",
        "a load on a small resistor\nV1 vdd 0 1e400\nR1 vdd cfg 130k\nR2 cfg 0 68.1k\nR3 rt 0 100k\n"
        "R4 out 0 430/0.05W\nXU1 vdd cfg out 0 rt vdd HA10\n",
    ),
    "one name for a part with a strap and one without": (
        "netlist",
        "two of one name\n*@ expect XU1 frequency 16kHz +/- 5%\nV1 vdd 0 3.3\nR1 vdd cfg 130k\n"
        "XU1 v out t t ctl trig v 0 QC12\nR3 rt 0 107k\nXU1 vdd cfg out 0 rt vdd HA10\n",
    ),
    "one failing block, thirty times over": (
        "netlist",
        "a delay that is wanted on both edges\n*@ expect XU1 delay-rising 4ms +/- 10%\n"
        "*@ expect XU1 delay-falling 4ms +/- 10%\nV1 vdd 0 3.3\nR1 vdd cfg 130k\nR2 cfg 0 68.1k\n"
        "R3 rt 0 100k\n" + "R4 din 0 47k\nXU1 vdd cfg out 0 rt din HA50\n" * 30,
    ),
    "one board, three hundred times over": (
        "netlist",
        "t\nV1 vdd 0 3.3\nC1 vdx 0 100n\nR1 vdd cfg 130k\nR2 cfg 0 68.1k\nR3 rt 0 100k\n,t\n"
        "XU1 vdd cfg out 0 rt vdd HA10\n" * 300,
    ),
    "one delay and its resistors, two thousand times over": (
        "netlist",
        "t\n*@ signal din period 20ms, high 3.8ms\nV1 vdd 0 3.3\nR1 vdd cfg 130k\n"
        + "R2 cfg 0 68.1k\nR3 rt 0 100k\nR4 din 0 47k\nXU1 vdd cfg out 0 rt din HA50\n" * 2000,
    ),
    "a strap resistor near the largest number": (
        "netlist",
        "t\n*@ expect XU1 frequency 16kHz +/- 5%\nV1 vdd 0 3.3\nR1 vdd cfg 1e308\nR2 cfg 0 68.1k\n"
        "R3 rt 0 107k\nXU1 vdd cfg out 0 rt vdd HA10\n",
    ),
    "a block on a line of two thousand nodes": (
        "netlist",
        "t\n*@ expect XU1 delay-rising 4ms +/- 10%\nV1 vdd 0 3.3\nR1 vdd cfg 130k\nR2 cfg 0 68.1k\n"
        "R3 rt 0 100k\nR4 din 0 47k\n" + ",".join(["XU1 vdd cfg out 0 rt din HA50"] * 300) + "\n",
    ),
    "a range of designators beyond counting": (
        "bill of materials",
        "Reference,Value\nR1-R99999999999999999999,1k\n",
    ),
    "a last line of four hundred blanks": ("netlist", CLEAN.replace(".end\n", "") + " " * 400),
    "known findings of a board whose name no file can have": (
        "known findings",
        '{"schema": "tickproof-known/1", "findings": [{"fingerprint": "fedcba9876543210", "count": 1, '
        f'"board": "gone.{"cir" * 100}", "rule": "strap-open", "block": "XU1", "message": "open"}}]}}',
    ),
    "a value of digits without end": ("netlist", CLEAN.replace("100k", "1" * 60_000 + "\x01")),
    "a value of letters without end": ("netlist", CLEAN.replace("100k", "1" + "k" * 60_000 + "\x01")),
    "a word without end beside a parameter that nobody gives": (
        "netlist",
        CLEAN.replace("R4 ", f".subckt s a\nR9 a 0 {{nowhere}}\n.ends\nX9 OUT s\n* {'w' * 60_000}\nR4 "),
    ),
    "a list of designators with blanks without end": (
        "bill of materials",
        f"Reference,Value,Tempco\n\"R1{' ' * 60_000}R2\",20k,\"1{' ' * 60_000}x\"\n",
    ),
    "an ambient that leaves no resistance": ("intent", "ambient 0degC .. 5000000000000degC\n"),
    "an ambient below any that there is": ("intent", "ambient -2000000000000000000000degC .. 60degC\n"),
    "a tempco that leaves no resistance": ("intent", "assume R* tempco 100000000000000000000000ppm\n"),
    "the same in a bill of materials": (
        "bill of materials",
        "Reference;Value;Part;Tolerance;Tempco\nR1;20k;;1%;1000000ppm\nXU1;;HA10;;\n",
    ),
    "a resistor with pins 1 and 0": (
        "pin list",
        "ref;pin;net;part;value\nU1;VDD;v;HA10;\nU1;GND;0;HA10;\nU1;RT;n;HA10;\nR1;1;n;;100k\nR1;0;0;;\n",
    ),
    "a resistor with pins 1 and 3": (
        "pin list",
        "ref;pin;net;part;value\nU1;VDD;v;HA10;\nU1;GND;0;HA10;\nU1;RT;n;HA10;\nR1;1;n;;100k\nR1;3;0;;\n",
    ),
    "fifty blocks of one name": ("netlist", CLEAN.replace("R4 ", BLOCK * 50 + "R4 ")),
    "forty failing timers of one name": (
        "netlist",
        "t\n*@ expect XU1 period 720us +/- 9.5%\nV1 v 0 9\nC2 v 0 100n\nR1 v d 10k\nR2 d t 47k\nC1 t 0 10n\n"
        + TIMER * 40,
    ),
    "a trimmer that is not there": (
        "intent",
        "expect XU1 frequency 80kHz +/- 6%\nadjust RV1 0ohm .. 10kohm\nadjust RV* 0ohm .. 10kohm\n",
    ),
    "a supply that nothing draws from": ("edif", RAIL),
    "a trimmer adjusted forty times": (
        "intent",
        "expect XU1 frequency 8kHz +/- 6%\n" + "adjust R3 50kohm .. 200kohm\n" * 40,
    ),
}  # fmt: skip
"""What it is, its kind of input, and its text."""


class Fully(Random):
    """Chooses the review with every table written, which asks for every fact: no chance keeps it from one."""

    def random(self) -> float:
        """Half of everything."""
        return 0.5

    def choices(self, population: Sequence[Any], *_: object, **__: object) -> list[Any]:  # type: ignore[override]
        """The second, behind the plain review."""
        return [population[1]]


@pytest.mark.parametrize(("kind", "text"), BROKEN.values(), ids=BROKEN)
@pytest.mark.parametrize("chance", ["review", "1", "2"])
def test_what_once_broke_something_breaks_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, text: str, chance: str
) -> None:
    """The command gives one of its codes and says something, within five seconds of the processor's time."""
    monkeypatch.chdir(tmp_path)
    random = Fully() if chance == "review" else Random(int(chance))
    outcome = trial(kind, text.encode(), random, tmp_path, 30.0)
    assert outcome.code in (0, 1, 2)
    assert not outcome.wrong
