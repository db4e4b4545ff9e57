"""Random boards, one maker's part swapped for the other's: restored, or truly beyond the part's reach."""

from math import log

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.repair.bench import judged, made, restored, want
from tests.repair.by_hand import PAIRS, QUANTITY, SHEETS, VALUES, Sheet, value

WIDTH = 0.06
RESISTOR = 0.01 + 100e-6 * 25
"""Spread of a resistor: 1 % and 100 ppm/K over 25 K."""

SWAPS = [pair for pair in (*PAIRS, *((new, old) for old, new in PAIRS)) if "30" not in pair[0]]


def _pair(sheet: Sheet, code: int) -> tuple[float, float]:
    """Two values between 10 kohm and 330 kohm whose ratio is nearest to the middle of a code."""
    few = [v for v in VALUES[::3] if 10e3 <= v <= 330e3]
    centre = (code + 0.5) / sheet.levels
    return min(((u, w) for u in few for w in few), key=lambda p: abs(p[1] / (p[0] + p[1]) - centre))


def _nearest(sheet: Sheet, seconds: float, inverted: bool) -> float:
    """The least departure, as a logarithm, that any row and any preferred value within ratings leaves."""
    values = [v for v in VALUES if sheet.ohms[0] <= v <= sheet.ohms[1]]
    return min(
        (
            abs(log(sheet.seconds(prescale, ohm) / seconds))
            for prescale, turned in sheet.rows.values()
            if turned == inverted
            for ohm in values
        ),
        default=9.0,
    )


def _rules(board: str) -> set[str]:
    """The rules that a fresh review finds broken."""
    return {finding.rule for finding in judged(board).findings if finding.level != "note"}


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(SWAPS), st.data())
def test_swap_is_restored_or_truly_out_of_reach(swap: tuple[str, str], data: st.DataObject) -> None:
    """Whatever time a board makes, after the swap a fresh review meets it over spans and by hand it is the
    wanted one; or no row of the new part's table with any preferred value comes near enough."""
    old, new = swap
    was, now = SHEETS[old], SHEETS[new]
    code = data.draw(st.sampled_from(sorted(was.rows)))
    rate = data.draw(st.sampled_from([v for v in VALUES if was.ohms[0] * 1.05 <= v <= was.ohms[1] * 0.95]))
    prescale, inverted = was.rows[code]
    seconds = was.seconds(prescale, rate)
    upper, lower = _pair(was, code)
    quantity, polarity = QUANTITY[was.last], "inverted" if inverted else "normal"
    board = was.board(old, f"{upper / 1e3:g}k", f"{lower / 1e3:g}k", f"{rate / 1e3:g}k")
    after = board.replace(f" {old}\n", f" {new}\n")
    wanted = f"{seconds:.9g}s +/- {100 * WIDTH:g}%"
    found = restored(board, after, want("XU1", quantity, wanted), want("XU1", "polarity", polarity))
    least = _nearest(now, seconds, inverted)
    room = log(1 + WIDTH) - RESISTOR - now.wide(seconds)
    if found.lacking:
        assert least > room - 0.004, found.lacking
        return
    text = made(after, found.edits)
    stated = f"*@ expect XU1 {quantity} {wanted}\n*@ expect XU1 polarity {polarity}\n.end"
    assert _rules(text.replace(".end", stated)) <= _rules(board)
    prescale, turned = now.rows[now.code(value(text, "R1"), value(text, "R2"))]
    assert turned == inverted
    assert abs(log(now.seconds(prescale, value(text, "R3")) / seconds)) < room + 0.02
