"""Outputs on one net: which are joined, which drive the same way, which fight, and what each may deliver."""

import pytest

from drc.facts.book import Book
from drc.facts.dependence import Dependence
from drc.facts.model import Fact, Unknown
from drc.facts.parallel import paralleled, rivals
from drc.facts.rails import block_rails, ground_voltage, own_rails, supply_voltage
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import block, book, fact, span, unknown

OPEN = 'output = { kind = "open-source", source = "8mA", resistance = "25ohm" }'
FILE = f'{PLAIN}\n[part.PL1S]\nlike = "PL1"\n{OPEN}\n[part.PLM]\nlike = "PL1"\nfunction = "slow-oscillator"\n'
BESIDE = """XU{n} vdd {cfg} {out} {gnd} {rate} {en} {part}
R8{n} r{n} 0 100k
R7{n} vdd c{n} 22k
R6{n} c{n} 0 10k
"""


def beside(number: int, part: str, out: str = "out", **pins: str) -> str:
    """Another block with a strap and a timing resistor of its own, but for the pins given."""
    own = {"cfg": f"c{number}", "rate": f"r{number}", "en": "vdd", "gnd": "0", **pins}
    return BESIDE.format(n=number, part=part, out=out, **own)


def board(lines: str, part: str = "PL1", intent: str = "") -> Book:
    """The centred board with more on its output."""
    return book(CENTRED.replace("PL1", part) + lines, FILE, intent)


@pytest.mark.parametrize(
    ("parts", "fights"),
    [
        (("PL1", "PL1"), True),
        (("PL1D", "PL1D"), False),
        (("PL1D", "PL1D", "PL1D"), False),
        (("PL1S", "PL1S"), False),
        (("PL1S", "PL1D"), True),
        (("PL1D", "PL1S"), True),
        (("PL1", "PL1D"), True),
        (("PL1D", "PL1"), True),
        (("PL1D", "PL1D", "PL1"), True),
    ],
)
def test_outputs_that_pull_one_way_alone_do_not_fight(parts: tuple[str, ...], fights: bool) -> None:
    """Open drains together are a wired function, and so are open sources; any other two may fight."""
    others = "".join(beside(n, part) for n, part in enumerate(parts[1:], 2))
    found = fact(board(others, parts[0]), "output.contention")
    assert found.value is fights
    named = ", ".join(f"XU{n}" for n in range(2, len(parts) + 1))
    assert found.law == f"{named} also drives out"


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ("", ()),
        (beside(2, "PL1"), ("XU2",)),
        (beside(3, "PL1") + beside(2, "PL1"), ("XU2", "XU3")),
        (beside(2, "PL1", "o2") + "R9 o2 out 0\n", ("XU2",)),
        (beside(2, "PL1", "o2") + "R9 o2 out 1\n", ()),
        (beside(2, "PL1", "o2", en="out"), ()),
        ("X9 out 0 MYSTERY\n", ()),
    ],
)
def test_which_outputs_are_joined(lines: str, found: tuple[str, ...]) -> None:
    """Without resistance, by path, never itself; another block's input is no output."""
    of = board(lines)
    assert tuple(each.path for each in rivals(of, block(of))) == found
    assert fact(of, "output.contention").value is bool(found)


@pytest.mark.parametrize(
    ("part", "pins", "alike"),
    [
        ("PL1", {}, True),
        ("PL1D", {}, True),
        ("PLM", {}, False),
        ("PL1", {"cfg": "c2"}, False),
        ("PL1", {"rate": "r2"}, False),
        ("PL1", {"en": "0"}, False),
        ("PL1", {"gnd": "g"}, False),
    ],
)
def test_which_blocks_drive_the_same_way(part: str, pins: dict[str, str], alike: bool) -> None:
    """Of one function, and every pin but the output on the same net."""
    of = board(beside(2, part, "o2", **{"cfg": "cfg", "rate": "rt", **pins}) + "V8 g 0 0\n")
    assert paralleled(block(of), block(of, "XU2")) is alike
    assert paralleled(block(of, "XU2"), block(of)) is alike


def test_a_part_of_more_pins_is_not_alike() -> None:
    """A reset that the other has not; an unconnected pin on another net does not matter."""
    pins = '["supply", "strap", "output", "ground", "rate", "enable", "LAST"]'
    file = f'{FILE}[part.PLR]\nlike = "PL1"\npins = {pins}\n'
    lines = beside(2, "PLR", cfg="cfg", rate="rt").replace("vdd PLR", "vdd x PLR")
    reset = book(CENTRED + lines, file.replace("LAST", "reset"))
    assert paralleled(block(reset), block(reset, "XU2")) is False
    assert paralleled(block(reset, "XU2"), block(reset)) is False
    both = (CENTRED + lines).replace("vdd PL1\n", "vdd y PLR\n")
    idle = book(both, file.replace("LAST", "nc"))
    assert paralleled(block(idle), block(idle, "XU2")) is True
    held = book(both, file.replace("LAST", "reset"))
    assert paralleled(block(held), block(held, "XU2")) is False


def test_paralleled_halves_share_the_load_and_others_do_not() -> None:
    """A half that drives along is left out of the load; an output that drives its own way is part of it."""
    along = beside(2, "PL1", cfg="cfg", rate="rt")
    load = "R9 out 0 375 tol=0%\n"
    assert span(board(along + load), "output.source").middle == pytest.approx(10e-3)
    assert fact(board(along), "output.contention").value is False
    assert fact(board(along), "output.contention").law == "no other output is on its net"
    three = board(along + beside(3, "PL1") + load)
    assert fact(three, "output.source").span is None
    assert fact(three, "output.contention").law == "XU3 also drives out"


def test_an_open_button_takes_nothing_and_a_part_that_nobody_knows_is_named() -> None:
    """A button of two pins is open; one of three, or another part, leaves the current unknown."""
    assert span(board("SW1 out 0 BUTTON\nR9 out 0 375 tol=0%\n"), "output.source").middle == pytest.approx(
        10e-3
    )
    assert unknown(board("SW1 out 0 x BUTTON\n"), "output.source").missing == ("SW1",)
    assert unknown(board("SW1 out 0 BUTTON\nX9 out 0 OTHER\n"), "output.source").missing == ("X9",)


@pytest.mark.parametrize("name", ["output.source", "output.sink", "output.capacitance"])
def test_a_block_without_an_output_pin_names_it(name: str) -> None:
    """Nothing is delivered, tied or fought over."""
    of = book(CENTRED, PLAIN.replace('"strap", "output"', '"strap", "nc"', 1))
    assert unknown(of, name).missing == ("XU1 output pin",)
    assert fact(of, "output.tied").value is False
    assert fact(of, "output.contention").value is False


RATED = 'kind = "push-pull", source = "{}mA", sink = "{}mA", resistance = "25ohm", capacitance = "{}nF"'


def rows(*figures: tuple[int, int, int], supplies: tuple[str, ...] = ("2V .. 3V", "3V .. 5V")) -> str:
    """A part whose output has rows by supply."""
    given = [
        f'{{ {RATED.format(*row)}, at_supply = "{supply}" }}'
        for row, supply in zip(figures, supplies, strict=True)
    ]
    old = '{ kind = "push-pull", source = "10mA", sink = "8mA", resistance = "25ohm" }'
    assert old in PLAIN
    return PLAIN.replace(old, f"[ {', '.join(given)} ]", 1)


def test_the_least_of_rows_is_the_rating() -> None:
    """Of source, sink and capacitance apart; the last is not by supply; from the part file."""
    of = book(CENTRED, rows((6, 9, 3), (10, 4, 2)), "supply vdd 2.5V .. 4V")
    for name, least in (("source_rated", 6e-3), ("sink_rated", 4e-3), ("capacitance_rated", 2e-9)):
        found: Fact = fact(of, f"output.{name}")
        assert found.span is not None
        assert (found.span.low, found.span.middle, found.span.high) == pytest.approx((least,) * 3)
        assert found.inputs[0].origin == "part file"
    at_once = book(CENTRED, rows((6, 9, 3), (10, 4, 2)), "supply vdd 4V")
    assert span(at_once, "output.source_rated").middle == pytest.approx(10e-3)
    assert span(at_once, "output.capacitance_rated").middle == pytest.approx(2e-9)


def test_one_row_without_a_figure_leaves_the_rating_open() -> None:
    """What a row does not give is not taken from the other."""
    for key, name in (
        ("source", "source_rated"),
        ("sink", "sink_rated"),
        ("capacitance", "capacitance_rated"),
    ):
        file = rows((6, 9, 3), (10, 4, 2))
        start = file.index(f"{key} = ", file.index("at_supply"))
        gap = file[:start] + file[file.index(", ", start) + 2 :]
        of = book(CENTRED, gap, "supply vdd 2.5V .. 4V")
        assert unknown(of, f"output.{name}").missing == (f"PL1 output {name.removesuffix('_rated')}",)


def test_a_rating_that_is_not_by_supply_needs_none() -> None:
    """Without a supply one row alone still holds; rows by supply name it, also where only one of two is."""
    dark = CENTRED.replace("V1 vdd 0 4\n", "")
    assert span(book(dark, PLAIN), "output.source_rated").middle == pytest.approx(10e-3)
    assert span(book(dark, PLAIN), "output.sink_rated").middle == pytest.approx(8e-3)
    mixed = rows((6, 9, 3), (10, 4, 2)).replace(', at_supply = "3V .. 5V"', "")
    for name in ("output.source_rated", "output.sink_rated"):
        assert unknown(book(dark, mixed), name).missing == ("voltage of vdd",)
    assert span(book(CENTRED, mixed, "supply vdd 2V .. 6V"), "output.source_rated").middle == pytest.approx(
        6e-3
    )


def test_what_a_block_stands_on_is_named_where_it_is_not_known() -> None:
    """No ground pin, a ground of two levels, no supply pin, a supply of two levels."""
    groundless = book(CENTRED, PLAIN.replace('"output", "ground"', '"output", "nc"', 1))
    found = ground_voltage(groundless, block(groundless))
    assert isinstance(found, Unknown)
    assert found.missing == ("ground.connected",)
    moving = book(CENTRED.replace("out 0 rt", "out g rt") + "V8 g 0 PULSE(0 1 0 1u 1u 1m 2m)\n", PLAIN)
    found = ground_voltage(moving, block(moving))
    assert isinstance(found, Unknown)
    assert found.missing == ("voltage of g",)
    dark = PLAIN.replace('pins     = ["supply"', 'pins     = ["nc"', 1)
    assert dark != PLAIN
    supplyless = book(CENTRED, dark)
    both = book(CENTRED.replace("out 0 rt", "out g rt"), dark)
    for of, missing in ((supplyless, ("supply.voltage",)), (both, ("ground.connected",))):
        for rails in (block_rails(of, block(of)), supply_voltage(of, block(of))):
            assert isinstance(rails, Unknown)
            assert rails.missing == missing


def test_both_rails_that_are_not_known_are_named_together() -> None:
    """The supply's reason and the ground's."""
    of = book(CENTRED.replace("out 0 rt", "out g rt").replace("V1 vdd 0 4\n", ""), PLAIN)
    rails = block_rails(of, block(of))
    assert isinstance(rails, Unknown)
    assert rails.missing == ("voltage of vdd", "ground.connected")
    assert unknown(of, "rate.current").missing[-1] == "ground.connected"


def test_the_rails_of_a_block_and_what_stands_before_its_filter() -> None:
    """Supply, ground and the far end of a filter resistor, each by the name of what holds it."""
    lifted = CENTRED.replace("out 0 rt", "out g rt") + "V8 g 0 0\n"
    plain = book(lifted, PLAIN)
    assert own_rails(plain, block(plain)) == {"vdd", "0"}
    filtered = book(CENTRED.replace("V1 vdd 0 4", "V1 vin 0 4\nR9 vin vdd 10"), PLAIN)
    assert {"vin", "0"} <= own_rails(filtered, block(filtered))
    groundless = book(CENTRED, PLAIN.replace('"output", "ground"', '"output", "nc"', 1))
    assert own_rails(groundless, block(groundless)) == {"vdd"}
    supplyless = book(CENTRED, PLAIN.replace('pins     = ["supply"', 'pins     = ["nc"', 1))
    assert own_rails(supplyless, block(supplyless)) == {"0"}


def test_the_supply_is_between_the_block_s_own_pins() -> None:
    """5 V less 1 V."""
    of = book(CENTRED.replace("out 0 rt", "out g rt").replace("vdd 0 4", "vdd 0 5") + "V8 g 0 1\n", PLAIN)
    volts = supply_voltage(of, block(of))
    assert isinstance(volts, Dependence)
    assert volts.nominal == 4
