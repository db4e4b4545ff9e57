"""Rules about nets: every net that a block is on is judged once, by facts of its own."""

from pathlib import Path

from drc.judge.assess import assess
from drc.judge.book import load_rules
from tests.judge.boards import book_of

BOARD = """two oscillators on a rail
*@ supply vdd 3.2V .. 3.4V
V1 vdd 0 3.3
R1 vdd cfg 130k
R2 cfg 0 68.1k
R3 rt 0 100k
R4 rt2 0 100k
R5 out 0 10k
XU1 vdd cfg out 0 rt vdd HA10
XU2 vdd cfg out2 0 rt2 vdd HA10
"""

HOUSE = """
rule house-lonely-net
    title "Every net of a block leads somewhere" for net
    require net.pins >= 2 else error
    say "{net} ends where it begins: {net.pins} pin is on it"
    because "a net of one pin is a slip of the pen" source "house book"
rule house-rail
    title "Rails of timing blocks stay below 3.35 V" for net
    where net.feeds
    require net.voltage <= 3.35V else warning
    say "{net} feeds {net.blocks} blocks at {net.voltage}"
    because "the house says so" source "house book"
"""


def test_nets_of_blocks_are_judged(tmp_path: Path) -> None:
    """A net of one pin is found by name; the rail is judged once for both blocks; the rest passes."""
    (tmp_path / "house.rule").write_text(HOUSE)
    found = assess(book_of(BOARD), load_rules([tmp_path / "house.rule"]))
    own = {(e.rule, e.subject): e.verdict for e in found.tally if e.rule.startswith("house-")}
    assert own["house-lonely-net", "out2"] == "fail"
    assert own["house-lonely-net", "cfg"] == "pass"
    assert own["house-rail", "vdd"] == "at-risk"
    assert own["house-rail", "cfg"] == "not-applicable"
    messages = {f.rule: f.message for f in found.findings}
    assert messages["house-lonely-net"] == "out2 ends where it begins: 1 pin is on it"
    assert messages["house-rail"].startswith("vdd feeds 2 blocks at 3.2 V .. 3.4 V")
