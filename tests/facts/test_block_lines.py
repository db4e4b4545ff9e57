"""What is told of a block as a whole, of the board and its lines, with law and evidence; worked by hand."""

import pytest

from drc.circuit.spread import Cause
from drc.facts.ambient import ambient
from drc.facts.book import Book
from drc.facts.bypass import bypass_capacitors, merged_rail
from drc.facts.catalogue import BY_NAME
from drc.facts.contacts import is_button, is_plug, open_contact
from drc.facts.model import Fact, Input, Subject, Unknown
from drc.facts.options import FactOptions
from drc.quantity.span import Span
from drc.quantity.unit import CELSIUS, FARAD, RATIO, SECOND, VOLT
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import block, book, fact, span, unknown

BARE = PLAIN.replace('"supply", "strap", "output", "ground"', '"nc", "strap", "output", "nc"')


def centred(
    lines: str = "", intent: str = "", part_file: str = PLAIN, options: FactOptions | None = None
) -> Book:
    """The centred board at 4 V and more."""
    return book(f"{CENTRED}{lines}\n", part_file, intent, options)


def test_a_block_is_told_by_part_function_and_how_it_was_found() -> None:
    """As names, without any law."""
    of = centred()
    for name, value in (("block.part", "PL1"), ("block.function", "oscillator"), ("block.found_by", "part")):
        assert fact(of, name) == Fact(name, value)
        assert BY_NAME[name].kind == "name"
        assert BY_NAME[name].subject == "block"


@pytest.mark.parametrize(
    ("intent", "named"),
    [
        ("", False),
        ("expect XU1 frequency 1kHz", True),
        ("expect xu* frequency 1kHz", True),
        ("expect XU2 frequency 1kHz", False),
        ("expect XU2 rest low\nexpect XU1 rest low", True),
        ("supply vdd 4V", False),
    ],
)
def test_a_block_is_intended_where_an_expectation_names_it(intent: str, named: bool) -> None:
    """Whatever it expects."""
    assert fact(centred(intent=intent), "block.intended") == Fact(
        "block.intended", named, "an expect statement names the block"
    )


GROUND_LAW = "the ground pin is on node 0 or joined to it without resistance"


def test_whether_a_block_stands_on_ground() -> None:
    """On node 0, joined to it, or held; with the evidence of what holds it."""
    straight = fact(centred(), "ground.connected")
    assert (straight.value, straight.law) == (True, GROUND_LAW)
    assert straight.inputs == (Input("0", "0 V", "node 0"),)
    off = CENTRED.replace("cfg out 0 rt", "cfg out g rt")
    for lines, connected in (
        ("", False),
        ("R9 g 0 0", True),
        ("L9 g 0 1u", True),
        ("R9 g 0 1", False),
        ("V9 g 0 1", True),
    ):
        found = fact(book(f"{off}{lines}\n", PLAIN), "ground.connected")
        assert (found.value, found.law) == (connected, GROUND_LAW)
        assert bool(found.inputs) is connected


def test_a_lost_line_on_the_ground_net_leaves_the_question_open() -> None:
    """It may be the line that joins it to ground; a lost line elsewhere is not."""
    off = CENTRED.replace("cfg out 0 rt", "cfg out g rt")
    of = book(f"{off}R9 G\n", PLAIN)
    (line,) = of.subjects("line")
    assert line.trouble is not None
    found = fact(of, "ground.connected")
    assert isinstance(found.value, Unknown)
    assert "touches g" in found.value.because
    assert found.value.missing == (str(line.place),)
    told = of.fact(line, "line.message")
    assert told == Fact("line.message", line.trouble.message)
    assert fact(book(f"{off}R9 x\n", PLAIN), "ground.connected").value is False


def test_the_board_counts_its_timing_blocks() -> None:
    """Helpers are none."""
    second = "R6 rt2 0 100k\nXU2 vdd cfg o2 0 rt2 vdd PL1\nXREG vin 0 vx RG3\n"
    for lines, count in (("", 1), (second, 2)):
        of = centred(lines)
        (board,) = of.subjects("board")
        found = of.fact(board, "board.blocks")
        assert found == Fact("board.blocks", Span(count, count, count, RATIO), "timing blocks counted")


def test_a_supply_is_the_difference_of_its_two_pins() -> None:
    """4 V against 0 V, or against a ground of 1 V."""
    found = fact(centred(), "supply.voltage")
    assert found.value == Span(4, 4, 4, VOLT)
    assert found.law == "V(supply pin) - V(ground pin)"
    assert [each.label for each in found.inputs] == ["V1", "0"]
    lifted = book(CENTRED.replace("cfg out 0 rt", "cfg out g rt") + "V9 g 0 1\n", PLAIN)
    assert span(lifted, "supply.voltage") == Span(3, 3, 3, VOLT)


STATED_LAW = "nothing in the supply is read out of a net's name"


@pytest.mark.parametrize(
    ("supply", "intent", "stated"),
    [("V1 vdd 0 4", "", True), ("", "supply 3v3 3.3V", True), ("", "", False)],
)
def test_a_supply_that_only_a_name_says_is_not_stated(supply: str, intent: str, stated: bool) -> None:
    """`3v3` without a source is taken at its name, and that is told."""
    net = "vdd" if supply else "3v3"
    board = CENTRED.replace("V1 vdd 0 4", supply).replace("vdd", net)
    found = fact(book(board, PLAIN, intent), "supply.stated")
    assert (found.value, found.law) == (stated, STATED_LAW)
    assert found.inputs == fact(book(board, PLAIN, intent), "supply.voltage").inputs


def test_an_unknown_supply_is_neither_stated_nor_not() -> None:
    """As the supply itself."""
    of = book(CENTRED.replace("V1 vdd 0 4\n", ""), PLAIN)
    assert unknown(of, "supply.stated") == unknown(of, "supply.voltage")
    assert unknown(of, "supply.stated").missing == ("voltage of vdd",)


@pytest.mark.parametrize(
    ("name", "value", "what", "text"),
    [
        ("supply.rated", Span(2, None, 6, VOLT), "supply rated", "2 V .. 6 V"),
        ("supply.limit", Span(7, 7, 7, VOLT), "supply limit", "7 V"),
        ("ambient.rated", Span(-40, None, 125, CELSIUS), "ambient", "-40 degC .. 125 degC"),
    ],
)
def test_ratings_are_told_with_the_part_file_s_words(name: str, value: Span, what: str, text: str) -> None:
    """In the quantity's unit; a part file that does not give one is named."""
    found = fact(centred(), name)
    assert found.value == value
    assert found.law == f"{what} of PL1"
    (evidence,) = found.inputs
    assert evidence == Input(f"PL1 {what}", text, "part file", block(centred()).part.place)
    silent = PLAIN.replace('supply   = { rated = "2V .. 6V", limit = "7V" }', "supply = {}")
    silent = silent.replace('ambient  = "-40degC .. 125degC"\n', "")
    assert unknown(centred(part_file=silent), name) == Unknown(
        f"the part file of PL1 gives no {what}", (f"PL1 {what}",)
    )


@pytest.mark.parametrize(
    ("intent", "options", "value", "origin"),
    [
        ("", None, (25, 25, 25), "default"),
        ("ambient 0degC .. 60degC", None, (0, 25, 60), "statement"),
        ("ambient 25degC .. 60degC", None, (25, 25, 60), "statement"),
        ("ambient 0degC .. 25degC", None, (0, 25, 25), "statement"),
        ("ambient 30degC .. 60degC", None, (30, None, 60), "statement"),
        ("ambient 25degC .. 25degC", None, (25, 25, 25), "statement"),
        ("ambient 40degC .. 40degC", None, (40, None, 40), "statement"),
        ("ambient 1degC .. 2degC\nambient 3degC .. 4degC", None, (1, None, 2), "statement"),
        ("", Span(-20, None, 70, CELSIUS), (-20, 25, 70), "settings"),
        ("ambient 0degC .. 60degC", Span(-20, None, 70, CELSIUS), (0, 25, 60), "statement"),
        ("", Span(25, None, 25, CELSIUS), (25, 25, 25), "settings"),
    ],
)
def test_the_ambient_of_the_board(
    intent: str, options: Span | None, value: tuple[float, float | None, float], origin: str
) -> None:
    """By statement, else by the settings, else 25 degC as an assumption; the first statement counts."""
    of = centred(intent=intent, options=FactOptions(ambient=options))
    found = fact(of, "ambient.board")
    assert found.value == Span(*value, CELSIUS)
    assert found.law == "ambient of the board"
    (evidence,) = found.inputs
    assert (evidence.label, evidence.origin) == ("ambient", origin)
    assert (evidence.place is not None) is (origin == "statement")
    assert found.assumptions == (("ambient 25 degC assumed",) if origin == "default" else ())
    quantity = ambient(of)
    assert (quantity.unit, quantity.text) == (CELSIUS, "ambient")
    still = value == (25, 25, 25)
    if value[0] == value[2] and not still:
        assert quantity.causes[0][3] == value[2]
        return
    assert quantity.causes == (() if still else (Cause("ambient", 25.0, value[0], value[2], True),))
    assert quantity.nominal == 25


def merged(lines: str, net: str, to_ground: bool = False, intent: str = "") -> list[str]:
    """The nets that make one rail."""
    of = centred(lines, intent)
    start = of.board.circuit.net(net)
    assert start is not None
    found = merged_rail(of, start, to_ground) if to_ground else merged_rail(of, start)
    assert all(name == each.name for name, each in found.items())
    return list(found)


@pytest.mark.parametrize(
    ("lines", "rail"),
    [
        ("", ["vdd"]),
        ("L9 vdd v2 1u", ["vdd", "v2"]),
        ("R9 vdd v2 0\nR8 v2 v3 1", ["vdd", "v2", "v3"]),
        ("R9 vdd v2 1.01", ["vdd"]),
        ("R9 vdd v2 0\nR8 v2 vdd 0", ["vdd", "v2"]),
        ("D9 vdd v2 DX", ["vdd"]),
        ("C9 vdd v2 1u", ["vdd"]),
        ("R9 vdd v2 ?", ["vdd"]),
        ("R9 vdd 0 0\nR8 0 v2 0", ["vdd"]),
        ("V9 v2 vdd 0", ["vdd", "v2"]),
    ],
)
def test_what_makes_one_rail(lines: str, rail: list[str]) -> None:
    """Beads, links and shunts up to 1 ohm; neither diodes, nor capacitors, nor ground."""
    assert merged(lines, "vdd") == rail


def test_ground_is_part_of_a_rail_for_a_ground_pin_alone() -> None:
    """From ground itself, or where a ground pin's net is asked about."""
    assert merged("R9 g 0 0\nR8 0 g2 0.5", "g", to_ground=True) == ["g", "0", "g2"]
    assert merged("R9 g 0 0\nR8 0 g2 0.5", "g") == ["g"]
    assert merged("R9 g 0 0", "0") == ["0", "g"]
    assert merged("R9 vdd v2 1k", "vdd", intent="same vdd v9") == ["vdd"]
    assert merged("R9 v9 x 1k", "vdd", intent="same vdd v9") == ["vdd", "v9"]


def capacitors(lines: str, intent: str = "", part_file: str = PLAIN) -> list[str]:
    """The capacitors across the block's supply."""
    of = centred(lines, intent, part_file)
    return [each.path for each in bypass_capacitors(of, block(of))]


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ("", []),
        ("C9 vdd 0 1u\nC8 0 vdd 1u", ["C9", "C8"]),
        ("R5 vdd v2 0\nC9 v2 0 1u\nC8 vdd 0 1u", ["C8", "C9"]),
        ("R5 g 0 0\nC9 vdd g 1u", ["C9"]),
        ("C9 vdd cfg 1u\nC8 cfg 0 1u\nC7 vdd vdd 1u", []),
        ("R5 vdd 0 1\nC9 vdd 0 1u", ["C9"]),
        ("L9 vdd 0 1u", []),
    ],
)
def test_which_capacitors_stand_across_a_supply(lines: str, found: list[str]) -> None:
    """An end on each of the two rails, each once, in the order of the lines on each net."""
    assert capacitors(lines) == found


def test_a_ground_pin_s_rail_is_all_that_is_joined_to_ground() -> None:
    """A block on g, g on ground by a link, and a capacitor to ground or to another such net."""
    board = CENTRED.replace("cfg out 0 rt", "cfg out g rt") + "R5 g 0 0\nR6 0 g2 0\n"
    of = book(f"{board}C7 vdd g 1u\nC8 vdd 0 1u\nC9 vdd g2 1u\n", PLAIN)
    assert [each.path for each in bypass_capacitors(of, block(of))] == ["C7", "C8", "C9"]


def test_a_capacitor_that_is_left_out_steadies_nothing() -> None:
    """Nor has a block without supply and ground pins any."""
    assert capacitors("C9 vdd 0 1u\nC8 vdd 0 1u", "fit C9 no") == ["C8"]
    assert capacitors("C9 vdd 0 1u", part_file=BARE) == []
    missing = Unknown("XU1 has no supply or ground pin", ("XU1 supply pin",))
    assert unknown(centred("C9 vdd 0 1u", part_file=BARE), "supply.bypass") == missing
    for old, new in (
        ('"output", "ground"', '"output", "nc"'),
        ('"supply", "strap", "out', '"nc", "strap", "out'),
    ):
        half = PLAIN.replace(old, new)
        assert half != PLAIN
        assert unknown(centred("C9 vdd 0 1u", part_file=half), "supply.bypass") == missing


def test_the_bypass_is_a_sum_with_its_evidence() -> None:
    """Of three capacitors of 10 % whose sum is 1.11 uF; none is nothing; unreadable ones are left out."""
    found = fact(centred("C7 vdd 0 1u\nC8 vdd 0 100n\nC9 vdd 0 10n"), "supply.bypass")
    assert found.span is not None
    assert found.span[:3] == pytest.approx((0.9 * 1.11e-6, 1.11e-6, 1.1 * 1.11e-6))
    assert found.span.unit == FARAD
    assert found.law == "sum of the capacitors between supply and ground"
    assert {"C7", "C8", "C9"} <= {each.label for each in found.inputs}
    none = fact(centred(), "supply.bypass")
    assert (none.value, none.law) == (Span(0, 0, 0, FARAD), "no capacitor between supply and ground")
    some = span(centred("C8 vdd 0 ?\nC9 vdd 0 100n"), "supply.bypass")
    assert some.nominal == pytest.approx(100e-9)
    unread = unknown(centred("C8 vdd 0 ?\nC9 vdd 0 ?"), "supply.bypass")
    assert unread.missing == ("C8 value",)


def test_a_ramp_is_told_with_its_statement_and_supply() -> None:
    """4 ms, 6 ms and 8 ms to 4 V: above 2 V for half of each."""
    found = fact(centred(intent="ramp vdd 4ms .. 8ms (nominal 5ms)"), "supply.ramp")
    assert found.value == Span(2e-3, 2.5e-3, 4e-3, SECOND)
    assert found.law == "time from the rated lower end of the supply to its settled value, at an even slope"
    assert [(each.label, each.value, each.origin) for each in found.inputs][:2] == [
        ("ramp vdd", "4 ms .. 8 ms (nominal 5 ms)", "statement"),
        ("V1", "4 V", "line"),
    ]
    assert found.inputs[0].place is not None


@pytest.mark.parametrize(
    ("volts", "seconds"), [("2V", 0.0), ("1V", 0.0), ("2.5V", 2e-3), ("0V", 10e-3), ("-1V", 10e-3)]
)
def test_a_ramp_below_the_rated_lower_end_takes_no_time(volts: str, seconds: float) -> None:
    """10 ms to 2.5 V leave a fifth above 2 V; a rail that is not above 0 V is at no end of it."""
    assert span(centred(intent=f"ramp vdd 10ms\nsupply vdd {volts}"), "supply.ramp").middle == pytest.approx(
        seconds
    )


def test_a_ramp_may_be_stated_of_what_the_supply_is_joined_to() -> None:
    """The first such net counts; another rail's is not its own."""
    lines = "R5 vdd v2 0\nR6 v2 v3 0"
    assert span(centred(lines, "ramp v3 10ms"), "supply.ramp").middle == pytest.approx(5e-3)
    assert span(centred(lines, "ramp v3 10ms\nramp vdd 20ms"), "supply.ramp").middle == pytest.approx(10e-3)
    assert unknown(centred(lines, "ramp out 10ms"), "supply.ramp") == Unknown(
        "nothing states how fast the supply of XU1 rises", ("ramp",)
    )
    assert unknown(centred(intent="ramp vdd 10ms", part_file=BARE), "supply.ramp").missing == ("ramp",)


def test_a_ramp_needs_the_supply_and_its_rating() -> None:
    """The unknown supply itself, or what the part file lacks."""
    off = book(CENTRED.replace("V1 vdd 0 4\n", ""), PLAIN, "ramp vdd 10ms")
    assert unknown(off, "supply.ramp") == unknown(off, "supply.voltage")
    unrated = PLAIN.replace('rated = "2V .. 6V", ', "")
    assert unknown(centred(intent="ramp vdd 10ms", part_file=unrated), "supply.ramp") == Unknown(
        "no rated supply", ("supply rated",)
    )


@pytest.mark.parametrize(
    ("path", "plug", "button"),
    [
        ("J1", True, False),
        ("X1.J_2", True, False),
        ("XCN12", True, False),
        ("CONN3A1", True, False),
        ("P7", True, False),
        ("J1.R2", False, False),
        ("JX1", False, False),
        ("TP1", False, False),
        ("XTP1", False, False),
        ("mp3", False, False),
        ("MH4", False, False),
        ("FID2", False, False),
        ("SW1", False, True),
        ("xsw_12", False, True),
        ("S3", False, True),
        ("X4.BTN5", False, True),
        ("PB1", False, True),
        ("KEY7", False, True),
        ("SW1.R2", False, False),
        ("SWITCH1", False, False),
        ("SW", False, False),
        ("R1", False, False),
    ],
)
def test_connectors_and_buttons_by_their_names(path: str, plug: bool, button: bool) -> None:
    """By the last part of a path, in any letter case (common practice, no source)."""
    assert (is_plug(path), is_button(path)) == (plug, button)


def test_an_open_contact_is_a_button_of_two_pins() -> None:
    """By the element that an obstacle names; an obstacle that names none is no contact."""
    of = centred("SW1 out 0 BUTTON\nSW2 out 0 vdd BUTTON\nJ1 out 0 PLUG")
    assert open_contact(of, Unknown("x", ("SW1",)))
    assert open_contact(of, Unknown("x", ("SW1", "J1")))
    for missing in (("SW2",), ("J1",), ("SW9",), ("J1", "SW1"), ()):
        assert not open_contact(of, Unknown("x", missing))


def test_every_line_of_the_catalogue_about_blocks_says_what_it_gives() -> None:
    """The kinds of value that rules are checked against."""
    kinds = {
        "block.intended": "truth",
        "ground.connected": "truth",
        "supply.voltage": VOLT,
        "supply.rated": VOLT,
        "supply.limit": VOLT,
        "supply.stated": "truth",
        "ambient.board": CELSIUS,
        "ambient.rated": CELSIUS,
        "supply.bypass": FARAD,
        "supply.ramp": SECOND,
        "load.at_rest": "name",
        "load.inverted": "truth",
        "rest.intended": "truth",
        "output.unclamped": "name",
        "output.bare_led": "name",
        "output.used": "truth",
    }
    for name, kind in kinds.items():
        assert (BY_NAME[name].subject, BY_NAME[name].kind) == ("block", kind)
        assert BY_NAME[name].meaning
    assert (BY_NAME["board.blocks"].subject, BY_NAME["board.blocks"].kind) == ("board", RATIO)
    assert (BY_NAME["line.message"].subject, BY_NAME["line.message"].kind) == ("line", "name")


def test_a_fact_of_one_block_is_not_that_of_another() -> None:
    """Asked of two in turn, each answers for itself."""
    of = centred("R6 rt2 0 100k\nXU2 v5 cfg o2 0 rt2 v5 PL1\nV5 v5 0 5")
    for path, volts in (("XU1", 4), ("XU2", 5), ("XU1", 4)):
        found = block(of, path)
        told = of.fact(Subject("block", path, found.place, found), "supply.voltage")
        assert told.value == Span(volts, volts, volts, VOLT)
