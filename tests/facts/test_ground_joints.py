"""A ground of its own that a link, a bead or a statement ties to node 0 is ground."""

import pytest

from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span

APART = (
    CENTRED.replace("cfg 0 10k", "cfg ag 10k")
    .replace("rt 0 100k", "rt ag 100k")
    .replace("out 0 rt", "out ag rt")
)


@pytest.mark.parametrize(
    ("link", "intent"),
    [
        ("R9 ag 0 0", ""),
        ("L9 ag 0 1u", ""),
        ("V9 ag 0 0", ""),
        ("R9 ag mid 0\nL9 mid 0 1u", ""),
        ("", "same ag 0"),
    ],
)
def test_a_ground_behind_a_joint_is_ground(link: str, intent: str) -> None:
    """Strap, rate pin and bypass read the same as with everything on node 0."""
    of = book(f"{APART}{link}\nC1 vdd 0 100n\nC2 vdd ag 10n\n", PLAIN, intent)
    straight = book(f"{CENTRED}C1 vdd 0 110n\n", PLAIN)
    for name in ("strap.ratio", "rate.current", "supply.bypass", "timing.frequency"):
        assert span(of, name).nominal == pytest.approx(span(straight, name).nominal), name
    assert fact(of, "strap.ratiometric").value is True
    assert fact(of, "ground.connected").value is True
