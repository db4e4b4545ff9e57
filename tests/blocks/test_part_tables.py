"""The tables of a part file that hang together: each wrong one refused once, where it stands."""

import pytest

from drc.blocks.model import Code, Drive, ErrorRow, InputPin, Modulation, Part, Timing
from drc.blocks.parts import parse_parts
from drc.quantity.span import Span
from drc.quantity.unit import SECOND
from drc.trouble import InputError

HEAD = '[part.P]\nfunction = "one-shot"\n'
PINS = 'pins = ["supply", "ground", "output", "rate", "strap", "trigger", "select"]\n'


def part(text: str, pins: str = PINS) -> Part:
    """A part with these pins and keys."""
    return parse_parts(HEAD + pins + text + "\n").by_name["P"]


def told(text: str, pins: str = PINS) -> list[str]:
    """The key and what was found there, of each refusal; the line is that of the text, counted from 1."""
    with pytest.raises(InputError) as caught:
        part(text, pins)
    return [t.message.removeprefix("part P, key ").partition(", expected")[0] for t in caught.value.troubles]


@pytest.mark.parametrize(
    ("text", "refusals"),
    [
        ("timing = 3", ["timing: found 3"]),
        ('timing = { period = "1V", rising = {} }', ['timing.period: found "1V"']),
        (
            'timing = { period = "1V", rising = { offset = "1V" }, falling = 3 }',
            ['timing.period: found "1V"', 'timing.rising.offset: found "1V"', "timing.falling: found 3"],
        ),
        ("timing = { error = 3 }", ["timing.error: found 3"]),
        ("timing = { error = [3] }", ["timing.error.1: found 3"]),
        ('timing = { error = [{ error = "1%" }, { error = "1" }] }', ['timing.error.2.error: found "1"']),
        ("strap = 3", ["strap: found 3"]),
        ('strap = { levels = 4, thresholds = "x" }', ['strap.thresholds: found "x"']),
        ("strap = { levels = 1, thresholds = [0.5] }", ["strap.levels: found 1"]),
        ("strap = { levels = 3, thresholds = [0.5, 0.2] }", ["strap.thresholds: found a list of 2"]),
        (
            "strap = { levels = 4, thresholds = [0.5, 0.2] }",
            ["strap.thresholds: found a list of 2", "strap.thresholds: found a list of 2"],
        ),
        ("codes = [{ code = 0, prescale = 1, when = {} }]", ["codes.1.when: found a table"]),
        ('codes = [{ code = 0, prescale = 1, when = "x" }]', ['codes.1.when: found "x"']),
        (
            'codes = [{ code = 0, prescale = 1, when = { select = 1, rate = "low" } }]',
            ["codes.1.when.select: found 1"],
        ),
        ("output = 3", ["output: found 3"]),
        ('output = [{ kind = "open-drain" }, 3]', ["output.2: found 3"]),
        ("input = 3", ["input: found 3"]),
        ("input.trigger = 3", ["input.trigger: found 3"]),
        ("inputs = 3", ["inputs: found 3"]),
        ("input = { rate = {} }", ['input.rate: found "rate"']),
        ("package.S8 = 3", ["package.S8: found 3"]),
        ("package.S8.pins = 3", ["package.S8.pins: found 3"]),
        ("package.S8.pins = [3]", ["package.S8.pins.1: found 3"]),
        ('package.S8.pins = [".supply"]', ['package.S8.pins.1: found ".supply"']),
        ('package.S8.pins = ["A."]', ['package.S8.pins.1: found ""']),
        ('package.S8.pins = ["A.suply"]', ['package.S8.pins.1: found "suply"']),
        ("unit = 3", ["unit: found 3"]),
        ('unit.A.pins = "x"', ['unit.A.pins: found "x"']),
        ("supplies = 3", ["supplies: found 3"]),
        ("alias = 3", ["alias: found 3"]),
        ("alias = { output = [3] }", ["alias.output.1: found 3"]),
        ('alias = { output = ["Q"], rate = ["R", "q"] }', ['alias.rate: found "q"']),
        ("reset = {}", ["reset.active: found nothing"]),
        ('ladder = { lower = "1/2", upper = "1/2" }', ['ladder.lower: found "1/2"']),
        ("ladder = 3", ["ladder: found 3"]),
        ("modulate = { points = 3 }", ["modulate.points: found 3"]),
        ('modulate = { points = [["0V", "5%"], 3] }', ["modulate.points.2: found 3"]),
        ('modulate = { points = [["0V", "5%"], ["1V"]] }', ["modulate.points.2: found a list of 1"]),
        ('modulate = { points = [["0V", "5%"], ["1V", "9%", 1]] }', ["modulate.points.2: found a list of 3"]),
        (
            'modulate = { points = [["0V", "5%"], ["x", "y"]] }',
            ['modulate.points.2: found "x"', 'modulate.points.2: found "y"'],
        ),
        ('modulate = { points = [["1V", "5%"], ["1V", "9%"]] }', ["modulate.points: found a list of 2"]),
        (
            'modulate = { full_scale = "1V .. 1V", duty = "5% .. 9%" }',
            ['modulate.full_scale: found "1V .. 1V"'],
        ),
        (
            'modulate = { full_scale = "at most 1V", duty = "5% .. 9%" }',
            ['modulate.full_scale: found "at most 1V"'],
        ),
        (
            'modulate = { full_scale = "at least 1V", duty = "5% .. 9%" }',
            ['modulate.full_scale: found "at least 1V"'],
        ),
        (
            'modulate = { full_scale = "0V .. 1V", duty = "5% .. 109%" }',
            ['modulate.duty: found "5% .. 109%"'],
        ),
        (
            'modulate = { full_scale = "0V .. 1V", duty = "at most 9%" }',
            ['modulate.duty: found "at most 9%"'],
        ),
        (
            'modulate = { duty = "5% .. 95%" }',
            ["modulate: found neither points nor both full_scale and duty"],
        ),
        (
            'modulate = { full_scale = "x", duty = "y" }',
            ['modulate.full_scale: found "x"', 'modulate.duty: found "y"'],
        ),
        (
            'modulate = { reference = "x", full_scale = "0 .. 1", duty = "5% .. 9%" }',
            ['modulate.reference: found "x"'],
        ),
        (
            'modulate = { points = [["0V", "5%"], ["1V", "9%"]], full_scale = "0V .. 1V" }',
            ["modulate.points: found points beside full_scale or duty"],
        ),
    ],
)
def test_a_wrong_table_is_refused_once_where_it_stands(text: str, refusals: list[str]) -> None:
    """Each wrong value at its own key, none of them twice, and nothing refused that follows from another."""
    assert told(text) == refusals


def test_a_full_scale_without_an_end_names_one_that_has_both() -> None:
    """A line needs two points: volts against ground, plain fractions of a reference."""
    for text, example in (
        ('modulate = { full_scale = "at most 1V", duty = "5% .. 9%" }', "0V .. 0.8V"),
        ('modulate = { full_scale = "at most 1", duty = "5% .. 9%", reference = "rate" }', "0 .. 1"),
    ):
        with pytest.raises(InputError) as caught:
            part(text)
        (trouble,) = caught.value.troubles
        assert trouble.message.endswith(f'expected both its ends, such as "{example}"')


def test_a_code_that_is_listed_again_is_told_of_each_earlier_row() -> None:
    """Three rows of one code and one apart from all of them: one refusal a pair that meets."""
    rows = "{ code = 0, prescale = 1 }, { code = 1, prescale = 1 }, { code = 0, prescale = 2 }"
    assert told(f"codes = [{rows}]") == ["codes.3: found code 0 again"]
    assert told(f"codes = [{rows}, {{ code = 0, prescale = 3 }}]") == [
        "codes.3: found code 0 again", "codes.4: found code 0 again", "codes.4: found code 0 again",
    ]  # fmt: skip
    with pytest.raises(InputError) as caught:
        part(f"codes = [{rows}]")
    assert "differs from row 1, or a when" in caught.value.troubles[0].message


def test_an_edge_is_whole() -> None:
    """Where an edge gives its own error or tempco these replace what both have, and the rest stands."""
    timing = part(
        'timing = { period = "1us", at_supply = "3V", error = [{ error = "1%" }, { error = "2%" }],'
        ' tempco = "50ppm", rising = { error = "3%", tempco = "+/- 20ppm" }, falling = { jitter = "1ns" } }'
    ).timing
    assert timing is not None
    both = Timing(1e-6, None, 3.0, (ErrorRow(0.01), ErrorRow(0.02)), 50e-6, tempco_signed=True)
    assert timing._replace(rising=None, falling=None) == both
    assert timing.rising == both._replace(errors=(ErrorRow(0.03),), tempco=20e-6, tempco_signed=False)
    assert timing.falling == both._replace(jitter=1e-9)
    alone = part('timing = { rising = { offset = "60ns .. 200ns" } }').timing
    assert alone is not None
    assert alone.falling is None
    assert alone.rising is not None
    assert alone.rising.offset == Span(60e-9, None, 200e-9, SECOND)
    assert (alone.offset, alone.tempco, alone.tempco_signed) == (None, None, False)


def test_what_a_row_does_not_say() -> None:
    """Codes are not inverted and hold in any state, outputs have no rating, unless the row says otherwise."""
    found = part('codes = [{ code = 0, prescale = 7 }]\noutput = { kind = "push-pull" }')
    assert found.codes == (Code(0, 7, inverted=False, when={}, rest=None),)
    assert found.outputs == (Drive("push-pull"),)


def test_rows_that_some_pin_keeps_apart_may_repeat_a_code() -> None:
    """One pin of two is enough; a row without `when` holds in every state, and so meets every other."""
    both = "{{ code = 0, prescale = 1, when = {{ {} }} }}, {{ code = 0, prescale = 2{} }}"
    apart = both.format('select = "low", trigger = "high"', ', when = { select = "high", trigger = "high" }')
    assert [row.prescale for row in part(f"codes = [{apart}]").codes] == [1, 2]
    for text in (
        both.format('select = "low"', ""),
        both.format('select = "low"', ', when = { trigger = "high" }'),
        both.format('select = "low"', ', when = { select = "low", trigger = "high" }'),
    ):
        assert told(f"codes = [{text}]") == ["codes.2: found code 0 again"]


@pytest.mark.parametrize(
    ("units", "pins"),
    [
        (("supply", "output", "-"), ("supply", "output", "nc")),
        (("nc", "output", "supply"), ("nc", "output", "supply")),
        (("-", "-", "supply"), ("nc", "nc", "supply")),
    ],
)
def test_units_give_the_pins_where_the_part_does_not(units: tuple[str, ...], pins: tuple[str, ...]) -> None:
    """At each position the role that the unit gives, a pin that no unit has being unused."""
    text = "unit.A.pins = [" + ", ".join(f'"{role}"' for role in units) + "]"
    assert part(text, pins="").pins == pins


def test_the_first_unit_that_owns_a_position_names_it() -> None:
    """Two units of one length; of different lengths they give no pins, and each is told of none."""
    same = 'unit.A.pins = ["-", "output", "nc", "supply"]\nunit.B.pins = ["rate", "-", "nc", "supply"]'
    assert part(same, pins="").pins == ("rate", "output", "nc", "supply")
    other = 'unit.A.pins = ["supply", "output"]\nunit.B.pins = ["supply"]'
    assert part(other, pins="").pins == ()
    assert told(other, pins='pins = ["supply", "output"]\n') == ["unit.B.pins: found a list of 1"]


def test_neither_pins_nor_units_is_refused() -> None:
    """Without units the pins are asked for; the function always is."""
    assert told("", pins="") == ["pins: found nothing"]
    with pytest.raises(InputError) as caught:
        parse_parts('[part.P]\nunit.A.pins = ["supply"]\n')
    assert [t.message.partition(", expected")[0] for t in caught.value.troubles] == [
        "part P, key function: found nothing"
    ]


def test_what_a_refused_parent_might_have_given_is_not_asked_for() -> None:
    """A part that is like nothing that stands is refused for that alone."""
    with pytest.raises(InputError) as caught:
        parse_parts('[part.P]\nlike = "Q"\n')
    assert [t.message for t in caught.value.troubles] == [
        'part P, key like: found "Q", expected a part of these files'
    ]


def test_a_leakage_for_all_inputs_reaches_inputs_alone() -> None:
    """Pins with an input role, in the pins' order behind those that are described; others have none."""
    pins = 'pins = ["supply", "ground", "output", "rate", "trigger", "enable", "discharge"]\n'
    found = part('inputs.leakage = "2nA"\ninput.enable = { active = "low" }', pins).inputs
    assert found == {"enable": InputPin(leakage=2e-9, active="low"), "trigger": InputPin(leakage=2e-9)}
    assert list(found) == ["enable", "trigger"]
    assert part("input.enable = {}", pins).inputs == {"enable": InputPin()}
    own = part('inputs.leakage = "2nA"\ninput.enable = { leakage = "0A" }', pins).inputs
    assert own["enable"].leakage == 0


def test_a_modulate_law_by_its_ends() -> None:
    """The low level has the low duty and the high one the high; an error of points is a fraction of one."""
    assert part('modulate = { full_scale = "-0.2V .. 0.8V", duty = "0% .. 100%" }').modulate == Modulation(
        ((-0.2, 0.0), (0.8, 1.0)), None, "absolute"
    )
    found = part(
        'modulate = { full_scale = "10% .. 90%", duty = "5% .. 95%", error = "2points", reference = "rate" }'
    ).modulate
    assert found == Modulation(((0.1, 0.05), (0.9, 0.95)), 0.02, "rate")


def test_a_code_beyond_the_strap_is_refused_row_by_row() -> None:
    """Codes count from 0: with four levels 3 is the last; a part without a strap has no last."""
    rows = "codes = [{ code = 3, prescale = 1 }, { code = 4, prescale = 1 }, { code = 5, prescale = 1 }]"
    assert told(f"strap = {{ levels = 4 }}\n{rows}") == ["codes.2: found code 4", "codes.3: found code 5"]
    assert len(part(rows).codes) == 3


def test_roles_that_no_pin_has() -> None:
    """A `when` of another pin, a second supply without a pin, a unit of another length: each is refused."""
    assert told('codes = [{ code = 0, prescale = 1, when = { enable = "low" } }]') == [
        "codes: found when enable"
    ]
    assert told('supplies.io = { limit = "3V" }') == ['supplies.io: found "io"']
    assert told('unit.A.pins = ["supply"]') == ["unit.A.pins: found a list of 1"]


@pytest.mark.parametrize(
    ("roles", "lacks"),
    [
        ('"supply", "ground", "output", "rate", "strap", "trigger", "select"', None),
        ('"A.supply", "ground", "nc", "output", "rate", "-", "strap", "B.trigger", "select"', None),
        (
            '"supply", "ground", "output", "rate", "strap", "trigger", "enable"',
            "S8 lacks select and S8 adds enable",
        ),
        ('"supply", "ground", "output", "rate", "strap"', "S8 lacks select, trigger"),
        (
            '"supply", "ground", "output", "rate", "strap", "trigger", "select", "reset", "enable"',
            "S8 adds enable, reset",
        ),
    ],
)
def test_a_package_has_the_roles_of_the_part(roles: str, lacks: str | None) -> None:
    """In any order, with any number of unused pins; what it lacks and what it adds is named."""
    text = f"package.S8.pins = [{roles}]"
    if lacks is None:
        assert len(part(text).packages["S8"]) == roles.count(",") + 1
        return
    with pytest.raises(InputError) as caught:
        part(text)
    (trouble,) = caught.value.troubles
    assert trouble.message == (
        f"part P, key pins: found other roles than package S8 has, expected the same in both: {lacks}"
    )
