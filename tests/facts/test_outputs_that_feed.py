"""What an output that feeds another block delivers: high, that block's draw too; low, its network alone."""

import pytest

from tests.facts.chain_boards import block, chained, parts
from tests.facts.timing_boards import span, unknown

DRAW = 'consumption = "2mA"'
FIRST = block("U1", "TO1", "feed", "vdd")
SECOND = block("U2", "TF1", "out", "feed", supply="feed")


def file() -> str:
    """The parts of chains, and an oscillator that draws 2 mA."""
    one = parts()[: parts().index("[part.TS1]")].replace("[part.TO1]", "[part.TF1]")
    return parts() + one.replace('title = "test part"', f'title = "test part"\n{DRAW}')


def test_high_it_carries_what_it_feeds() -> None:
    """2 mA, and what the strap of 40 kohm takes at 3 V less the drop in the output."""
    of = chained(FIRST + SECOND, part_file=file())
    high, low = span(of, "output.source", "XU1"), span(of, "output.sink", "XU1")
    strap = (3 - 20 * 2e-3) / (40e3 + 20)
    assert high.middle == pytest.approx(2e-3 + strap, rel=1e-3)
    assert low.high == pytest.approx(0, abs=1e-9)


def test_what_it_feeds_must_be_known() -> None:
    """A block whose draw no part file gives leaves the high state unknown, not the low one."""
    of = chained(FIRST + SECOND.replace("TF1", "TO1"))
    assert unknown(of, "output.source", "XU1").missing == ("TO1 consumption",)
    assert span(of, "output.sink", "XU1").high == pytest.approx(0, abs=1e-9)
