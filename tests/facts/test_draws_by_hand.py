"""What a block draws, hands on as a supply, and pays for capacitance, with law, evidence and gaps."""

import numpy as np
import pytest

from drc.circuit.spread import Cause
from drc.facts.book import Book
from drc.facts.chain_levels import level
from drc.facts.chain_supply import load_fed, supply_handed_on
from drc.facts.chains import chains
from drc.facts.charging_load import peak
from drc.facts.consumption import strap_current
from drc.facts.dependence import Dependence, Quantity, States, spread
from drc.facts.model import Fact, Unknown
from drc.facts.options import FactOptions
from drc.facts.walk import Region
from drc.quantity.span import Span
from drc.quantity.unit import AMPERE, VOLT
from tests.facts.chain_boards import LEVELS, block, chained
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import block as block_at
from tests.facts.timing_boards import book, fact, part, span, unknown

FIRST = block("U1", "TO1", "on", "vdd")


def fed(netlist: str, draw: str = '"1mA .. 3mA"', more: str = "") -> Book:
    """Oscillators at 3 V that draw 1 mA to 3 mA, outputs of 20 ohm."""
    keys = f'input.enable = {{ {LEVELS}, active = "high" }}\n' + (f"consumption = {draw}\n" if draw else "")
    return chained(netlist + more, part_file=part("TO1", "oscillator", "enable", keys))


def living(name: str, supply: str) -> str:
    """A block that lives on a net, its strap on the first block's supply."""
    return block(name, "TO1", f"o{name}", supply, supply=supply).replace(
        f"RA{name} {supply}", f"RA{name} vdd"
    )


def handed(of: Book, net: str) -> Quantity | None:
    """What is handed on to a net."""
    found = of.board.circuit.net(net)
    assert found is not None
    return supply_handed_on(of, found)


def ends(found: Quantity | None) -> tuple[float, float]:
    """The extremes of what must be one quantity."""
    assert isinstance(found, Dependence), found
    box = spread(found, "extreme", FactOptions(), "x")
    return box.low, box.high


def test_an_output_hands_on_its_supply_less_the_drop_of_all_that_it_feeds() -> None:
    """3 V less 20 ohm times 2 mA to 6 mA of two blocks; causes of their own."""
    of = fed(FIRST + living("U2", "on") + living("U3", "on"))
    found = handed(of, "on")
    assert ends(found) == pytest.approx((3 - 20 * 6e-3, 3 - 20 * 2e-3))
    assert isinstance(found, Dependence)
    assert (found.unit, found.text) == (VOLT, "source of on, less the drop of what it feeds")
    assert [cause.name for cause in found.causes] == ["XU2 consumption", "XU3 consumption"]
    one_each = np.array([[1e-3, 3e-3], [2e-3, 1e-3]])
    assert found.law(one_each).tolist() == pytest.approx([3 - 20 * 4e-3, 3 - 20 * 3e-3])
    assert ends(handed(fed(FIRST + living("U2", "on")), "on")) == pytest.approx((2.94, 2.98))


def test_nothing_is_handed_on_by_none_or_by_several() -> None:
    """A net that no output feeds; one that two feed; one that a follower feeds."""
    assert handed(fed(FIRST + living("U2", "on")), "vdd") is None
    both = FIRST + block("U4", "TO1", "two", "vdd") + living("U2", "vs")
    assert handed(fed(both, more="D1 on vs DX\nD2 two vs DX\n"), "vs") is None
    assert handed(fed(FIRST + living("U2", "vs"), more="R5 on b 1k\nQ1 vdd b vs NS\n"), "vs") is None


GATE = """
[part.TG1]
title = "inverter"
source = "this test"
function = "gate"
pins = ["input", "output", "supply", "ground"]
supply = { rated = "2V .. 6V" }
gate = { logic = "buffer" }
output = { kind = "push-pull", resistance = "50ohm" }

[part.TW1]
title = "high-side switch"
source = "this test"
function = "transistor-switch"
pins = ["supply", "input", "output", "ground"]
supply = { rated = "2V .. 6V" }
switch = { side = "high", inverts = false, resistance = "50mohm" }
"""


@pytest.mark.parametrize(
    ("way", "low", "high"),
    [
        # Through a gate's 50 ohm and 100 ohm of the way.
        ("XG1 on vs vdd 0 TG1", 3 - 50 * 3e-3, 3 - 50 * 1e-3),
        ("XG1 on m vdd 0 TG1\nR5 m vs 100 0%", 3 - 150 * 3e-3, 3 - 150 * 1e-3),
        ("R5 on vs 100 0%", 3 - 120 * 3e-3, 3 - 120 * 1e-3),
        # Switched on it stands at its rail less 0 V to 0.3 V; behind 100 ohm less its drop.
        ("M1 vs on vdd vdd MP", 2.7, 3.0),
        ("XW1 vdd on vs 0 TW1", 2.7, 3.0),
        ("M1 m on vdd vdd MP\nR5 m vs 100 0%", 2.7 - 0.3, 3.0 - 0.1),
        # The low side: 0 V to 0.3 V, which is no supply but is what it is.
        ("M1 m on 0 0 MN\nR5 m vs 100 0%", 0.0 - 0.3, 0.3 - 0.1),
    ],
)
def test_a_supply_through_what_drives_anew(way: str, low: float, high: float) -> None:
    """Its extremes, V."""
    keys = f'input.enable = {{ {LEVELS}, active = "high" }}\nconsumption = "1mA .. 3mA"\n'
    of = chained(
        f"{FIRST}{living('U2', 'vs')}{way}\n", part_file=part("TO1", "oscillator", "enable", keys) + GATE
    )
    assert ends(handed(of, "vs")) == pytest.approx((low, high))


@pytest.mark.parametrize("way", ["R5 on vs ?", "M1 m on vdd vdd MP\nR5 m vs ?"])
def test_a_resistor_without_a_value_leaves_what_is_behind_it_unknown(way: str) -> None:
    """It is named, straight or behind a switch."""
    found = handed(fed(FIRST + living("U2", "vs"), more=f"{way}\n"), "vs")
    assert isinstance(found, Unknown)
    assert found.missing == ("R5 value",)


def test_the_level_of_a_supply_is_what_is_handed_on() -> None:
    """Against the fed block's ground; low, or where two feed it, nobody says what it is at."""
    of = fed(FIRST + living("U2", "on"))
    (chain,) = chains(of)
    assert ends(level(of, chain, "high")) == pytest.approx((2.94, 2.98))
    assert level(of, chain, "low") == Unknown("what on is at while low is not known", ("voltage of on",))
    both = fed(FIRST + block("U4", "TO1", "on", "vdd") + living("U2", "on"))
    for chain in chains(both):
        known = level(both, chain, "high")
        assert isinstance(known, Unknown)
        assert "what on is at while high is not known" in known.because
        assert "voltage of on" in known.missing


def test_a_draw_that_nobody_gives_is_named() -> None:
    """Of each block that lives there, once a part."""
    of = fed(FIRST + living("U2", "on") + living("U3", "on"), draw="")
    assert handed(of, "on") == Unknown(
        "what XU2 draws is not known, so what its driver leaves of the supply is not; "
        "what XU3 draws is not known, so what its driver leaves of the supply is not",
        ("TO1 consumption",),
    )


def loaded(of: Book, *, high: bool) -> Region | None:
    """The network on the first block's output."""
    net = of.board.circuit.net("on")
    assert net is not None
    return load_fed(of, block_at(of), net, high=high)


def test_what_an_output_feeds_is_drawn_while_it_is_high() -> None:
    """1 mA to 3 mA a block out of its net; low, and of what it does not feed, nothing."""
    two = FIRST + living("U2", "on") + living("U3", "on")
    for of, nets in (
        (fed(two), ["on", "on"]),
        (fed(FIRST + living("U2", "vs"), more="R5 on vs 100 0%\n"), ["vs"]),
    ):
        region, low = loaded(of, high=True), loaded(of, high=False)
        assert region is not None
        assert low is not None
        leaks = len(low.injections)
        assert [at for at, _ in region.injections[leaks:]] == nets
        for _, ampere in region.injections[leaks:]:
            assert ends(ampere) == pytest.approx((-3e-3, -1e-3))
            assert ampere.unit == AMPERE
        assert (region.obstacles, low.obstacles) == ((), ())
        assert [at for at, _ in region.injections[:leaks]] == [at for at, _ in low.injections]
        assert all(ampere.nominal == 0 for _, ampere in low.injections)
    assert loaded(fed(FIRST), high=True) is None
    assert loaded(fed(FIRST + block("U2", "TO1", "two", "on")), high=True) is None
    enabling = loaded(fed(FIRST + living("U2", "on") + block("U4", "TO1", "four", "on")), high=True)
    assert enabling is not None
    assert [ampere.nominal for _, ampere in enabling.injections if ampere.nominal] == [-2e-3]
    switched = fed(FIRST + living("U2", "vs"), more="M1 vs on vdd vdd MP\n")
    assert loaded(switched, high=True) is None
    other = fed(FIRST + block("U4", "TO1", "two", "vdd") + living("U2", "two"))
    assert loaded(other, high=True) is None
    unsaid = loaded(fed(FIRST + living("U2", "on"), draw=""), high=True)
    assert unsaid is not None
    assert all(ampere.nominal == 0 for _, ampere in unsaid.injections)
    assert [each.missing for each in unsaid.obstacles] == [("TO1 consumption",)]


def centred(lines: str = "", part_file: str = PLAIN, intent: str = "ambient 25degC .. 25degC") -> Book:
    """The centred board at 4 V and more."""
    return book(f"{CENTRED}{lines}\n", part_file, intent)


BARE = PLAIN.replace('"strap", "output", "ground", "rate"', '"nc", "nc", "ground", "nc"')


def test_a_block_draws_its_consumption_and_its_rate_current() -> None:
    """2 mA +/- 10 % and 0.5 V +/- 2 % over 100 kohm +/- 1 %."""
    found = fact(book(CENTRED.replace("PL1", "PL1H"), PLAIN, "ambient 25degC .. 25degC"), "supply.current")
    assert found.span is not None
    assert found.span[:3] == pytest.approx((1.8e-3 + 0.49 / 101e3, 2e-3 + 5e-6, 2.2e-3 + 0.51 / 99e3))
    assert (found.span.unit, found.law) == (AMPERE, "consumption + rate current")
    told = found.inputs[0]
    assert (told.label, told.value, told.origin) == (
        "XU1 consumption",
        "1.8 mA .. 2.2 mA (nominal 2 mA)",
        "part file",
    )
    assert told.place is not None


def test_a_block_without_a_rate_pin_draws_its_consumption_alone() -> None:
    """As the part file says; a part file that does not say is named."""
    alone = BARE.replace('like        = "PL1"', 'like        = "PL1"', 1)
    of = book(CENTRED.replace("PL1", "PL1H"), alone)
    found = fact(of, "supply.current")
    assert found.span is not None
    assert found.span[:3] == pytest.approx((1.8e-3, 2e-3, 2.2e-3))
    assert found.law == "consumption of the part"
    assert unknown(centred(), "supply.current") == Unknown(
        "the part file of PL1 gives no consumption", ("PL1 consumption",)
    )


def test_an_unknown_rate_current_leaves_the_draw_unknown() -> None:
    """Named as there."""
    of = book(CENTRED.replace("PL1", "PL1H").replace("100k", "?"), PLAIN)
    assert unknown(of, "supply.current").missing == ("R3 value",)


@pytest.mark.parametrize(
    ("lines", "ampere"),
    [
        ("", 4 / 32e3),
        # A second resistor to the supply, or to another rail: what leaves each net that holds it.
        ("R9 vdd cfg 22k tol=1%", 4 / 21e3),
        ("R9 v1 cfg 10k 0%\nV9 v1 0 1.25", 4 / 32e3),
        ("R9 cfg 0 10k tol=1%", 4 / 27e3),
        # 10 uA into the tap of 6875 ohm lift it by 68.75 mV.
        ("I9 0 cfg 10u", (2.75 - 0.06875) / 22e3),
    ],
)
def test_the_strap_network_draws_what_leaves_its_rails(lines: str, ampere: float) -> None:
    """By Ohm's law; what flows into a rail is not drawn twice."""
    found = fact(centred(lines), "strap.current")
    assert found.span is not None
    assert found.span.nominal == pytest.approx(ampere)
    assert found.span.unit == AMPERE
    assert found.law == "sum of the currents out of the nets that hold the strap network"


def test_a_strap_s_extremes_are_those_of_its_resistors() -> None:
    """4 V over 32 kohm of 1 %."""
    found = span(centred(), "strap.current")
    assert (found.low, found.high) == pytest.approx((4 / (1.01 * 32e3), 4 / (0.99 * 32e3)))


def test_a_strap_that_nothing_holds_draws_nothing() -> None:
    """Its resistors lead to a net that floats; without a pin there is none; an obstacle is named."""
    floating = book(CENTRED.replace("R1 vdd cfg", "R1 far cfg").replace("R2 cfg 0", "R2 cfg far"), PLAIN)
    found = fact(floating, "strap.current")
    assert (found.value, found.law) == (Span(0, 0, 0, AMPERE), "nothing holds the strap network")
    of = centred(part_file=BARE)
    assert strap_current(of, block_at(of)) == Unknown("XU1 has no strap pin", ("XU1 strap pin",))
    assert unknown(centred("X9 cfg 0 LAMP"), "strap.current").missing == ("X9",)
    assert unknown(centred("R9 cfg 0 ?"), "strap.current").missing == ("R9 value",)


def test_a_strap_on_a_switched_level_draws_by_its_states() -> None:
    """At 4 V and at 0 V."""
    board = CENTRED.replace("R1 vdd cfg", "R1 sq cfg") + "V9 sq 0 PULSE(0 4 0 1u 1u 1m 2m)\n"
    of = book(board, PLAIN)
    found = strap_current(of, block_at(of))
    assert isinstance(found, States)
    assert sorted(each.nominal for _, each in found.states) == pytest.approx([0.0, 4 / 32e3])


def test_the_peak_charges_what_stood_at_the_low_level() -> None:
    """4 V over 25 ohm into 1 nF straight on it; behind 75 ohm over 100 ohm; a resistor alone has no peak."""
    for lines, ampere in (
        ("C9 out 0 1n", 4 / 25),
        ("C9 out vdd 1n", 4 / 25),
        ("R9 out a 75 0%\nC9 a 0 1n", 4 / 100),
        ("R9 out 0 175 0%", 4 / 200),
        ("", 0.0),
        ("R9 out a 75 0%\nC9 a 0 1n\nR8 out 0 100 0%", 4 / (25 + 300 / 7)),
    ):
        found = span(centred(lines), "output.peak")
        assert found.middle == pytest.approx(ampere, abs=1e-12)
        assert found.unit == AMPERE
    assert span(
        centred("R9 out a 75 0%\nC9 a 0 1n", intent="fit C9 no"), "output.peak"
    ).middle == pytest.approx(0, abs=1e-12)


def test_the_peak_counts_from_the_block_s_ground() -> None:
    """A ground of 1 V: the capacitor stands at 1 V, so that 3 V drive it."""
    board = CENTRED.replace("cfg out 0 rt", "cfg out g rt") + "V9 g 0 1\nC9 out 0 1n\n"
    assert span(book(board, PLAIN), "output.peak").middle == pytest.approx(3 / 25)
    evidence = {each.label: each for each in fact(centred("C9 out 0 1n"), "output.peak").inputs}
    assert evidence["XU1 output high"].value == "25 ohm"
    assert evidence["XU1 output high"].origin == "part file"
    assert evidence["XU1 output high"].place is not None


def test_the_peak_is_that_of_the_row_for_the_block_s_own_supply() -> None:
    """3 V between a rail of 4 V and a ground of 1 V: the row up to 3.5 V, 50 ohm."""
    rows = 'output = [ { kind = "push-pull", resistance = "50ohm", at_supply = "2V .. 3.5V" }, '
    rows += '{ kind = "push-pull", resistance = "25ohm", at_supply = "3.5V .. 6V" } ]'
    old = 'output   = { kind = "push-pull", source = "10mA", sink = "8mA", resistance = "25ohm" }'
    assert old in PLAIN
    board = CENTRED.replace("cfg out 0 rt", "cfg out g rt") + "V9 g 0 1\nC9 out 0 1n\n"
    assert span(book(board, PLAIN.replace(old, rows)), "output.peak").middle == pytest.approx(3 / 50)


def test_an_output_that_does_not_drive_high_has_no_peak() -> None:
    """An open drain; one whose resistance nobody gives, or that has no pin, is named."""
    drain = fact(book(CENTRED.replace("PL1", "PL1D") + "C9 out 0 1n\n", PLAIN), "output.peak")
    assert (drain.value, drain.law) == (Span(0, 0, 0, AMPERE), "the output does not drive high")
    silent = PLAIN.replace(', resistance = "25ohm" }', " }")
    assert unknown(centred(part_file=silent), "output.peak") == Unknown(
        "the output resistance of XU1 is not given", ("PL1 output resistance",)
    )
    elsewhere = PLAIN.replace('resistance = "25ohm" }', 'resistance = "25ohm", at_supply = "5V .. 6V" }')
    assert unknown(centred(part_file=elsewhere), "output.peak").missing == ("PL1 output resistance",)
    pinless = PLAIN.replace('"strap", "output"', '"strap", "nc"')
    for name in ("output.peak", "output.charging"):
        assert unknown(centred(part_file=pinless), name) == Unknown(
            "XU1 has no output pin", ("XU1 output pin",)
        )
    off = book(CENTRED.replace("V1 vdd 0 4\n", ""), PLAIN)
    assert peak(off, block_at(off)) == unknown(off, "output.peak")
    assert unknown(off, "output.peak").missing == ("voltage of vdd",)


def charging(lines: str, part_file: str = PLAIN, board: str = CENTRED) -> Fact:
    """The average current into capacitance of a block that makes 20 kHz."""
    return fact(book(f"{board}{lines}\n", part_file, "ambient 25degC .. 25degC"), "output.charging")


def test_capacitance_takes_c_v_f_at_the_highest_frequency() -> None:
    """1 nF of 0 % at 4 V and 12.5 kHz over 0.99 and 0.99: the period of 80 us less 1 % and R3's 1 %."""
    fastest = 1 / (80e-6 * 0.99 * 0.99)
    found = charging("C9 out 0 1n 0%")
    assert found.span is not None
    assert found.span.high == pytest.approx(1e-9 * 4 * fastest)
    assert (found.span.unit, found.law) == (AMPERE, "C V f, at the highest frequency")
    on_one_volt = CENTRED.replace("cfg out 0", "cfg out g").replace("cfg 0", "cfg g").replace("rt 0", "rt g")
    lifted = charging("C9 out 0 1n 0%\nV9 g 0 1", board=on_one_volt)
    assert lifted.span is not None
    assert lifted.span.high == pytest.approx(1e-9 * 3 * fastest)
    none = charging("")
    assert none.span is not None
    assert none.span[:3] == (0, 0, 0)


def test_what_c_v_f_needs_is_named() -> None:
    """The frequency's own gap, the supply's, a capacitor's."""
    untimed = charging("C9 out 0 1n", PLAIN.replace('period = "2us", ', ""))
    assert isinstance(untimed.value, Unknown)
    assert untimed.value.missing == ("PL1 timing.period",)
    off = charging("C9 out 0 1n", board=CENTRED.replace("V1 vdd 0 4\n", ""))
    assert isinstance(off.value, Unknown)
    assert "voltage of vdd" in off.value.missing
    unread = charging("C9 out 0 ?")
    assert isinstance(unread.value, Unknown)
    assert unread.value.missing == ("C9 value",)


def test_consumption_is_sampled_and_known_exactly_where_it_has_no_width() -> None:
    """A span is a cause by the block's path, a figure none."""
    of = fed(FIRST + living("U2", "on"), draw='"2mA"')
    assert ends(handed(of, "on")) == pytest.approx((2.96, 2.96))
    wide = handed(fed(FIRST + living("U2", "on")), "on")
    assert isinstance(wide, Dependence)
    assert wide.causes == (Cause("XU2 consumption", 2e-3, 1e-3, 3e-3, False),)
