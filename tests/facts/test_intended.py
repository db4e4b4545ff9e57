"""What the expectations of one block ask together: the sign of a control, and the edges to delay."""

import pytest

from drc.facts.book import Book
from drc.facts.model import Fact, Unknown
from tests.judge.boards import book_of

TIMER = "V1 vdd 0 5\nC1 c 0 10n\nC2 vdd 0 100n\nR4 out 0 10k\n{}\nX1 vdd out d c cv c vdd 0 QC12\n"
ON_CONTROL = TIMER.format("R1 vdd d 10k\nR2 d c 47k\nR3 vctl cv 1")
ON_RESISTOR = TIMER.format("R1 vctl d 10k\nR2 d c 47k\nC3 cv 0 10n")
STRAP = "V1 vdd 0 3.3\nR1 vdd cfg 130k\nR2 cfg 0 68.1k\n"
OSCILLATOR = STRAP + "R3 rt vctl 100k\nXU1 vdd cfg out 0 rt vdd HA10\n"
DELAY = STRAP + "R3 rt 0 100k\nR4 din 0 47k\nXU1 vdd cfg out 0 rt din {}\n"


def of(text: str, name: str, *statements: str) -> Fact:
    """A fact of the only block of a board under statements."""
    book: Book = book_of("a board\n" + "".join(f"*@ {each}\n" for each in statements) + text)
    (block,) = book.subjects("block")
    return book.fact(block, name)


def two(what: str, low: str, high: str, net: str = "vctl", levels: str = "0.1 0.3") -> list[str]:
    """Two expectations of a block's quantity at two levels of a net."""
    first, second = levels.split()
    return [
        f"expect {what} {high} when {net} = {second}V",
        f"expect {what} {low} when {net} = {first}V",
    ]


@pytest.mark.parametrize(("low", "high", "way"), [("8", "12", "rises"), ("12", "8", "falls")])
def test_the_way_wanted_is_that_of_the_two_statements(low: str, high: str, way: str) -> None:
    """Whatever the order they are written in, the value at the lower level comes first."""
    wants = two("XU1 frequency", f"{low}kHz +/- 5%", f"{high}kHz +/- 5%")
    assert of(OSCILLATOR, "steering.gain_wanted", *wants).value == way


def test_what_flows_into_a_higher_control_is_less() -> None:
    """I = (V_rate - V_ctl) / R: the frequency falls and the period rises with the control voltage."""
    wants = two("XU1 frequency", "8kHz +/- 5%", "12kHz +/- 5%")
    assert of(OSCILLATOR, "steering.gain", *wants).value == "falls"
    wants = two("XU1 period", "80us +/- 5%", "120us +/- 5%")
    assert of(OSCILLATOR, "steering.gain", *wants).value == "rises"


@pytest.mark.parametrize(("board", "way"), [(ON_CONTROL, "falls"), (ON_RESISTOR, "rises")])
def test_an_rc_timer_turns_either_way(board: str, way: str) -> None:
    """A higher threshold takes longer to reach, a higher feed reaches it sooner: the charging law."""
    wants = two("X1 frequency", "900Hz +/- 5%", "1.2kHz +/- 5%", levels="4 5")
    assert of(board, "steering.gain", *wants).value == way


@pytest.mark.parametrize(
    "wants",
    [
        two("XU1 frequency", "10kHz +/- 20%", "11kHz +/- 20%"),
        two("XU1 frequency", "8kHz +/- 5%", "12kHz +/- 5%")[:1],
        ["expect XU1 frequency 8kHz +/- 5%", "expect XU1 frequency 12kHz +/- 5% when vctl = 0.1V"],
    ],
    ids=["spans that touch", "one statement", "one without a level"],
)
def test_what_does_not_tell_the_way_is_unknown(wants: list[str]) -> None:
    """No way is wanted where the statements leave it open."""
    assert isinstance(of(OSCILLATOR, "steering.gain_wanted", *wants).value, Unknown)


def test_a_level_of_no_net_leaves_the_way_unknown() -> None:
    """The way wanted is known, what the board does is not."""
    wants = two("XU1 frequency", "8kHz +/- 5%", "12kHz +/- 5%", net="nowhere")
    assert of(OSCILLATOR, "steering.gain_wanted", *wants).value == "rises"
    assert isinstance(of(OSCILLATOR, "steering.gain", *wants).value, Unknown)


@pytest.mark.parametrize(
    ("wants", "edges"),
    [
        (["delay-rising 4ms +/- 5%", "delay-falling 4ms +/- 5%"], "both"),
        (["delay-rising 4ms +/- 5%", "delay-falling at most 1us"], "rising"),
        (["delay-falling at least 1ms"], "falling"),
    ],
)
def test_edges_with_a_wanted_delay_are_to_be_delayed(wants: list[str], edges: str) -> None:
    """An upper bound alone asks for no delay."""
    found = of(DELAY.format("HA50"), "delay.edges_wanted", *(f"expect XU1 {each}" for each in wants))
    assert found.value == edges
    assert isinstance(of(DELAY.format("HA50"), "delay.edges_wanted").value, Unknown)


@pytest.mark.parametrize(("part", "edges"), [("HA50", "rising"), ("HA50F", "falling"), ("HA50B", "both")])
def test_the_part_file_says_which_edges_wait(part: str, edges: str) -> None:
    """One variant a kind."""
    assert of(DELAY.format(part), "delay.edges").value == edges
