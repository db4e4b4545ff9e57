"""How a part reads the level of an input pin, by its own two levels above its own ground; worked by hand.

The part reads low up to its supply less 3 V and high from its supply less 2 V. It stands on a ground of 1 V
and a rail of 5 V, so that its supply is 4 V, and the levels lie at 2 V and 3 V against node 0.
"""

import pytest

from drc.facts.book import Book
from drc.facts.logic import logic_level
from drc.facts.model import Unknown
from tests.facts.chain_boards import block as chain_block
from tests.facts.chain_boards import chained
from tests.facts.timing_boards import block, book, part

LEVELS = 'low = "supply - 3V", high = "supply - 2V"'
BOARD = """V1 vdd 0 5
V2 g 0 1
XU1 vdd cfg out g rt {net} TL1
RT rt g 100k 0%
RA vdd cfg 30k 0%
RB cfg g 10k 0%
"""


def of(
    lines: str = "", intent: str = "", levels: str = f"input.enable = {{ {LEVELS} }}", net: str = "en"
) -> Book:
    """The board with its enable pin on a net."""
    return book(f"{BOARD.format(net=net)}{lines}\n", part("TL1", "oscillator", "enable", levels), intent)


def read(book: Book) -> str | None:
    """The level that is read, None where it is unknown."""
    found = logic_level(book, block(book), "enable")
    return None if isinstance(found, Unknown) else found


@pytest.mark.parametrize(
    ("volts", "level"),
    [
        ("0V", "low"),
        ("2V", "low"),
        ("2.001V", None),
        ("2.999V", None),
        ("3V", "high"),
        ("5V", "high"),
        ("0V .. 2V", "low"),
        ("3V .. 5V", "high"),
        ("2V .. 3V", "switched"),
        ("0V .. 5V", "switched"),
        ("2.001V .. 3V", None),
        ("2V .. 2.999V", None),
        ("2.001V .. 5V", None),
        ("0V .. 2.999V", None),
    ],
)
def test_the_levels_themselves_belong_to_low_and_high(volts: str, level: str | None) -> None:
    """Certain at either level and beyond it, switched where a span holds both, else not told."""
    assert read(of(intent=f"signal en {volts}")) == level


@pytest.mark.parametrize(
    ("low", "high", "level"),
    [("0", "5", "switched"), ("0", "2", "low"), ("3", "5", "high"), ("0", "2.5", None), ("2.5", "5", None)],
)
def test_a_source_of_two_levels_is_read_at_each(low: str, high: str, level: str | None) -> None:
    """Two states that are read alike are one level; one that is neither leaves all of it unknown."""
    assert read(of(f"V3 en 0 PULSE({low} {high} 0 1u 1u 1m 2m)")) == level


def test_a_pin_on_a_rail_needs_no_levels() -> None:
    """On its own supply it is high, on its ground low, whatever the part file lacks; node 0 is neither."""
    for net, level in (("vdd", "high"), ("g", "low")):
        assert read(of(levels="", net=net)) == level
    assert read(of(levels="", net="0")) is None
    assert read(of(net="0")) == "low"


def test_what_is_stated_to_pulse_is_switched() -> None:
    """A statement of times alone needs no levels; one of volts is read by them."""
    assert read(of(intent="signal en period 1ms", levels="")) == "switched"
    assert read(of(intent="signal en 0V .. 5V", levels="")) is None
    assert read(of("R9 en vdd 10k", "signal en period 1ms")) == "switched"


@pytest.mark.parametrize(
    "levels",
    [
        "",
        'input.enable = { low = "supply - 3V" }',
        'input.enable = { high = "supply - 2V" }',
        "input.enable = {}",
    ],
)
def test_a_part_file_without_both_levels_is_named(levels: str) -> None:
    """Neither end alone will do."""
    found = logic_level(of("V3 en 0 5", levels=levels), block(of("V3 en 0 5", levels=levels)), "enable")
    assert isinstance(found, Unknown)
    assert found.missing == ("TL1 input.enable",)


def test_a_pin_that_a_part_has_not_is_named() -> None:
    """An oscillator without a reset pin."""
    board = of("V3 en 0 5")
    found = logic_level(board, block(board), "reset")
    assert isinstance(found, Unknown)
    assert found.missing == ("reset pin",)


@pytest.mark.parametrize(
    ("gone", "missing"),
    [
        ("V1 vdd 0 5\n", ("voltage of vdd",)),
        ("V2 g 0 1\n", ("ground.connected",)),
        ("V3 en 0 5\n", ("voltage of en",)),
        ("V1 vdd 0 5\nV2 g 0 1\n", ("voltage of vdd", "ground.connected")),
    ],
)
def test_supply_ground_and_pin_are_each_wanted(gone: str, missing: tuple[str, ...]) -> None:
    """Whatever is not known of the three is named."""
    netlist = f"{BOARD.format(net='en')}V3 en 0 5\n".replace(gone, "")
    board = book(netlist, part("TL1", "oscillator", "enable", f"input.enable = {{ {LEVELS} }}"))
    found = logic_level(board, block(board), "enable")
    assert isinstance(found, Unknown)
    assert set(missing) <= set(found.missing)


def test_a_level_between_names_its_net_and_shows_it() -> None:
    """The span that is read as neither stands in the reason."""
    board = of(intent="signal en 2.25V .. 2.5V")
    found = logic_level(board, block(board), "enable")
    assert isinstance(found, Unknown)
    assert found.missing == ("voltage of en",)
    assert "2.25 V .. 2.5 V" in found.because


def test_a_pin_behind_a_transistor_goes_up_and_down() -> None:
    """Its voltage is not solved, yet another block moves it; with nothing before it, it is unknown."""
    way = "R9 tick b 10k\nQ9 t b 0 NS\nR8 vdd t 10k\n"
    second = chain_block("U2", "TO1", "out", "t")
    moved = chained(chain_block("U1", "TO1", "tick", "vdd") + second + way)
    assert logic_level(moved, block(moved, "XU2"), "enable") == "switched"
    alone = chained(second + way)
    assert isinstance(logic_level(alone, block(alone, "XU2"), "enable"), Unknown)


@pytest.mark.parametrize(
    ("second", "missing"),
    [
        (chain_block("U2", "TO1", "out", "tick", supply="v2"), "voltage of v2"),
        (chain_block("U2", "TO1", "out", "tick").replace("out 0 rt", "out g2 rt"), "ground.connected"),
    ],
)
def test_a_pin_that_is_driven_is_not_read_without_both_rails(second: str, missing: str) -> None:
    """Another block moves it, but by which levels it is read is not known."""
    board = chained(chain_block("U1", "TO1", "tick", "vdd") + second)
    found = logic_level(board, block(board, "XU2"), "enable")
    assert isinstance(found, Unknown)
    assert found.missing == (missing,)
