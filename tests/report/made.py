"""A review made by hand, with one of everything that a report has to show."""

from typing import NamedTuple, cast

from drc.blocks.model import Block, Part, RatePin, StrapPin
from drc.circuit.model import Element, Net, SourceFile, Token
from drc.facts.model import Case, Cases, Fact, Input, Unknown
from drc.judge.model import Edit, Finding, Remedy, TallyEntry
from drc.outcome import Acceptance, BlockOutcome, BoardOutcome, ChainOutcome, Review, RuleText, Ruling
from drc.quantity.span import Span, exact
from drc.quantity.unit import AMPERE, HERTZ, OHM, SECOND, STEP, VOLT
from drc.trouble import Place


class MadeNet(NamedTuple):
    """A net that has a name and nothing else."""

    name: str


def net(name: str) -> Net:
    """A net by name."""
    return cast(Net, MadeNet(name))


PART = Part(
    "ZZ10",
    Place("rules/zz.toml", 1),
    title="steerable oscillator",
    function="oscillator",
    strap=StrapPin(8, tuple(n / 8 for n in range(1, 8))),
    rate=RatePin(),
)


def block(path: str = "XU3") -> Block:
    """A block of the part above."""
    pins = {"rate": (net("n4"),), "strap": (net("n5"),), "ground": (net("0"),), "supply": (net("vcc"),)}
    element = cast(Element, None)
    return Block(path, None, PART, element, "part", pins, Place("lamp.cir", 14, 1, 3))


FACTS = {
    fact.name: fact
    for fact in (
        Fact("supply.voltage", Span(3.135, 3.3, 3.465, VOLT), assumptions=("vcc is 3.3 V by its name",)),
        Fact("strap.ratio", Span(0.31, 0.3125, 0.315)),
        Fact("strap.code", exact(2)),
        Fact("strap.prescale", exact(50)),
        Fact("strap.polarity", "inverted"),
        Fact("strap.margin", Span(0.44, 0.5, 0.5, STEP)),
        Fact("rate.resistance", Span(99e3, 100e3, 101e3, OHM)),
        Fact("rate.current", Unknown("R9 has no value", ("R9 value",))),
        Fact(
            "timing.frequency",
            Span(9.7e3, 10e3, 10.3e3, HERTZ),
            law="f = 1 / (prescale * T)",
            inputs=(Input("RT", "100 kohm +/- 1 %", "line", Place("lamp.cir", 9, 1, 2)),),
        ),
        Fact("timing.frequency.rss", Span(9.8e3, 10e3, 10.2e3, HERTZ)),
        Fact("timing.period", Span(97e-6, 100e-6, 103e-6, SECOND)),
        Fact("timing.period.rss", Span(98e-6, 100e-6, 102e-6, SECOND)),
        Fact("timing.period.monte_carlo", Span(98.5e-6, 100e-6, 101.5e-6, SECOND)),
        Fact(
            "output.source",
            Cases((Case("EN low", exact(0.0, AMPERE)), Case("EN high", Span(2e-3, 2.1e-3, 2.2e-3, AMPERE)))),
        ),
        Fact("output.sink", Span(0.0, None, float("inf"), AMPERE)),
    )
}

FINDINGS = (
    Finding(
        "timing-outside-intent",
        "error",
        "fail",
        "XU3",
        Place("lamp.cir", 14, 1, 3),
        "XU3 makes 10 kHz, and 800 Hz +/- 5 % was wanted",
        block="XU3",
        part="ZZ10",
        evidence={
            "expect.actual": Fact("expect.actual", Span(9.7e3, 10e3, 10.3e3, HERTZ)),
            "expect.wanted": Fact("expect.wanted", Span(760.0, 800.0, 840.0, HERTZ)),
        },
        remedies=(
            Remedy((Edit("R4", Token("lamp.cir", 120, 124, "4.7k"), "47k"),), "a decade slip in the strap"),
        ),
    ),
    Finding(
        "strap-near-threshold",
        "warning",
        "at-risk",
        "XU3",
        Place("lamp.cir", 14, 1, 3),
        "XU3 reads code 2 at 0.3125, 0.1 steps clear of code 3",
        block="XU3",
        part="ZZ10",
        evidence={"strap.margin": Fact("strap.margin", Span(0.1, 0.12, 0.14, STEP))},
        advice="set the ratio nearer to the code's centre",
    ),
    Finding(
        "unread-line",
        "error",
        "fail",
        "lamp.cir:17",
        Place("lamp.cir", 17, 9, 4),
        "found 4q7x where a value was expected: write a number such as 4.7k",
        excerpt="R7 n1 \tn2 4q7x",
    ),
    Finding(
        "rate-unproven",
        "warning",
        "unproven",
        "XU3",
        Place("lamp.cir", 14, 1, 3),
        "the rate current of XU3 is not known",
        block="XU3",
        part="ZZ10",
        evidence={"rate.current": FACTS["rate.current"]},
        missing=("R9 value",),
    ),
    Finding(
        "supply-hostile",
        "note",
        "fail",
        "net",
        Place("lamp.cir", 20, 2),
        "net \x1b[31m<script>&[bold] \u202e is odd",
        evidence={"block.part": Fact("block.part", "ZZ10"), "supply.stated": Fact("supply.stated", False)},
    ),
)

RULINGS = (
    Ruling(FINDINGS[0], "new", "0" * 24),
    Ruling(FINDINGS[1], "accepted", "1" * 24, Acceptance("lab units only", "board owner", "2027-03-31")),
    Ruling(FINDINGS[2], "new", "2" * 24),
    Ruling(FINDINGS[3], "known", "3" * 24),
    Ruling(FINDINGS[4], "new", "4" * 24),
)

TALLY = (
    TallyEntry("timing-outside-intent", "XU3", "fail"),
    TallyEntry("strap-near-threshold", "XU3", "at-risk"),
    TallyEntry("rate-unproven", "XU3", "unproven", missing=("R9 value",)),
    TallyEntry("supply-in-range", "XU3", "pass", assumed=True),
    TallyEntry("output-overloaded", "XU3", "pass"),
    TallyEntry("unread-line", "lamp.cir:17", "fail"),
    TallyEntry("steering-range", "XU3", "not-applicable"),
)

CHAIN = ChainOutcome(
    driver="XU3",
    driven="XU3",
    role="enable",
    inverted=True,
    through=("R4", "Q1"),
    loop=("XU3",),
    facts={
        "pair.period": Fact("pair.period", Span(98e-6, 100e-6, 102e-6, SECOND)),
        "pair.high": Fact("pair.high", Unknown("nothing says what high the output of XU3 hands on")),
        "pair.level_high": Fact("pair.level_high", Span(3.2, None, 3.4, VOLT)),
    },
)

LAMP = BoardOutcome(
    path="boards/lamp.cir",
    sha256="a" * 64,
    elements=41,
    nets=23,
    error=None,
    blocks=(BlockOutcome(block(), FACTS),),
    rulings=RULINGS,
    tally=TALLY,
    inputs=(SourceFile("boards/lamp.cir", "board", "a" * 64),),
    chains=(CHAIN,),
)
DOOR = BoardOutcome("boards/door.cir", "b" * 64, 12, 9, None, (), (), (), ())
BROKEN = BoardOutcome("boards/broken.cir", "", 0, 0, "is empty: expected a netlist", (), (), (), ())

REVIEW = Review(
    version="0.1.0",
    date="2026-03-31",
    seed=1,
    draws=20000,
    gate="error",
    passed=False,
    inputs=(
        SourceFile("tickproof:rules/parts/zz.toml", "parts", "c" * 64),
        SourceFile("known findings.json", "known", "d" * 64),
        *LAMP.inputs,
    ),
    boards=(DOOR, LAMP, BROKEN),
    rules=(
        RuleText(
            "timing-outside-intent",
            "A block does what is wanted",
            "Nobody sees it on the drawing.",
            "Size it",
        ),
        RuleText(
            "strap-near-threshold", "The strap stays clear of the neighbours", "It turns when it is hot."
        ),
    ),
)


def same_path(path: str) -> str:
    """Paths shown as the review has them."""
    return path
