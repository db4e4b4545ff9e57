"""Part-file values at the ends of what may be given, on both sides; and pins at the ends of a line."""

import pytest

from drc.blocks.find import find_blocks
from drc.blocks.parts import parse_parts
from drc.netlist.read import read_text
from drc.trouble import InputError
from tests.blocks.test_values import part


def taken(text: str) -> bool:
    """Whether a part file with these keys is taken."""
    try:
        part(text)
    except InputError:
        return False
    return True


@pytest.mark.parametrize(
    ("text", "right"),
    [
        ("strap = { levels = 1 }", False),
        ("strap = { levels = 2 }", True),
        ("strap = { levels = 4096 }", True),
        ("strap = { levels = 4097 }", False),
        ("strap = { levels = true }", False),
        ("strap = { levels = 2.0 }", False),
        ("strap = { }", False),
        ("strap = { thresholds = [0.5] }", True),
        ("strap = { thresholds = [0] }", False),
        ("strap = { thresholds = [1] }", False),
        ("strap = { thresholds = [0.5, 0.5] }", False),
        ("strap = { thresholds = [0.5, 0.4] }", False),
        ("strap = { thresholds = [] }", False),
        ('strap = { thresholds = ["1/3", "40%"] }', True),
        ('strap = { thresholds = ["1V"] }', False),
        ("strap = { thresholds = [true] }", False),
        ("strap = { thresholds = [0.3, 0.6], levels = 3 }", True),
        ("strap = { thresholds = [0.3, 0.6], levels = 2 }", False),
        ('strap = { levels = 4, threshold_error = "0.5" }', False),
        ('strap = { levels = 4, threshold_error = "500ppm" }', True),
        ('strap = { levels = 4, leakage = "0A" }', True),
        ('strap = { levels = 4, leakage = "-1nA" }', False),
        ('strap = { levels = 4, read = "twice" }', False),
        ("strap = { levels = 4 }\ncodes = [{ code = 0, prescale = 0 }]", False),
        ("strap = { levels = 4 }\ncodes = [{ code = 0, prescale = 1 }]", True),
        ("strap = { levels = 4 }\ncodes = [{ code = 3, prescale = 1000000000000 }]", True),
        ("strap = { levels = 4 }\ncodes = [{ code = 3, prescale = 1000000000001 }]", False),
        ("strap = { levels = 4 }\ncodes = [{ code = -1, prescale = 1 }]", False),
        ("strap = { levels = 4 }\ncodes = [{ code = 4, prescale = 1 }]", False),
        ("strap = { levels = 4 }\ncodes = [{ code = 0, prescale = 1 }, { code = 0, prescale = 2 }]", False),
        ("codes = []", False),
        ("codes = [{ code = 4095, prescale = 1 }]", True),
        ("codes = [{ code = 4096, prescale = 1 }]", False),
        ('timing = { error = [{ error = "1%", ambient = "-40degC .. 0degC" }] }', True),
        ('timing = { error = [{ error = "1%", supply = "-1V .. 0V" }] }', False),
        ('regulator = { output = "-5V" }', True),
        ('regulator = { feedback = "-5V" }', False),
        ('modulate = { full_scale = "2V .. 3V", duty = "5% .. 95%" }', True),
        ('modulate = { full_scale = "-3V .. -2V", duty = "0% .. 100%" }', True),
        ('consumption = "-1A"', False),
        ('startup = "-1s"', False),
        ('supply = { rated = "-1V .. 5V" }', False),
        ('supply = { rated = "0V .. 5V" }', True),
        ('supply = { rated = "5A" }', False),
        ("supply = { rated = 5 }", False),
        ('ambient = "-40degC .. 125degC"', True),
        ('ambient = "40V"', False),
        ('output = { kind = "push-pull", high_drop = "0.4V at 10mA" }', True),
        ('output = { kind = "push-pull", high_drop = "0.4V at 0mA" }', False),
        ('output = { kind = "push-pull", high_drop = "0.4V" }', False),
        ('output = { kind = "push-pull", high_drop = "0.4A at 10mA" }', False),
        ('output = { source = "1mA" }', False),
        ("output = []", False),
        ('input.enable = { pull = "up 100kohm" }', True),
        ('input.enable = { pull = "down 100kohm" }', True),
        ('input.enable = { pull = "left 100kohm" }', False),
        ('input.enable = { pull = "up 0ohm" }', False),
        ('input.enable = { pull = "up 1V" }', False),
        ('input.enable = { low = "0.3 suply" }', False),
        ('input.enable = { low = "supply + 1A" }', False),
        ("input.enable = { low = 1 }", False),
        ('timing = { error = "1%", tempco = "50ppm" }', True),
        ('timing = { error = "1%", tempco = "50" }', False),
        ('timing = { error = "1%", tempco = "0.1%/V" }', False),
        ('timing = { error = "1%", supply_error = "0.1%/V" }', True),
        ('timing = { error = "1%", supply_error = "0.1%" }', False),
        ('timing = { error = [{ current = "1uA .. 2uA" }] }', False),
        ('timing = { error = [{ error = "1%", code = 3 }, { error = "2%", prescale = "1 .. 128" }] }', True),
        ('timing = { error = [{ error = "1%", code = "3V" }] }', False),
        ("timing = { error = [{ error = true }] }", False),
        ('title = "one line"', True),
        ('title = "two\\nlines"', False),
        ("title = 3", False),
    ],
)
def test_what_may_be_given(text: str, right: bool) -> None:
    """Each limit from both sides: refused beyond, taken at it."""
    assert taken(text) is right


def test_an_error_row_may_be_bound_to_codes_and_prescales() -> None:
    """A number is that number alone, a text a range."""
    found = part(
        'timing = { error = [{ error = "1%", code = 3 }, { error = "2%", prescale = "1 .. 128" }] }'
    ).timing
    assert found is not None
    first, second = found.errors
    assert first.code is not None
    assert second.prescale is not None
    assert first.code[:3] == (3, 3, 3)
    assert (second.prescale.low, second.prescale.high) == (1, 128)
    assert (first.prescale, second.code) == (None, None)


def test_rows_by_the_level_of_another_pin_stand_apart() -> None:
    """One code twice is taken where some pin has another level in each, refused where none has."""
    row = "{{ code = 0, prescale = {0}, when = {{ {1} }} }}"

    def codes(*whens: str) -> str:
        return "strap = { levels = 4 }\ncodes = [" + ", ".join(
            row.format(k + 1, when) for k, when in enumerate(whens)
        ) + "]"  # fmt: skip

    assert taken(codes('select = "high"', 'select = "low"'))
    assert not taken(codes('select = "high"', 'select = "high"'))
    assert not taken(codes('select = "high"', 'enable = "low"'))
    assert taken(codes('select = "high", enable = "low"', 'enable = "high"'))


PACKAGED = """
[part.PX]
function = "oscillator"
pins = ["supply", "ground", "output", "rate", "strap"]
package.T1.pins = ["ground", "supply", "output", "rate", "strap"]
package.T2.pins = ["ground", "supply", "output", "rate", "strap", "nc"]
"""


def troubles(line: str, more: str = "") -> list[tuple[str, str]]:
    """Kind and message of what is wrong with a line's pins."""
    circuit = read_text(f"title\nV1 vdd 0 3\n{line}\nR1 rt 0 1k\n{more}.end\n")
    return [(t.kind, t.message) for t in find_blocks(circuit, parse_parts(PACKAGED)).troubles]


def test_a_count_that_another_package_has_is_offered() -> None:
    """Six nodes fit package T2 alone; seven fit nothing."""
    ((kind, message),) = troubles("XU1 0 vdd out rt cfg n6 PX")
    assert kind == "pin-count"
    assert "found 6 nodes, expected 5" in message
    assert message.endswith("package T2 has 6: add package=T2")
    ((_, message),) = troubles("XU1 0 vdd out rt cfg n6 n7 PX")
    assert "add package" not in message
    ((_, message),) = troubles("XU1 0 vdd out rt cfg n6 PX package=T1")
    assert "the pins of PX in package T1" in message


def test_supply_on_ground_offers_the_package_that_fits() -> None:
    """The first two pins the other way round: package T1 has them so; both on ground is another matter."""
    ((kind, message),) = troubles("XU1 0 vdd out rt cfg PX")
    assert kind == "pin-wiring"
    assert message.endswith("the order of package T1 would fit: add package=T1")
    assert troubles("XU1 vdd 0 out rt cfg PX") == []
    assert troubles("XU1 0 vdd out rt cfg PX package=T1") == []
    assert troubles("XU1 0 0 out rt cfg PX") == []


def test_an_unknown_package_lists_those_that_there_are() -> None:
    """By name, letter case ignored."""
    ((kind, message),) = troubles("XU1 vdd 0 out rt cfg PX package=T9")
    assert kind == "package-unknown"
    assert "one of T1, T2" in message
    assert troubles("XU1 0 vdd out rt cfg PX package=t1") == []
