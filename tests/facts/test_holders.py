"""What holds a net at a voltage, by whose word, and where two words do not suit one voltage; by hand."""

import pytest

from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, States
from drc.facts.feed import known
from drc.facts.model import Unknown
from drc.facts.stated import about_element, about_net, same_nets, statements
from drc.facts.stiff import driven, feeds, held, zero_sources
from drc.intent.model import Assume, Signal, Supply
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

Source = tuple[str, str, str, int | None]


def net(of: Book, name: str) -> Net:
    """A net that is there."""
    found = of.board.circuit.net(name)
    assert found is not None
    return found


def evidence(found: object) -> list[Source]:
    """Label, value, origin and line of each input of a known voltage."""
    assert isinstance(found, Dependence), found
    return [(i.label, i.value, i.origin, i.place.line if i.place else None) for i in found.inputs]


@pytest.mark.parametrize(
    ("lines", "intent", "contested"),
    [
        ("V9 vdd 0 5", "", ("V1", "V9")),
        ("V9 vdd 0 3", "", ("V1", "V9")),
        ("V9 vdd 0 4", "", None),
        ("V9 vdd 0 4.000001", "", None),
        ("V9 vdd 0 3.999999", "", None),
        ("V9 vdd 0 4.00001", "", ("V1", "V9")),
        ("V9 0 vdd -4", "", None),
        ("V9 0 vdd 4", "", ("V1", "V9")),
        ("", "supply vdd 5V", None),
        ("R9 vdd v2 0\nV9 v2 0 5", "", ("V1", "V9")),
        ("L9 vdd v2 1u\nV9 v2 0 5", "", ("V1", "V9")),
        ("R9 vdd v2 0\nR8 v2 v3 0\nR7 v3 vdd 0\nV9 v3 0 5", "", ("V1", "V9")),
        ("R9 vdd v2 0", "supply v2 5V .. 6V", ("V1", "v2")),
        ("R9 vdd v2 0", "supply v2 2V .. 3V", ("V1", "v2")),
        ("R9 vdd v2 0", "supply v2 4V .. 6V", None),
        ("R9 vdd v2 0", "supply v2 2V .. 4V", None),
        ("R9 vdd v2 0", "supply vdd 3V .. 3.5V\nsupply v2 4V .. 5V", ("vdd", "v2")),
        ("R9 vdd v2 1\nV9 v2 0 5", "", None),
        ("V9 vdd v2 1\nV8 v2 0 5", "", None),
        ("V9 vdd 0 SIN(0 1 1k)", "", None),
        ("R9 out 0 0\nV9 out 0 5", "", None),
    ],
)
def test_two_words_for_one_rail(lines: str, intent: str, contested: tuple[str, str] | None) -> None:
    """Sources and statements on one rail, through joints: alike to a millionth, or told, the first two.

    A statement against a source of its own net is told of as a contradiction, not here.
    """
    of = book(f"{CENTRED}{lines}\n", PLAIN, intent)
    found = fact(of, "supply.contested")
    assert found.value is (contested is not None)
    if contested is None:
        assert (found.law, found.inputs) == ("all that holds the supply agrees", ())
    else:
        assert tuple(each.label for each in found.inputs) == contested
        assert found.law == f"{contested[0]} and {contested[1]} hold the supply at voltages that differ"


def test_two_negative_sources_alike_agree() -> None:
    """A block between -4 V and -8 V: the slack of a millionth counts by size."""
    board = CENTRED.replace("V1 vdd 0 4", "V1 vdd 0 -4\nV8 g 0 -8\nV9 vdd 0 -4").replace(
        "out 0 rt", "out g rt"
    )
    assert fact(book(board, PLAIN), "supply.contested").value is False
    apart = board.replace("V9 vdd 0 -4", "V9 vdd 0 -4.1")
    found = fact(book(apart, PLAIN), "supply.contested")
    assert found.value is True
    assert [(i.label, i.value, i.origin) for i in found.inputs] == [
        ("V1", "-4 V", "line"),
        ("V9", "-4.1 V", "line"),
    ]


def test_a_contradiction_shows_both_words() -> None:
    """The statement and the source, with their places; a statement about another net is none."""
    found = fact(book(CENTRED, PLAIN, "supply vdd 5V .. 6V"), "supply.contradicted")
    assert (found.value, found.law) == (True, "V1 holds vdd elsewhere")
    assert [(i.label, i.value, i.origin) for i in found.inputs] == [
        ("vdd", "5 V .. 6 V", "statement"),
        ("V1", "4 V", "line"),
    ]
    assert all(each.place is not None for each in found.inputs)
    quiet = fact(book(CENTRED, PLAIN, "supply out 5V"), "supply.contradicted")
    assert (quiet.value, quiet.law) == (False, "no statement is about the supply's net")
    agreed = fact(book(CENTRED, PLAIN, "supply vdd 4V"), "supply.contradicted")
    assert (agreed.value, agreed.law) == (False, "no source on the supply's net says otherwise")


def test_a_block_without_a_supply_pin_has_none_to_contest() -> None:
    """The pin is what is missing."""
    bare = (
        '[part.NS1]\ntitle = "t"\nsource = "this test"\nfunction = "oscillator"\n'
        'pins = ["nc", "output", "ground", "rate"]\n'
    )
    of = book("V1 vdd 0 4\nR3 rt 0 100k\nXU1 vdd out 0 rt NS1\n", bare)
    assert unknown(of, "supply.contested").missing == ("XU1 supply pin",)
    assert fact(of, "supply.contradicted").value is False


TWO = PLAIN.replace('"rate", "enable"]', '"rate", "enable", "supply-io", "supply-core"]').replace(
    "strap    = {",
    'supplies.io = { rated = "1.6V .. 2.0V", limit = "2.5V" }\nsupplies.core = { rated = "1.1V .. 1.3V" }\n'
    "strap    = {",
    1,
)


def test_the_first_second_supply_that_is_there() -> None:
    """By the part file's order; its rating and limit go with it, and what it does not give is named."""
    lines = CENTRED.replace("rt vdd PL1", "rt vdd vio vcore PL1") + "V8 vio 0 1.8\nV9 vcore 0 1.2\n"
    of = book(lines, TWO)
    found = fact(of, "second.voltage")
    assert found.span is not None
    assert found.span.middle == pytest.approx(1.8)
    assert found.law == "V(supply-io pin) - V(ground pin)"
    assert [each.label for each in found.inputs] == ["V8", "0"]
    assert span(of, "second.rated")[:3:2] == pytest.approx((1.6, 2.0))
    limit = span(of, "second.limit")
    assert (limit.middle, limit.unit.symbol) == (2.5, "V")
    swapped = TWO.replace("supplies.io", "supplies.x").replace("supplies.core", "supplies.io")
    other = book(lines, swapped.replace("supplies.x", "supplies.core"))
    assert span(other, "second.voltage").middle == pytest.approx(1.2)
    assert span(other, "second.rated")[:3:2] == pytest.approx((1.6, 2.0))
    bare = book(lines, TWO.replace(', limit = "2.5V" }', " }"))
    assert unknown(bare, "second.limit").missing == ("PL1 supply-io limit",)
    assert unknown(book(CENTRED, PLAIN), "second.voltage").missing == ("XU1 second supply",)


def test_a_second_supply_without_a_ground_is_unknown() -> None:
    """Both are named where both are missing."""
    lines = CENTRED.replace("cfg out 0 rt vdd PL1", "cfg out g rt vdd vio vcore PL1")
    assert unknown(book(lines, TWO), "second.voltage").missing == ("voltage of vio", "ground.connected")
    held_io = unknown(book(f"{lines}V8 vio 0 1.8\n", TWO), "second.voltage")
    assert held_io.missing == ("ground.connected",)


@pytest.mark.parametrize(
    ("lines", "intent", "name", "expected"),
    [
        ("", "", "vdd", [("V1", "4 V", "line", 3)]),
        ("", "", "0", [("0", "0 V", "node 0", None)]),
        (
            "",
            "supply vdd 3V .. 5V",
            "vdd",
            [("vdd", "3 V .. 5 V (no nominal: the middle stands in)", "statement", 1)],
        ),
        ("", "supply vdd 4V", "vdd", [("vdd", "4 V", "statement", 1)]),
        (
            "",
            "signal out 1V .. 2V",
            "out",
            [("out", "1 V .. 2 V (no nominal: the middle stands in)", "statement", 1)],
        ),
        ("V9 out cfg2 1\nV8 cfg2 0 2", "", "out", [("V8", "2 V", "line", 9), ("V9", "1 V", "line", 8)]),
        ("V9 0 out 2", "", "out", [("0", "0 V", "node 0", None), ("V9", "2 V", "line", 8)]),
        ("", "same out vdd", "out", [("V1", "4 V", "line", 3)]),
        ("R9 x 0 1k", "same out x\nsame x vdd", "out", [("V1", "4 V", "line", 3)]),
    ],
)
def test_by_whose_word_a_net_is_held(lines: str, intent: str, name: str, expected: list[Source]) -> None:
    """A statement, the source or sources behind it, node 0, or the net that a statement joins it to."""
    of = book(f"{CENTRED}{lines}\n", PLAIN, intent)
    assert evidence(held(of, net(of, name))) == expected


@pytest.mark.parametrize(
    ("intent", "volts"),
    [
        ("supply out 1V\nsignal out 2V", 1.0),
        ("signal out 2V", 2.0),
        ("signal out period 1ms", 3.0),
        ("signal out period 1ms\nsignal out 2V", 3.0),
        ("", 3.0),
    ],
)
def test_the_order_of_trust(intent: str, volts: float) -> None:
    """`supply` before `signal` before the source; a signal without a voltage says nothing of it."""
    of = book(f"{CENTRED}V9 out 0 3\n", PLAIN, intent)
    found = held(of, net(of, "out"))
    assert isinstance(found, Dependence)
    assert found.nominal == volts


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("V9 a 0 2\nV8 a b 1", 2.0),
        ("V8 a b 1\nV9 a 0 2", 2.0),
        ("V8 a b 1\nV7 b 0 5", 6.0),
        ("V8 a a 1\nV9 a 0 2", 2.0),
        ("V8 b a 1\nV7 b 0 5", 4.0),
        ("V8 a b 1\nV7 b 0 5\nV9 a 0 2", 2.0),
        ("V9 a 0 2\nV8 a b 1\nV7 b 0 5", 2.0),
        ("V8 a b 1", None),
        ("V8 a b 1\nV7 b c 1\nV6 c a 1", None),
    ],
)
def test_sources_to_ground_go_first(lines: str, expected: float | None) -> None:
    """Wherever they stand in the file; else through other nets, as far as that leads anywhere."""
    of = book(f"{CENTRED}{lines}\nR9 a b 1k\n", PLAIN)
    found = held(of, net(of, "a"))
    if expected is None:
        assert found is None
    else:
        assert isinstance(found, Dependence)
        assert found.nominal == expected


@pytest.mark.parametrize("wave", ["?", "1e999"])
def test_a_source_whose_value_stands_for_nothing_is_named(wave: str) -> None:
    """Its net is unknown, not at 0 V."""
    of = book(f"{CENTRED}V9 a 0 {wave}\nR9 a 0 1k\n", PLAIN)
    found = held(of, net(of, "a"))
    assert isinstance(found, Unknown)
    assert found.missing == ("V9 value",)


def test_the_states_of_a_square_wave_are_told_apart() -> None:
    """By the net and its level, with the source as evidence of each."""
    of = book(f"{CENTRED}V9 a 0 PULSE(0 2 0 1u 1u 1m 2m)\nR9 a 0 1k\n", PLAIN)
    found = held(of, net(of, "a"))
    assert isinstance(found, States)
    assert [(when, state.nominal, evidence(state)) for when, state in found.states] == [
        ((("a", "0 V"),), 0.0, [("V9", "0 V", "line", 8)]),
        ((("a", "2 V"),), 2.0, [("V9", "2 V", "line", 8)]),
    ]


def test_a_supply_drawn_as_a_pulse_is_evidence_once_up() -> None:
    """At the level that it comes up to; a settled waveform at its last."""
    up = book(CENTRED.replace("V1 vdd 0 4", "V1 vdd 0 PULSE(0 4 0 1u 1u 1 2)"), PLAIN)
    assert evidence(held(up, net(up, "vdd"))) == [("V1", "4 V once up", "line", 3)]
    ramp = book(CENTRED.replace("V1 vdd 0 4", "V1 vdd 0 PWL(0 0 1m 4)"), PLAIN)
    assert evidence(held(ramp, net(ramp, "vdd"))) == [("V1", "4 V", "line", 3)]


@pytest.mark.parametrize(
    ("line", "joined"),
    [("V9 a b 0", ["b"]), ("V9 b a 0", ["b"]), ("V9 a b 1", []), ("R9 a b 0", []), ("V9 a b ?", [])],
)
def test_what_a_source_of_no_voltage_joins(line: str, joined: list[str]) -> None:
    """The net at its other pin."""
    of = book(f"{CENTRED}{line}\nR8 a b 1k\n", PLAIN)
    assert [other.name for other in zero_sources(of, net(of, "a"))] == joined


UNKNOWN_PART = "{}\nX9 {} OTHER\n.subckt OTHER {}\nR1 1 2 1k\n.ends\n"


@pytest.mark.parametrize(
    ("line", "feeding"),
    [
        ("R4 r2 0 1k\nXU2 a 0 o2 0 r2 a PL1", True),
        ("R4 r2 0 1k\nXU2 vdd 0 a 0 r2 vdd PL1", False),
        ("R4 r2 0 1k\nXU2 vdd a o2 0 r2 vdd PL1", False),
        ("XREG a 0 y RG3", True),
        ("XREG vdd 0 a RG3", False),
        ("R5 a 0 1k", False),
    ],
)
def test_which_nets_feed_a_supply_pin(line: str, feeding: bool) -> None:
    """Of a block or a regulator; outputs, straps and resistors are none."""
    of = book(f"{CENTRED}{line}\nR8 a b 1k\n", PLAIN)
    assert feeds(of, net(of, "a")) is feeding


def test_a_second_supply_feeds_as_the_first_does() -> None:
    """And a block's output drives, a regulator's does not."""
    of = book(CENTRED.replace("rt vdd PL1", "rt vdd vio vcore PL1") + "XREG vdd 0 y RG3\nR9 y 0 1k\n", TWO)
    assert feeds(of, net(of, "vio"))
    assert not feeds(of, net(of, "rt"))
    assert driven(of, net(of, "out"))
    read = book(f"{CENTRED}R4 r2 0 100k\nXU2 vdd 0 o2 0 r2 out PL1\n", PLAIN)
    assert driven(read, net(read, "out"))
    assert not driven(of, net(of, "y"))
    assert not driven(of, net(of, "cfg"))


def test_statements_are_found_by_kind_and_name() -> None:
    """The first about a net, all about an element, in the order written; patterns match as names do."""
    intent = (
        "assume R* tolerance 2%\nsupply v* 3V\nsupply vdd 4V\nassume R1 tolerance 1%\nassume R2 tolerance 5%"
    )
    of = book(CENTRED, PLAIN, intent)
    assert [s.text for s in statements(of, Supply)] == ["supply v* 3V", "supply vdd 4V"]
    first = about_net(of, Supply, net(of, "vdd"))
    assert first is not None
    assert first.text == "supply v* 3V"
    assert about_net(of, Supply, net(of, "out")) is None
    assert about_net(of, Signal, net(of, "vdd")) is None
    element = of.board.circuit.element("R1")
    assert element is not None
    assert [s.tolerance for s in about_element(of, Assume, element)] == [(-0.02, 0.02), (-0.01, 0.01)]


def test_nets_that_a_statement_joins() -> None:
    """Each other net that is there, with the statement; never the net itself."""
    of = book(f"{CENTRED}R9 x 0 1k\nR8 y 0 1k\n", PLAIN, "same x y\nsame out x\nsame cfg rt")
    for name, others in (("x", ["y", "out"]), ("y", ["x"]), ("out", ["x"]), ("vdd", [])):
        assert [other.name for other, _ in same_nets(of, net(of, name))] == others
    assert [s.text for _, s in same_nets(of, net(of, "x"))] == ["same x y", "same out x"]


REGULATED = CENTRED.replace("V1 vdd 0 4", "V1 vin 0 6\n{}")


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("XREG vin 0 vdd RG3", [("XREG output", "2.94 V .. 3.06 V (nominal 3 V)", "part file")]),
        (
            "XREG vin 0 vdd fb RGA\nR8 vdd fb 20k tol=0%\nR9 fb 0 10k tol=0%",
            [("XREG feedback", "1.188 V .. 1.212 V (nominal 1.2 V)", "part file")],
        ),
    ],
)
def test_what_a_regulated_rail_rests_on(lines: str, expected: list[tuple[str, str, str]]) -> None:
    """The part file's own figure, with its place; of an adjustable one the divider's resistors too."""
    of = book(REGULATED.format(lines), PLAIN, "ambient 25degC .. 25degC")
    found = known(of, net(of, "vdd"))
    assert isinstance(found, Dependence)
    own = [i for i in found.inputs if i.origin == "part file"]
    assert [(i.label, i.value, i.origin) for i in own] == expected
    assert all(i.place is not None for i in own)
    assert {"R8", "R9"} <= {i.label for i in found.inputs} or "RG3" in lines
    assert found.assumptions == ()


def test_a_dropout_counts_from_what_is_left_over_the_range() -> None:
    """From 3.4 V to 6 V less 0.5 V, at most 3 V +/- 2 %: 2.9 V to 3.06 V; from 3.6 V on nothing is lost."""
    board = CENTRED.replace("V1 vdd 0 4", "XREG vin 0 vdd RG3")
    low = span(book(board, PLAIN, "supply vin 3.4V .. 6V"), "supply.voltage")
    assert (low.low, low.high) == pytest.approx((2.9, 3.06))
    high = span(book(board, PLAIN, "supply vin 3.6V .. 6V"), "supply.voltage")
    assert (high.low, high.high) == pytest.approx((2.94, 3.06))
    edge = fact(book(board, PLAIN, "supply vin 3.56V .. 6V"), "supply.voltage")
    assert "vin" not in {each.label for each in edge.inputs}
    under = fact(book(board, PLAIN, "supply vin 3.55V .. 6V"), "supply.voltage")
    assert "vin" in {each.label for each in under.inputs}


@pytest.mark.parametrize(
    ("fb", "missing"),
    [
        ("R8 vdd fb ?\nR9 fb 0 10k", ("R8 value",)),
        ("R8 vdd fb 10k\nR9 fb 0 10k\nX7 fb OTHER", ("X7",)),
        ("R8 vdd fb 10k\nR9 fb 0 10k\nR4 r2 0 1k\nXU2 vin fb o2 0 r2 vin PL1", ("XU2 strap",)),
        ("R8 vdd x 10k\nR9 fb x 0", None),
    ],
)
def test_what_blocks_a_feedback_divider_is_named(fb: str, missing: tuple[str, ...] | None) -> None:
    """A value, a part, another block's pin; without a way to ground the output follows the feedback."""
    of = book(REGULATED.format(f"XREG vin 0 vdd fb RGA\n{fb}"), PLAIN)
    if missing is None:
        assert span(of, "supply.voltage").middle == pytest.approx(1.2)
    else:
        assert unknown(of, "supply.voltage").missing == missing


def test_a_regulator_on_a_ground_that_moves_takes_its_states() -> None:
    """3 V above 0 V, and above 1 V as far as 3.8 V less 0.5 V reaches: 3.3 V."""
    board = CENTRED.replace("V1 vdd 0 4", "V1 vin 0 3.8\nV8 g 0 PULSE(0 1 0 1u 1u 1m 2m)\nXREG vin g vdd RG3")
    of = book(board, PLAIN, "ambient 25degC .. 25degC")
    found = known(of, net(of, "vdd"))
    assert isinstance(found, States)
    assert [dict(when)["g"] for when, _ in found.states] == ["0 V", "1 V"]
    assert [state.nominal for _, state in found.states] == pytest.approx([3.0, 3.3])


@pytest.mark.parametrize(("pins", "feeding"), [("a b", True), ("b a", False)])
def test_a_header_that_names_a_supply_feeds(pins: str, feeding: bool) -> None:
    """A part that no part file knows, whose own names are VDD and GND."""
    of = book(f"{CENTRED}X9 {pins} MYSTERY\nR9 a b 1k\n.subckt MYSTERY VDD GND\n.ends\n", PLAIN)
    assert feeds(of, net(of, "a")) is feeding


def test_a_known_block_s_roles_go_before_its_header_s_names() -> None:
    """Its enable pin is called VDD in a header that does not resolve: it feeds nothing all the same."""
    board = CENTRED.replace("rt vdd PL1", "rt en PL1") + "R9 en vdd 10k\n.subckt PL1 A B C D E VDD\n.ends\n"
    of = book(board, PLAIN)
    assert not feeds(of, net(of, "en"))
    assert feeds(of, net(of, "vdd"))


def test_a_second_supply_that_another_output_drives_is_not_guessed() -> None:
    """Nobody says whether it is high."""
    lines = CENTRED.replace("rt vdd PL1", "rt vdd vio vcore PL1") + "R4 r2 0 100k\n"
    driver = (
        '[part.PS1]\ntitle = "t"\nsource = "this test"\nfunction = "oscillator"\n'
        'pins = ["supply", "output", "ground", "rate"]\n'
    )
    of = book(f"{lines}XU2 vdd vio 0 r2 PS1\n", TWO + driver)
    assert unknown(of, "second.voltage").missing == ("voltage of vio",)


def test_a_regulator_fed_from_ground_gives_nothing() -> None:
    """Its supply pin on node 0, or on a source of 0 V: no 3 V come out of it."""
    for lines in ("XREG 0 0 vdd RG3", "V9 vin 0 0\nXREG vin 0 vdd RG3", "XREG 0 0 vdd vdd RGA"):
        of = book(CENTRED.replace("V1 vdd 0 4", lines), PLAIN, "ambient 25degC .. 25degC")
        assert span(of, "supply.voltage").high <= 0, lines
        assert unknown(of, "strap.ratio").missing == ("supply.voltage",)


def test_a_regulator_without_a_supply_pin_stands_by_itself() -> None:
    """A shunt reference has none: what it gives, dropout or not, is its own figure alone."""
    shunt = (
        '[part.SH1]\ntitle = "shunt"\nsource = "this test"\nfunction = "reference"\n'
        'pins = ["output", "ground"]\nregulator = { output = "3.0V +/- 2%", dropout = "0.5V" }\n'
    )
    of = book(CENTRED.replace("V1 vdd 0 4", "V1 vin 0 9\nR8 vin vdd 1k\nXREF vdd 0 SH1"), PLAIN + shunt)
    supply = span(of, "supply.voltage")
    assert (supply.low, supply.middle, supply.high) == pytest.approx((2.94, 3.0, 3.06))
    found = known(of, net(of, "vdd"))
    assert isinstance(found, Dependence)
    assert [each.label for each in found.inputs] == ["XREF output"]
