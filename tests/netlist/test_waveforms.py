"""Independent sources: what they settle at, the levels they take, period and times."""

import pytest

from drc.circuit.model import Waveform
from drc.netlist.read import read_text


def _wave(tail: str, *more: str) -> Waveform:
    element = next(iter(read_text("\n".join((f"title\nV1 a 0 {tail}", *more, ""))).elements()))
    assert element.waveform is not None
    return element.waveform


@pytest.mark.parametrize("tail", ["5", "DC 5", "dc=5", "DC 5 AC 1 0", "{VS}", "AC 1 DC 5", "DC {VS/1}", "5V"])
def test_a_constant_source_has_one_level(tail: str) -> None:
    """Every way to write a constant gives the one level and value."""
    assert _wave(tail, ".param VS=5") == Waveform("dc", 5.0, (5.0,))


def test_a_pulse_train_never_settles() -> None:
    """PULSE with a period has two levels, a period, a high time and edges."""
    wave = _wave("PULSE(0 5 1u 2n 3n 1m 4m)")
    assert wave == Waveform("pulse", None, (0.0, 5.0), 4e-3, 1e-3, 2e-9, 3e-9)


def test_the_high_time_of_a_falling_pulse_is_the_rest_of_the_period() -> None:
    """Where the second level is the lower, the source is high between the pulses."""
    assert _wave("PULSE(5 0 0 0 0 1m 4m)").high_s == pytest.approx(3e-3)


def test_a_pulse_without_a_width_is_a_step() -> None:
    """A ramp written as PULSE stays at its second level; one without a period comes once."""
    assert _wave("PULSE(0 5 0 10m)").settled == 5
    assert _wave("PULSE(0 5 0 1u 1u 1m)").settled == 0


def test_a_sine_settles_at_its_offset_or_not_at_all() -> None:
    """An undamped sine never settles; a damped one does, at its offset."""
    assert _wave("SIN(1 2 1k)") == Waveform("sin", None, (-1.0, 3.0), 1e-3)
    assert _wave("SIN(1 2 1k 0 100)").settled == 1


def test_a_piecewise_source_stays_at_its_last_value() -> None:
    """PWL settles at the last value and keeps the levels it holds; repeated, it has a period."""
    wave = _wave("PWL(0 0 1m 0 1.1m 5 2m 5 2.1m 3.3)")
    assert wave.settled == 3.3
    assert wave.levels == (0.0, 3.3, 5.0)
    repeated = _wave("PWL(0 0 1m 5 2m 0) r=0")
    assert (repeated.settled, repeated.period_s) == (None, 2e-3)


def test_the_other_forms_give_their_levels() -> None:
    """EXP comes back where its fall is given; SFFM and AM never settle."""
    assert _wave("EXP(0 5 1u 1u 1m 1u)").settled == 0
    assert _wave("EXP(0 5 1u 1u)").settled is None
    assert _wave("SFFM(1 0.5 10k 5 1k)").levels == (0.5, 1.5)
    assert _wave("AM(1 2 1k 10k)").settled is None


def test_brackets_commas_and_continuations_do_not_matter() -> None:
    """The form's numbers may stand with commas, without brackets, and over lines."""
    wave = _wave("PULSE(0 5 1u 2n 3n 1m 4m)")
    assert _wave("pulse 0,5 1u 2n\n+ 3n 1m 4m") == wave
    assert _wave("DC 0 PULSE ( 0 5\n* remark\n+ 1u 2n 3n 1m 4m )") == wave


def test_a_source_without_a_readable_value_is_unknown() -> None:
    """An undefined parameter gives no waveform and no value."""
    element = next(iter(read_text("title\nV1 a 0 {nix}\n").elements()))
    assert element.waveform is None
    assert element.value is None
