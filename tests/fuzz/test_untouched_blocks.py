"""A line that goes wrong loses nothing of the blocks that it does not touch.

A board of two blocks that share ground alone. One line of the first is replaced by any text of one line
that is neither a card (`.`), nor the continuation of the line before (`+`), nor a statement about the board
(`*@`), nor left open (a backslash at its end), and that names nothing of the second block. All that is judged
of the second block must come out as before: verdicts, messages, what is missing. The kinds of line left out
change what other lines mean; what they open or close is a trouble of its own. Control characters are left
out too: a file with a NUL is refused as a whole.
"""

import re
from collections.abc import Sequence

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from drc.judge.model import Assessment
from tests.judge.boards import assessed

OWN = (
    "V1 va 0 3.3",
    "C1 va 0 100n",
    "R1 va cfga 20k",
    "R2 cfga 0 13.7k",
    "R3 rta 0 100k",
    "XU1 va cfga outa 0 rta va HA10",
    "R4 outa 0 10k",
)
OTHER = (
    "V2 vb 0 3.3",
    "C2 vb 0 100n",
    "R5 vb cfgb 20k",
    "R6 cfgb 0 13.7k",
    "R7 rtb 0 47k",
    "XU2 vb cfgb outb 0 rtb vb HA10",
    "R8 outb 0 47",
)
STATED = (
    "*@ ambient 0degC .. 50degC",
    "*@ assume R* tolerance 1%, tempco 100ppm",
    "*@ expect XU1 frequency 8kHz +/- 6%",
    "*@ expect XU2 frequency 8kHz +/- 6%",
)
_NAMES = re.compile(r"\b(v2|c2|r[5678]|xu2|vb|cfgb|rtb|outb)\b", re.IGNORECASE)
_WORDS = st.sampled_from(
    [
        *sorted({word for line in OWN for word in line.split()}),
        *"{}('=0$;?",
        "tol=1%",
        "tc=1,2",
        "1e999",
        "-1",
    ]
)
_ANY = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), max_size=12)
LINES = st.lists(st.one_of(_WORDS, _ANY), max_size=9).map(" ".join)


def judged(line: str, at: int) -> Assessment:
    """The board with one of the first block's lines replaced."""
    own = (*OWN[:at], line, *OWN[at + 1 :])
    return assessed("\n".join(("two blocks", *STATED, *own, *OTHER, ".end", "")))


def of_other(found: Assessment) -> tuple[Sequence[object], Sequence[object]]:
    """All that is judged of the second block."""
    findings = [
        (f.rule, f.verdict, f.level, f.message, f.missing) for f in found.findings if f.block == "XU2"
    ]
    return sorted(findings), sorted(e for e in found.tally if e.subject.startswith("XU2"))


BEFORE = of_other(judged(OWN[0], 0))


def test_there_is_something_to_lose() -> None:
    """The second block has findings of its own, and passes."""
    findings, tally = BEFORE
    assert len(findings) >= 2
    assert len(tally) > 20


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(LINES, st.integers(0, len(OWN) - 1))
def test_a_line_that_goes_wrong_loses_nothing_of_other_blocks(line: str, at: int) -> None:
    """Verdicts, messages and what is missing of the untouched block stay, whatever the line holds."""
    assume(not line.lstrip().startswith((".", "+", "*@")) and not line.rstrip().endswith("\\"))
    assume(not _NAMES.search(line))
    assert of_other(judged(line, at)) == BEFORE
