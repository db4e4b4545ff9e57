"""Facts of random boards round a timing block against a simulator's operating point of the same text.

The part is a subcircuit: its rate pin a source, its output driven high behind a resistance, its strap pin
open. The simulator runs that body; here the part is known by its part file. Outside reference: ngspice.
"""

from pathlib import Path

import numpy as np
import pytest

from drc.facts.book import Book
from tests.facts.timing_boards import book, span
from tests.outside.operating_point import SIMULATOR, WHY_SKIPPED, operating_points
from tests.outside.random_boards import Draft

pytestmark = pytest.mark.skipif(SIMULATOR is None, reason=WHY_SKIPPED)

BOARDS = 120
PART = """
[part.T15]
title = "test part"
source = "this test"
function = "oscillator"
pins = ["supply", "strap", "output", "ground", "rate"]
supply = { rated = "2.0V .. 6.0V", limit = "7V" }
rate = { voltage = "0.6V", current = "1uA .. 20uA", resistance = "25kohm .. 500kohm", law = "current" }
timing = { period = "2us", at_current = "20uA", at_supply = "3.0V", error = "1%" }
strap = { levels = 8, threshold_error = "0.5%", read = "once" }
codes = [{ code = 0, prescale = 1 }]
output = { kind = "push-pull", source = "20mA", sink = "20mA", resistance = "25ohm" }
"""
BODY = [
    ".subckt T15 vs cfg q gnd rt",
    "VR rt gnd 0.6",
    "RO vs q 25",
    ".ends",
]


def scattered(draft: Draft, ends: list[str], inner: list[str], low: float, high: float) -> None:
    """Resistors that tie inner nodes to the ends and to each other, every one of them at least twice."""
    for k, node in enumerate(inner):
        others = ends + inner[:k]
        for other in draft.rng.choice(others, 2, replace=len(others) < 2):
            draft.resistor(str(other), node, low, high)
    for _ in range(int(draft.rng.integers(0, 3))):
        a, b = draft.rng.choice(inner + ends, 2, replace=False)
        if a in inner or b in inner:
            draft.resistor(str(a), str(b), low, high)


def block_board(rng: np.random.Generator, title: str) -> str:
    """A block with a strap and a rate network, a steering source, filters, a link, and a load."""
    draft = Draft(rng, title)
    draft.lines += BODY
    draft.add("V1", "vdd", "0", float(rng.uniform(2.5, 5.5)))
    draft.add("V2", "vctl", "0", float(rng.uniform(0.0, 1.2)))
    draft.add("XU1", "vdd", "cfg", "out", "0", "rt", "T15")
    scattered(draft, ["vdd", "0"], ["s1", "cfg"] if rng.random() < 0.5 else ["cfg"], 3.0, 6.0)
    scattered(draft, ["0", "vctl"], ["r1", "rt"] if rng.random() < 0.5 else ["rt"], 4.0, 5.5)
    draft.add("C1", "cfg", "0", "10n")
    draft.add("R90", "out", "load", float(10 ** rng.uniform(2.3, 4)))
    if rng.random() < 0.5:
        draft.add("D1", "load", "0", "LED")
        draft.lines.append(".model LED D(IS=1e-20 N=2 RS=1)")
    else:
        draft.add("R91", "load", "0", 100.0)
    return draft.text()


def test_strap_rate_and_load_agree_with_the_simulator(tmp_path: Path) -> None:
    """Ratio, rate current and a resistive load's current agree within 1e-6; an LED's within 5 %."""
    rng = np.random.default_rng(15)
    paths = [tmp_path / f"board{k}.cir" for k in range(BOARDS)]
    for path in paths:
        path.write_text(block_board(rng, path.stem), encoding="ascii")
    for path, theirs in zip(paths, operating_points(paths, tmp_path), strict=True):
        text = path.read_text(encoding="ascii")
        of = book(text.partition("\n")[2].replace(".end\n", ""), PART)
        compare(of, theirs, led="LED" in text)


def compare(of: Book, theirs: dict[str, float], *, led: bool) -> None:
    """One board's nominal facts beside the simulator's figures."""
    rate_a = -theirs["v.xu1.vr#branch"]
    source_a = (theirs["vdd"] - theirs["out"]) / 25
    assert span(of, "strap.ratio").middle == pytest.approx(theirs["cfg"] / theirs["vdd"], rel=1e-6)
    assert span(of, "rate.current").middle == pytest.approx(rate_a, rel=1e-6, abs=1e-12)
    assert span(of, "output.source").middle == pytest.approx(source_a, rel=0.05 if led else 1e-6)
