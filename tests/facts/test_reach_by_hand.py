"""How far an output reaches, which pins count, and how a way is told: case by case, by hand."""

import pytest

from drc.facts.book import Book
from drc.facts.chains import LONGEST, WIDEST, Chain, arriving, chain_of, chains, loop_of
from tests.facts.chain_boards import block, chained, pairs, parts
from tests.facts.test_chains import LADDER
from tests.facts.test_steps_between_nets import MORE

FIRST = block("U1", "TO1", "tick", "vdd")
SHOT = block("U2", "TS1", "pulse", "trg")


def between(way: str, pin: str = "trg") -> Book:
    """An oscillator's output and a one-shot's trigger, with a way between."""
    return chained(FIRST + block("U2", "TS1", "pulse", pin) + way + "\n")


def reached(netlist: str, intent: str = "", part_file: str | None = None) -> list[str]:
    """The pairs of a board."""
    return pairs(chained(f"{netlist}\n", intent, part_file))


def row(count: int) -> str:
    """So many resistors in a row from `tick` to `trg`."""
    nets = ["tick", *(f"n{k}" for k in range(1, count)), "trg"]
    return "\n".join(f"R{k + 50} {nets[k]} {nets[k + 1]} 10" for k in range(count))


def test_a_chain_tells_its_way() -> None:
    """Nets and elements from the output to the pin, and the last thing that drives anew."""
    (chain,) = chains(between("R1 tick b 10k\nQ1 c b 0 NS\nR2 vdd c 1k\nR3 c trg 1k"))
    assert chain.through == ("R1", "Q1", "R3")
    assert [net.name for net in chain.nets] == ["tick", "b", "c", "trg"]
    assert (chain.net.name, chain.path) == ("trg", "XU1 -> XU2 trigger")
    assert (chain.inverted, chain.coupled) == (True, False)
    assert chain.stage is not None
    assert (chain.stage.path, chain.stage.kind, chain.stage.output.name) == ("Q1", "transistor", "c")
    (bare,) = chains(between("", pin="tick"))
    assert (bare.through, [net.name for net in bare.nets]) == ((), ["tick"])
    assert (bare.stage, bare.coupled, bare.inverted) == (None, False, False)


def test_the_last_stage_of_several_is_told() -> None:
    """Behind two gates the second; a capacitor before a gate keeps the way coupled."""
    (chain,) = chains(between("C1 tick a 1n\nXG1 a b vdd 0 TG1\nR1 b c 1k\nXG2 c trg vdd 0 TG1"))
    assert chain.stage is not None
    assert (chain.stage.path, chain.coupled, chain.inverted) == ("XG2", True, False)
    (other,) = chains(between("XG1 tick a vdd 0 TG2\nXG2 a trg vdd 0 TG1"))
    assert other.inverted is None


@pytest.mark.parametrize("count", [12, 13])
def test_a_way_has_twelve_elements_at_most(count: int) -> None:
    """The thirteenth is not passed."""
    assert LONGEST == 12
    assert bool(chains(between(row(count)))) is (count == 12)


@pytest.mark.parametrize(("pins", "passed"), [(200, True), (201, False)])
def test_a_crowded_net_is_passed_no_further(pins: int, passed: bool) -> None:
    """200 pins, the output and the resistor to the trigger among them; one more is a rail by use."""
    crowd = "\n".join(f"C{k + 100} tick x{k} 1n" for k in range(pins - 2))
    assert WIDEST == 200
    assert bool(chains(between(f"R1 tick trg 10\n{crowd}"))) is passed


def test_the_pins_of_a_crowded_net_are_reached() -> None:
    """What is on it counts, whatever else is."""
    crowd = "\n".join(f"C{k + 100} tick x{k} 1n" for k in range(WIDEST + 5))
    assert reached(f"{FIRST}{block('U2', 'TS1', 'pulse', 'tick')}{crowd}") == ["XU1 -> XU2 trigger"]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        # Strap and rate pins are reached; past a rate pin nothing is.
        ("R1 tick cfgU2 100k", ["XU1 -> XU2 strap"]),
        ("R1 tick rtU2 100k", ["XU1 -> XU2 rate"]),
        ("R1 tick rtU2 100k\nR2 rtU2 cfgU2 1k", ["XU1 -> XU2 rate"]),
        # Outputs, and pins of helpers, are not.
        ("R1 tick pulse 1k", []),
        ("XW1 vin tick y 0 TW1", []),
        # A capacitor feeds no block, nor does a way of more than 1 kohm; a supply pin is fed by less.
        ("R1 tick trg 10k\nC1 trg cfgU2 1n", ["XU1 -> XU2 trigger", "XU1 -> XU2 strap"]),
    ],
)
def test_which_pins_are_reached(lines: str, expected: list[str]) -> None:
    """By their roles."""
    assert reached(f"{FIRST}{SHOT}{lines}") == expected


def fed(way: str, supply: str = "vs") -> list[str]:
    """The pairs of an oscillator and a second one that lives on `vs`, with a way between."""
    return reached(f"{FIRST}{block('U3', 'TO1', 'tone', supply, supply=supply)}{way}")


@pytest.mark.parametrize(
    ("way", "feeds"),
    [
        ("R1 tick vs 1k", True),
        ("R1 tick vs 1001", False),
        ("R1 tick m 600\nR2 m vs 600", True),
        ("L1 tick vs 1u", True),
        ("D1 tick vs DX", True),
        ("C1 tick vs 1u", False),
        ("C1 tick m 1u\nR1 m vs 10", False),
        # Before a switch any resistance may stand, behind it none of more than 1 kohm.
        ("R1 tick g 100k\nM1 vs g vdd vdd MP", True),
        ("R1 tick g 100k\nM1 m g vdd vdd MP\nR2 m vs 1k", True),
        ("R1 tick g 100k\nM1 m g vdd vdd MP\nR2 m vs 1001", False),
        ("C1 tick g 1n\nM1 vs g vdd vdd MP", False),
        ("XG1 tick vs vdd 0 TG1", True),
        ("XW1 vdd tick vs 0 TW1", True),
    ],
)
def test_what_feeds_a_block(way: str, feeds: bool) -> None:
    """Its enable is tied to its supply: it is a chain to the supply pin or to none."""
    assert fed(way) == (["XU1 -> XU3 supply"] if feeds else [])


def test_an_input_tied_to_the_supply_that_is_fed_is_no_chain_of_its_own() -> None:
    """One beside it is."""
    both = block("U3", "TO1", "tone", "vs", supply="vs") + block("U4", "TS1", "late", "vs")
    assert reached(f"{FIRST}{both}R1 tick vs 10") == ["XU1 -> XU3 supply", "XU1 -> XU4 trigger"]


def test_a_second_supply_is_fed_as_the_first() -> None:
    """A role that begins so; by a way of low resistance alone."""
    text = parts().replace('"rate", "enable"]', '"rate", "enable", "supply-io"]', 1)
    text = text.replace("strap = {", 'supplies.io = { rated = "1.6V .. 2.0V" }\nstrap = {', 1)
    second = block("U3", "TO1", "tone", "vdd").replace("rtU3 vdd TO1", "rtU3 vdd vio TO1")
    first = FIRST.replace("rtU1 vdd TO1", "rtU1 vdd vdd TO1")
    for ohm, expected in (("1k", ["XU1 -> XU3 supply-io"]), ("2k", [])):
        assert reached(f"{first}{second}R1 tick vio {ohm}", part_file=text) == expected


def test_a_fed_net_goes_on_through_switches_and_regulators_alone() -> None:
    """Its own resistors and capacitors are the fed block's: they hand no level on."""
    fed_block = block("U3", "TO1", "tone", "vs", supply="vs")
    shot = block("U4", "TS1", "late", "t")
    for way, reaches in (
        ("R2 vs t 100k", False),
        ("C2 vs t 1n", False),
        ("XG1 vs t vdd 0 TG1", False),
        ("XW1 vs on t 0 TW1", True),
        ("XR1 vs 0 t vs TREG", True),
        ("Q1 t vs 0 NS\nR2 vdd t 1k", False),
    ):
        found = reached(f"{FIRST}{fed_block}{shot}R1 tick vs 10\n{way}", part_file=parts() + MORE)
        assert ("XU1 -> XU4 trigger" in found) is reaches, way
        assert "XU1 -> XU3 supply" in found


@pytest.mark.parametrize(
    ("way", "expected"),
    [
        # Back to its own supply through a resistor no chain goes, through a switch one does.
        ("R1 tick vf 100", []),
        ("M1 vf tick vdd vdd MP", ["XU1 -> XU1 supply"]),
        # A rail of its own is no start: an output that is tied to its supply or ground does nothing.
        ("R1 tick gate 1k\nQ1 vf gate vdd PS", ["XU1 -> XU1 supply"]),
    ],
)
def test_a_block_on_its_own_rail(way: str, expected: list[str]) -> None:
    """A block whose supply comes through a filter, and its output back to it."""
    assert reached(f"{block('U1', 'TO1', 'tick', 'vf', supply='vf')}{way}") == expected


def test_an_output_on_a_rail_reaches_nothing() -> None:
    """Tied to its own supply, to ground, or to a stated net; what is on that net is not driven by it."""
    for out in ("vdd", "0", "held"):
        netlist = block("U1", "TO1", out, "vdd") + block("U2", "TS1", "pulse", out)
        assert reached(netlist, "supply held 2V" if out == "held" else "") == []
    lives = block("U1", "TO1", "vf", "vf", supply="vf") + block("U2", "TS1", "pulse", "vf")
    assert reached(lives) == []


def test_another_output_ends_a_way_but_for_the_stage_s_own() -> None:
    """Past an output nothing is reached; past a gate that works on a net of its own everything is."""
    other = block("U3", "TO1", "mid", "vdd")
    assert reached(f"{FIRST}{other}{SHOT}R1 tick mid 1k\nR2 mid trg 1k") == ["XU3 -> XU2 trigger"]
    assert reached(f"{FIRST}{SHOT}XG1 tick mid vdd 0 TG1\nR2 mid trg 1k") == ["XU1 -> XU2 trigger"]
    # Two outputs on one net: each reaches what is there.
    both = block("U3", "TO1", "tick", "vdd")
    assert reached(f"{FIRST}{both}{block('U2', 'TS1', 'pulse', 'tick')}") == [
        "XU1 -> XU2 trigger",
        "XU3 -> XU2 trigger",
    ]


def test_the_nearest_of_several_ways_is_told() -> None:
    """Of two ways of one sense the shorter; of unlike senses neither is claimed."""
    long = "R1 tick a 10\nR2 a trg 10\nR3 tick trg 10"
    (chain,) = chains(between(long))
    assert (chain.through, chain.inverted) == (("R3",), False)
    (unlike,) = chains(between("R3 tick trg 10\nXG1 tick m vdd 0 TG1\nR4 m trg 10"))
    assert (unlike.through, unlike.inverted) == (("R3",), None)
    (alike,) = chains(between("R3 tick trg 10\nXG1 tick m vdd 0 TG1\nXG2 m n vdd 0 TG1\nR4 n trg 10"))
    assert (alike.through, alike.inverted) == (("R3",), False)


def test_an_rc_timer_works_on_other_blocks_and_on_its_own_reset() -> None:
    """Its own trigger and threshold are its cycle; another's are chains."""
    first = "XT1 vdd out dis c ctl c {} 0 TT1\nR1 out c 10k\nC1 c 0 1n\n"
    second = "XT2 vdd o2 d2 th ctl2 out vdd 0 TT1\n"
    assert reached(first.format("vdd") + second, part_file=LADDER) == ["XT1 -> XT2 trigger"]
    assert reached(first.format("out"), part_file=LADDER) == ["XT1 -> XT1 reset"]
    own = reached(block("U1", "TS1", "a", "b") + "R1 a b 1k")
    assert own == ["XU1 -> XU1 trigger"]


def test_who_arrives_on_a_net() -> None:
    """One chain a driver, the nearest of each, drivers in the order of the lines."""
    two = FIRST + block("U3", "TO1", "tock", "vdd")
    ends = block("U2", "TS1", "pulse", "trg") + block("U4", "TO1", "tone", "trg")
    of = chained(f"{two}{ends}D1 tick trg DX\nD2 tock trg DX\n")
    net = of.board.circuit.net("trg")
    other = of.board.circuit.net("tick")
    assert net is not None
    assert other is not None
    assert [chain.path for chain in arriving(of, net)] == ["XU1 -> XU2 trigger", "XU3 -> XU2 trigger"]
    assert arriving(of, other) == ()
    assert chain_of(of, "XU3 -> XU4 enable").driver.path == "XU3"
    with pytest.raises(KeyError):
        chain_of(of, "XU4 -> XU1 enable")


def loops(netlist: str) -> dict[str, tuple[str, ...]]:
    """The loop of every chain."""
    of = chained(netlist)
    found: tuple[Chain, ...] = chains(of)
    return {chain.path: loop_of(of, chain) for chain in found}


def test_a_loop_holds_those_that_act_on_each_other() -> None:
    """U1 starts U2, U2 and U3 start each other, U3 starts U4: two in the loop, sorted, and two beside it."""
    netlist = (
        block("U1", "TO1", "a", "vdd") + block("U3", "TS1", "c", "b") + block("U2", "TS1", "b", "in2")
        + block("U4", "TS1", "d", "c") + "D1 a in2 DX\nD2 c in2 DX\nR9 in2 0 10k\n"
    )  # fmt: skip
    assert loops(netlist) == {
        "XU1 -> XU2 trigger": (),
        "XU3 -> XU2 trigger": ("XU2", "XU3"),
        "XU3 -> XU4 trigger": (),
        "XU2 -> XU3 trigger": ("XU2", "XU3"),
    }


def test_a_loop_of_three_and_of_one() -> None:
    """Round three blocks, and an output on its own trigger."""
    three = block("U1", "TS1", "a", "c") + block("U2", "TS1", "b", "a") + block("U3", "TS1", "c", "b")
    assert set(loops(three).values()) == {("XU1", "XU2", "XU3")}
    assert loops(block("U1", "TS1", "a", "b") + "R1 a b 1k\n") == {"XU1 -> XU1 trigger": ("XU1",)}
