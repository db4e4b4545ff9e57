"""What is told of the nets that timing blocks are on: pins, blocks, voltage; counted by hand."""

from drc.facts.book import Book
from drc.facts.model import Fact, Unknown
from tests.facts.chain_boards import GATES
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book

SECOND = "R4 rt2 0 100k\nXU2 vdd cfg o2 0 rt2 out PL1\n"


def about(of: Book, net: str) -> dict[str, Fact]:
    """Every fact of a net, by the last part of its name."""
    (subject,) = [each for each in of.subjects("net") if each.path == net]
    assert subject.net == net
    names = ("name", "pins", "blocks", "feeds", "voltage")
    return {name: of.fact(subject, f"net.{name}") for name in names}


def counted(of: Book, net: str) -> tuple[float, float]:
    """Pins and blocks."""
    spans = [about(of, net)[name].span for name in ("pins", "blocks")]
    assert all(span is not None and span.low == span.middle == span.high for span in spans)
    return tuple(span.middle for span in spans if span is not None)  # type: ignore[return-value]


def test_every_net_of_a_block_once_in_the_order_of_its_pins() -> None:
    """A net of two blocks, and of two pins of one, is one subject, with the place of the first block."""
    of = book(CENTRED + SECOND, PLAIN)
    subjects = of.subjects("net")
    assert [each.path for each in subjects] == ["vdd", "cfg", "out", "0", "rt", "o2", "rt2"]
    assert {each.kind for each in subjects} == {"net"}
    places = {each.path: each.place for each in subjects}
    first, second = (each.place for each in of.board.blocks)
    assert (places["out"], places["rt2"]) == (first, second)


def test_pins_and_blocks_are_counted() -> None:
    """R1, V1, XU1 twice and XU2 on vdd; a block with two pins counts once, a gate is no timing block."""
    of = book(CENTRED + SECOND + "XG1 out o3 vdd 0 TG1\n", PLAIN + GATES)
    assert counted(of, "vdd") == (6, 2)
    assert counted(of, "cfg") == (4, 2)
    assert counted(of, "out") == (3, 2)
    assert counted(of, "o2") == (1, 1)
    assert counted(of, "rt") == (2, 1)
    assert about(of, "out")["name"].value == "out"


def test_a_net_that_feeds_has_a_supply_pin_on_it() -> None:
    """An enable pin or an output does not count."""
    of = book(CENTRED + SECOND, PLAIN)
    assert {net: about(of, net)["feeds"].value for net in ("vdd", "out", "0", "rt")} == {
        "vdd": True, "out": False, "0": False, "rt": False,
    }  # fmt: skip


def test_the_voltage_of_what_something_holds() -> None:
    """The supply's and ground's; unknown and named where nothing holds the net."""
    of = book(CENTRED + SECOND, PLAIN, "supply vdd 3V .. 5V")
    volts = about(of, "vdd")["voltage"].span
    assert volts is not None
    assert (volts.low, volts.middle, volts.high) == (3, 4, 5)
    ground = about(of, "0")["voltage"].span
    assert ground is not None
    assert ground.high == 0
    loose = about(of, "cfg")["voltage"].value
    assert isinstance(loose, Unknown)
    assert loose.missing == ("voltage of cfg",)
    dark = about(book(CENTRED.replace("V1 vdd 0 4\n", ""), PLAIN), "vdd")["voltage"].value
    assert isinstance(dark, Unknown)
    assert dark.missing == ("voltage of vdd",)


def test_a_fact_of_a_net_that_takes_levels_is_told_by_cases() -> None:
    """A source of two levels on the enable pin."""
    of = book(CENTRED.replace("rt vdd PL1", "rt en PL1") + "V9 en 0 PULSE(0 4 0 1u 1u 1m 2m)\n", PLAIN)
    value = about(of, "en")["voltage"].value
    assert [case.value.middle for case in value.cases] == [0, 4]  # type: ignore[union-attr]
