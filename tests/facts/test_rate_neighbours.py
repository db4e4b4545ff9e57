"""What else hangs on a rate pin, and parts that lead nowhere; by hand."""

import pytest

from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

OPEN_SOURCE = (
    PLAIN
    + '\n[part.PL1S]\nlike = "PL1"\noutput = { kind = "open-source", source = "8mA", resistance = "25ohm" }\n'
)
MODELS = ".model QN npn(is=1e-14 bf=100)\n.model QP pnp(is=1e-14 bf=100)\n.model DX d(is=1e-12)\n"
SECOND = "R6 rt2 0 100k\nR7 vdd cfg2 22k\nR8 cfg2 0 10k\nXU2 vdd cfg2 {out} 0 {rate} vdd {part}\n"
BARE = CENTRED.replace("R3 rt 0 100k tol=1%\n", "")


def of_rate(lines: str, name: str, board: str = CENTRED) -> object:
    """A fact about the rate pin of the first block."""
    return fact(book(f"{board}{MODELS}{lines}\n", OPEN_SOURCE), name).value


def test_two_rate_pins_in_one_network_share_it() -> None:
    """Straight or behind a resistor; a block with a network of its own shares nothing."""
    assert of_rate(SECOND.format(out="o2", rate="rt", part="PL1"), "rate.shared") == "XU2"
    far = SECOND.format(out="o2", rate="far", part="PL1") + "R9 far rt 47k"
    assert of_rate(far, "rate.shared") == "XU2"
    assert of_rate(SECOND.format(out="o2", rate="rt2", part="PL1"), "rate.shared") == "none"


@pytest.mark.parametrize(
    ("lines", "amperes"),
    [
        ("", 0),
        ("D9 0 rt DX", 50e-9),
        ("D9 0 rt DX\nD8 rt vdd DX", 100e-9),
        ("R9 rt far 10k\nD9 0 far DX", 50e-9),
        ("R9 rt far 10k\nXU2 vdd far o2 0 rt2 vdd PL1\nR6 rt2 0 100k", 20e-9),
        ("C9 rt 0 1n", 0),
    ],
)
def test_leakage_on_the_rate_network(lines: str, amperes: float) -> None:
    """50 nA a semiconductor (common practice, no source) and 20 nA of another block's strap pin."""
    of = book(f"{CENTRED}{MODELS}{lines}\n", OPEN_SOURCE)
    assert span(of, "rate.leakage").high == pytest.approx(amperes)


def test_a_semiconductor_that_is_not_fitted_leaks_nothing() -> None:
    """What is on the drawing alone is no load."""
    of = book(f"{CENTRED}{MODELS}D9 0 rt DX\n", PLAIN, "fit D9 no")
    assert span(of, "rate.leakage").high == 0


@pytest.mark.parametrize(
    ("board", "lines", "source"),
    [
        (BARE, "D9 far rt DX\nR9 far vdd 10k", "D9"),
        (CENTRED, "D9 far rt DX\nR9 far vdd 10k", "none"),
        (BARE, "Q9 vdd b rt QN\nR9 b 0 10k", "Q9"),
        (BARE, "Q9 vdd b x QN\nR9 b 0 10k\nR8 x rt 10k", "Q9"),
        (CENTRED, "Q9 vdd b rt QN\nR9 b 0 10k", "none"),
        (BARE, SECOND.format(out="far", rate="rt2", part="PL1S") + "R9 far rt 100k", "XU2"),
        (BARE, SECOND.format(out="far", rate="rt2", part="PL1") + "R9 far rt 100k", "none"),
    ],
)
def test_a_source_that_cannot_sink(board: str, lines: str, source: str) -> None:
    """A diode towards the pin, a follower's emitter, an open source: where no resistor leads elsewhere."""
    assert of_rate(lines, "steering.one_way", board) == source


@pytest.mark.parametrize(
    ("lines", "intent", "net"),
    [
        ("", "", "none"),
        ("R9 out far 1k", "", "far"),
        ("C9 cfg far 1n", "", "far"),
        ("D9 out far DX", "", "far"),
        ("R9 out far 1k\nR8 far 0 1k", "", "none"),
        ("R9 out far 1k", "signal far 0V .. 4V", "none"),
        ("R9 out far 1k", "supply far 5V", "none"),
        ("R9 out far 1k", "load far 1mA", "none"),
        ("R9 out far 1k", "same far other", "none"),
        ("R9 out far 1k", "fit R9 no", "none"),
        ("V9 out far 0", "", "none"),
        ("R9 vdd far 1k", "", "none"),
    ],
)
def test_a_part_that_leads_nowhere(lines: str, intent: str, net: str) -> None:
    """The far end of a part on a block's pin has nothing else on it, and no statement speaks of it."""
    of = book(f"{CENTRED}{MODELS}{lines}\n", PLAIN, intent)
    assert fact(of, "block.lonely_net").value == net


def test_a_block_without_a_rate_pin_has_no_neighbours() -> None:
    """The missing pin is named."""
    bare = PLAIN.replace('"ground", "rate", "enable"]', '"ground", "nc", "enable"]')
    for name in ("rate.shared", "rate.leakage"):
        assert unknown(book(CENTRED, bare), name).missing == ("XU1 rate pin",)
