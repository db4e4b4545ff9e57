"""What a part file does not say is unknown: a key taken away never gives a fact another value."""

import math
from collections.abc import Mapping
from functools import cache

import pytest

from drc.facts.book import Book
from drc.facts.catalogue import BY_NAME, ENTRIES
from drc.facts.model import Cases, Fact, Subject, Unknown
from drc.quantity.span import Span
from drc.quantity.unit import Unit
from tests.facts.timing_boards import book

LEVELS = 'low = "0.3 supply", high = "0.7 supply", hysteresis = "0.1 supply", limit = "supply + 0.3V"'
CLOCK = {
    "supply": '{ rated = "2.0V .. 5.5V", limit = "6V" }',
    "ambient": '"-40degC .. 125degC"',
    "rate": '{ voltage = "0.5V +/- 2%", current = "1uA .. 20uA", resistance = "25kohm .. 500kohm", '
    'capacitance = "20pF", law = "ratio" }',
    "timing": '{ period = "2us", at_current = "20uA", at_supply = "3.0V", error = "1%", '
    'tempco = "+/- 50ppm", supply_error = "0.1%/V", offset = "60ns .. 200ns" }',
    "strap": '{ levels = 4, threshold_error = "0.5%", leakage = "10nA", source_resistance = "200kohm", '
    'read_after = "1ms", read = "once" }',
    "codes": "[{ code = 0, prescale = 1 }, { code = 1, prescale = 10 }, { code = 2, prescale = 100 }]",
    "output": '{ kind = "push-pull", source = "10mA", sink = "10mA", resistance = "20ohm", '
    'capacitance = "1nF", disabled = "low" }',
    "consumption": '"90uA .. 310uA"',
    "startup": '"0.8ms"',
}
ORDER = "supply strap output ground rate"
OTHERS: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "oscillator": ("enable", {"input.enable": f'{{ {LEVELS}, active = "high" }}'}),
    "slow-oscillator": ("reset", {"reset": '{ active = "high" }', "input.reset": f"{{ {LEVELS} }}"}),
    "pulse-modulator": (
        "modulate",
        {
            "modulate": '{ full_scale = "0V .. 1V", duty = "5% .. 95%", error = "1points", '
            'reference = "absolute" }'
        },
    ),
    "one-shot": (
        "trigger",
        {
            "trigger": '{ edge = "rising", retriggerable = false, recovery = "1us", level = false }',
            "input.trigger": f'{{ {LEVELS}, width = "100ns" }}',
        },
    ),
    "edge-delay": (
        "signal",
        {"signal": '{ edges = "both", restart = true }', "input.signal": f"{{ {LEVELS} }}"},
    ),
}
BOARD = """V1 vdd 0 3.0
XU1 vdd cfg out 0 rt pin TX1
RT rt 0 100k 1%
RA vdd cfg 30k 1%
RB cfg 0 10k 1%
C1 cfg 0 1n
C2 vdd 0 100n
R7 pin vdd 10k
C7 pin 0 1n
R8 out led 470
D8 led 0 LED_RED
"""
STATED = """ambient 0degC .. 60degC
ramp vdd 5ms
signal pin period 5ms .. 6ms, high 1ms .. 2ms
expect XU1 frequency at least 1Hz
"""
RC_STATED = "ambient 0degC .. 60degC\nexpect XU1 frequency at least 1Hz\n"
RC_KEYS = {
    "ladder": '{ lower = "1/3", upper = "2/3", error = "1%", resistance = "5kohm +/- 30%" }',
    "discharge": '{ resistance = "20ohm", current = "100mA" }',
    "input.threshold": '{ leakage = "10nA" }',
    "input.reset": '{ low = "0.4V", high = "1V", active = "low" }',
    "trigger": '{ edge = "falling", retriggerable = false, recovery = "0s", level = true }',
    "supply": '{ rated = "4.5V .. 15V", limit = "18V" }',
    "ambient": '"0degC .. 70degC"',
    "output": '{ kind = "push-pull", source = "50mA", sink = "50mA", resistance = "30ohm" }',
    "consumption": '"3mA .. 6mA"',
}
RC_ORDER = "supply output discharge threshold control trigger reset ground"
RC_BOARD = """V1 vdd 0 6
XU1 vdd out dis th cv th vdd 0 TX1
RA vdd dis 10k 1%
RB dis th 20k 1%
C1 th 0 100n 5%
C2 cv 0 10n
R8 out 0 1k
"""


def described(function: str) -> tuple[str, dict[str, str], str]:
    """Pin order, keys and board of a part that gives all there is to give."""
    if function == "rc-timer":
        return RC_ORDER, dict(RC_KEYS), RC_BOARD
    last, more = OTHERS[function]
    return f"{ORDER} {last}", {**CLOCK, **more}, BOARD


def board(function: str, without: str) -> Book:
    """The book of a function's board, with a key of its part file left out."""
    order, keys, netlist = described(function)
    pins = ", ".join(f'"{role}"' for role in order.split())
    head = f'[part.TX1]\ntitle = "t"\nsource = "this test"\nfunction = "{function}"\npins = [{pins}]\n'
    lines = "".join(f"{key} = {value}\n" for key, value in keys.items() if key != without)
    return book(netlist, head + lines, RC_STATED if function == "rc-timer" else STATED)


@cache
def facts(function: str, without: str = "") -> Mapping[str, Fact]:
    """Every fact about the block of that board."""
    of = board(function, without)
    block = of.board.blocks[0]
    subject = Subject("block", block.path, block.place, block)
    names = [entry.name for entry in ENTRIES if entry.subject == "block"]
    return {name: of.fact(subject, name) for name in names if not name.endswith(".monte_carlo")}


def within(less: Fact, whole: Fact) -> bool:
    """Whether a fact is the same, or a span inside the other."""
    if less.span is None or whole.span is None:
        return less.value == whole.value
    return whole.span.low <= less.span.low and less.span.high <= whole.span.high


CASES = [(function, key) for function in (*OTHERS, "rc-timer") for key in described(function)[1]]


@pytest.mark.parametrize(("function", "key"), CASES)
def test_what_is_not_said_is_unknown_and_never_another_value(function: str, key: str) -> None:
    """Of a part file without a key each fact is what it was, or unknown with a reason.

    A leakage alone counts as none where it is not given, which makes no span wider.
    """
    whole, less = facts(function), facts(function, key)
    for name, fact in less.items():
        if isinstance(fact.value, Unknown):
            assert fact.value.because, name
        elif key == "input.threshold":
            assert within(fact, whole[name]), name
        else:
            assert fact.value == whole[name].value, name


@pytest.mark.parametrize("function", [*OTHERS, "rc-timer"])
def test_a_fact_is_of_the_kind_that_the_catalogue_says(function: str) -> None:
    """A quantity has the entry's unit, a name is text, a truth yes or no; nominal lies within its span."""
    for name, fact in facts(function).items():
        kind, value = BY_NAME[name].kind, fact.value
        spans = [case.value for case in value.cases] if isinstance(value, Cases) else [value]
        for each in spans:
            if isinstance(each, Unknown):
                continue
            if isinstance(kind, Unit):
                assert isinstance(each, Span), name
                assert each.unit.dimension == kind.dimension, name
                assert each.low <= each.middle <= each.high or math.isinf(each.middle), name
            elif kind != "any":
                assert isinstance(each, str if kind == "name" else bool), name
        assert fact.name == name
        assert all(place.label for place in fact.inputs), name
