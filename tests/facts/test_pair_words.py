"""What is said of a pair in words, and what stands for a pulse that is not handed on; by hand.

Each block makes 2 us * (R / 25 kohm) * 10: 80 us at 100 kohm.
"""

import pytest

from drc.facts.book import Book
from drc.facts.model import Unknown
from tests.facts.chain_boards import TRIGGER, block, chained, pair_fact, pair_span, pair_unknown, parts
from tests.facts.test_rc_timer import parts as rc_parts
from tests.facts.timing_boards import span, unknown

OSCILLATOR = block("U1", "TO1", "tick", "vdd")
ONE_SHOT = block("U1", "TS1", "pulse", "kick")
DELAY = block("U1", "TD1", "late", "din", ohm="25k")
BOTH = TRIGGER.replace("rising", "both")


def chain(first: str, second: str, way: str = "", intent: str = "", file: str | None = None) -> Book:
    """Two blocks with a way between."""
    return chained(first + second + way, intent, file)


@pytest.mark.parametrize(
    ("way", "inverted", "through"),
    [
        ("R1 tick t 1k\n", False, "R1"),
        ("XG1 tick t vdd 0 TG1\n", True, "XG1"),
        ("XG1 tick m vdd 0 TG1\nXG2 m t vdd 0 TG1\n", False, "XG1, XG2"),
        ("R1 tick b 1k\nQ1 t b 0 NS\nR2 vdd t 10k\n", True, "R1, Q1"),
    ],
)
def test_whether_the_way_turns_the_level_round(way: str, inverted: bool, through: str) -> None:
    """Told with the elements that it goes through."""
    found = pair_fact(chain(OSCILLATOR, block("U2", "TS1", "out", "t"), way), "pair.inverted")
    assert (found.value, found.law) == (inverted, f"through {through}")


def test_a_way_that_may_turn_the_level_round_or_not_is_unknown() -> None:
    """An exclusive or: the sense is missing, and so are high and low at the end."""
    of = chain(ONE_SHOT, block("U2", "TD1", "out", "t"), "XG1 pulse t vdd 0 TG2\n", "signal kick period 1ms")
    assert pair_unknown(of, "pair.inverted").missing == ("sense of XG1",)
    assert pair_span(of, "pair.period").middle == pytest.approx(1e-3)
    for part in ("high", "low"):
        assert pair_unknown(of, f"pair.{part}").missing == (f"XU1 output {part}",)
    direct = pair_fact(chain(OSCILLATOR, block("U2", "TS1", "out", "tick")), "pair.inverted")
    assert (direct.value, direct.law) == (False, "through nothing")


def test_what_is_told_in_a_word_has_its_reason() -> None:
    """Role, coupling, logic and loop of a plain pair, and of two that act on each other."""
    of = chain(OSCILLATOR, block("U2", "TS1", "out", "tick"))
    assert pair_fact(of, "pair.role").value == "trigger"
    for name in ("coupled", "logic", "loop", "watchdog", "starts_again"):
        assert pair_fact(of, f"pair.{name}").law
    ring = chained(block("U1", "TS1", "a", "b") + block("U2", "TS1", "b", "a"))
    for path in ("XU1 -> XU2 trigger", "XU2 -> XU1 trigger"):
        assert pair_fact(ring, "pair.loop", path).value == "XU1, XU2"
    steers = chain(OSCILLATOR, block("U2", "TO1", "out", "vdd"), "R9 tick rtU2 1meg\n")
    assert pair_fact(steers, "pair.role").value == "rate"
    assert pair_fact(steers, "pair.logic").value is False


@pytest.mark.parametrize(
    ("kind", "pin", "guarded", "watchdog"),
    [
        ("TR1", "kick", "bark", True),
        ("TR1", "kick", "vdd", False),
        ("TS1", "kick", "bark", False),
    ],
)
def test_a_watchdog_holds_another_block(kind: str, pin: str, guarded: str, watchdog: bool) -> None:
    """One that starts again, and whose output enables a block; or one that it supplies."""
    of = chained(
        block("U1", "TO1", "kick", "vdd")
        + block("U2", kind, "bark", pin)
        + block("U3", "TO1", "tone", guarded)
    )
    assert pair_fact(of, "pair.watchdog", "XU1 -> XU2 trigger").value is watchdog
    assert pair_fact(of, "pair.starts_again", "XU1 -> XU2 trigger").value is (kind == "TR1")
    if guarded == "bark":
        enable = "XU2 -> XU3 enable"
        assert pair_fact(of, "pair.watchdog", enable).value is False
        assert pair_fact(of, "pair.starts_again", enable).value is False


def test_a_one_shot_that_only_triggers_another_is_no_watchdog() -> None:
    """Nor does it matter that another one-shot's output holds a block; what it supplies it does hold."""
    of = chained(
        block("U1", "TO1", "kick", "vdd")
        + block("U2", "TR1", "bark", "kick")
        + block("U3", "TR1", "yelp", "bark")
        + block("U4", "TO1", "tone", "yelp")
    )
    assert pair_fact(of, "pair.watchdog", "XU1 -> XU2 trigger").value is False
    assert pair_fact(of, "pair.watchdog", "XU2 -> XU3 trigger").value is True
    fed = chained(
        block("U1", "TO1", "kick", "vdd")
        + block("U2", "TR1", "bark", "kick")
        + block("U3", "TO1", "tone", "bark", supply="bark")
    )
    assert pair_fact(fed, "pair.watchdog", "XU1 -> XU2 trigger").value is True


def test_a_one_shot_that_is_only_enabled_is_no_watchdog_of_the_pair() -> None:
    """It starts again by its trigger and holds a block, but what comes by its enable pin starts nothing."""
    file = parts().replace('"rate", "trigger"]', '"rate", "trigger", "enable"]')
    second = block("U2", "TR1", "bark", "kick tick") + block("U3", "TO1", "tone", "bark")
    of = chain(OSCILLATOR, second, intent="signal kick period 1ms", file=file)
    for name in ("watchdog", "starts_again"):
        assert pair_fact(of, f"pair.{name}", "XU1 -> XU2 enable").value is False


def test_a_part_that_does_not_say_whether_it_starts_again() -> None:
    """Whether it does is unknown, and it is not known to be a watchdog; nor is one without a trigger."""
    second = block("U2", "TS1", "bark", "tick") + block("U3", "TO1", "tone", "bark")
    silent = chain(OSCILLATOR, second, file=parts(TRIGGER.replace("retriggerable = false, ", "")))
    path = "XU1 -> XU2 trigger"
    assert pair_unknown(silent, "pair.starts_again", path).missing == ("TS1 trigger.retriggerable",)
    assert pair_fact(silent, "pair.watchdog", path).value is False
    file = parts()
    bare = chain(OSCILLATOR, second, file=file.replace(f"trigger = {{ {TRIGGER} }}", "", 1))
    assert pair_unknown(bare, "pair.starts_again", path).missing == ("TS1 trigger.retriggerable",)
    assert pair_fact(bare, "pair.watchdog", path).value is False
    assert pair_span(bare, "pair.spacing", path).middle == pytest.approx(80e-6)


TIMER = "X1 vdd tick dis th cv {trigger} vdd 0 TR9\nRA vdd dis 10k 0%\nRB dis th 20k 0%\nC1 th 0 100n 0%\n"
RC_FILE = parts() + rc_parts().replace("TR1", "TR9")


@pytest.mark.parametrize(
    ("first", "intent", "free"),
    [
        (OSCILLATOR, "", True),
        (block("U1", "TO1", "tick", "en"), "signal en period 1ms", False),
        (block("U1", "TO1", "tick", "0"), "", False),
        (block("U1", "TS1", "tick", "kick"), "signal kick period 1ms", False),
        (block("U1", "TD1", "tick", "kick"), "signal kick period 1ms", False),
        (TIMER.format(trigger="th"), "", True),
        (TIMER.format(trigger="kick"), "signal kick period 1ms", False),
    ],
)
def test_what_runs_by_itself(first: str, intent: str, free: bool) -> None:
    """An oscillator or a timer wired as one that nothing stops; what is switched, or waits, does not."""
    reset = 'reset = { active = "low" }\ninput.reset = { low = "0.4V", high = "1V" }'
    file = RC_FILE.replace("[part.TR9]", f"[part.TR9]\n{reset}")
    of = chain(first, block("U2", "TS1", "out", "tick"), "", intent, file)
    found = pair_fact(of, "pair.free_running")
    assert found.value is free
    assert found.law


def test_whether_it_runs_is_unknown_where_its_enable_is() -> None:
    """Half way between its levels."""
    way = "R8 vdd en 10k\nR9 en 0 10k\n"
    of = chain(block("U1", "TO1", "tick", "en"), block("U2", "TS1", "out", "tick"), way)
    assert pair_unknown(of, "pair.free_running") == unknown(of, "block.running", "XU1")


def test_pulses_come_with_their_evidence() -> None:
    """The driver's own facts; turned round it is said."""
    of = chain(ONE_SHOT, block("U2", "TD1", "out", "t"), "XG1 pulse t vdd 0 TG1\n", "signal kick period 1ms")
    low = pair_fact(of, "pair.low")
    assert [each.origin for each in low.inputs] == ["timing.period", "timing.pulse_width"]
    assert low.law == "low of the output of XU1 after inversion"
    assert pair_fact(of, "pair.period").law == "period of the output of XU1"
    plain = chain(ONE_SHOT, block("U2", "TD1", "out", "pulse"), intent="signal kick period 1ms")
    assert pair_fact(plain, "pair.high").law == "high of the output of XU1"


def test_why_a_pulse_is_not_handed_on() -> None:
    """The driver's own reason for its period; a capacitor; nothing that says it."""
    loose = chain(OSCILLATOR.replace("RTU1 rtU1 0", "RTU1 rtU1 x"), block("U2", "TS1", "out", "tick"))
    assert pair_unknown(loose, "pair.period") == unknown(loose, "timing.period", "XU1")
    for part in ("high", "low", "bounce"):
        assert pair_unknown(loose, f"pair.{part}").missing == (f"XU1 output {part}",)
    way = "C1 tick t 1n\nR1 vdd t 10k\n"
    coupled = chain(OSCILLATOR, block("U2", "TS1", "out", "t"), way)
    assert pair_span(coupled, "pair.period").middle == pytest.approx(80e-6)
    assert "capacitor" in pair_unknown(coupled, "pair.bounce").because
    still = chain(OSCILLATOR.replace("RTU1 rtU1 0", "RTU1 rtU1 x"), block("U2", "TS1", "out", "t"), way)
    assert pair_unknown(still, "pair.period") == unknown(still, "timing.period", "XU1")


@pytest.mark.parametrize(
    ("intent", "swallowed"),
    [
        ("signal din period 1ms, high 19us", True),
        ("signal din period 1ms, high 21us", False),
        ("signal din period 1ms, high 10us .. 29us", True),
        ("", False),
    ],
)
def test_what_a_delay_swallows(intent: str, swallowed: bool) -> None:
    """20 us of delay: the middle of the pulses decides; without pulses nothing is known to be swallowed."""
    of = chain(DELAY, block("U2", "TS1", "out", "late"), intent=intent)
    if swallowed:
        assert "swallows" in pair_unknown(of, "pair.period").because
    elif intent:
        assert pair_span(of, "pair.period").middle == pytest.approx(1e-3)
        assert pair_unknown(of, "pair.bounce").missing == ("XU1 output bounce",)
    else:
        assert pair_unknown(of, "pair.period").missing == ("XU1 output period",)


def test_a_pulse_just_as_long_as_the_delay_is_swallowed() -> None:
    """It ends as the delay does."""
    width = span(chain(DELAY, block("U2", "TS1", "out", "late")), "timing.delay", "XU1").middle
    intent = f"signal din period 1ms, high {width:.25f}s"
    of = chain(DELAY, block("U2", "TS1", "out", "late"), intent=intent)
    assert "swallows" in pair_unknown(of, "pair.period").because


@pytest.mark.parametrize(
    ("high", "low", "spacing"),
    [
        ("300us .. 500us", "200us .. 900us", (200, 400, 500)),
        ("200us .. 900us", "300us .. 500us", (200, 400, 500)),
        ("300us .. 400us", "500us .. 900us", (300, 350, 400)),
    ],
)
def test_both_edges_trigger_at_the_shorter_of_high_and_low(
    high: str, low: str, spacing: tuple[float, float, float]
) -> None:
    """End by end; where one edge triggers it is the period."""
    second = block("U2", "TS1", "out", "late")
    intent = f"signal din high {high}, low {low}"
    found = pair_fact(chain(DELAY, second, intent=intent, file=parts(BOTH)), "pair.spacing")
    assert found.span is not None
    assert (found.span.low, found.span.middle, found.span.high) == pytest.approx(
        [each * 1e-6 for each in spacing]
    )
    assert found.name == "pair.spacing"
    assert "both edges" in found.law
    assert found.inputs
    for edge in ("rising", "falling"):
        one = chain(DELAY, second, intent=intent, file=parts(TRIGGER.replace("rising", edge)))
        assert pair_span(one, "pair.spacing") == pair_span(one, "pair.period")
        assert pair_fact(one, "pair.spacing").name == "pair.spacing"


def test_a_pin_that_is_no_trigger_is_reached_once_a_period() -> None:
    """Also on a one-shot that both edges of its trigger start: its enable pin follows the driver's period."""
    file = parts(BOTH).replace('"rate", "trigger"]', '"rate", "trigger", "enable"]')
    second = block("U2", "TS1", "out", "vdd late")
    of = chain(DELAY, second, intent="signal din high 300us .. 500us, low 200us .. 900us", file=file)
    assert pair_fact(of, "pair.role").value == "enable"
    assert pair_span(of, "pair.spacing") == pair_span(of, "pair.period")


def test_where_high_or_low_is_lacking_the_spacing_lacks_it() -> None:
    """The reason of the one that is not known, of high where neither is."""
    file = parts(BOTH)
    again = block("U1", "TR1", "pulse", "kick")
    known_high = chain(again, block("U2", "TS1", "out", "pulse"), file=file)
    assert pair_unknown(known_high, "pair.spacing") == pair_unknown(known_high, "pair.low")
    known_low = chain(again, block("U2", "TS1", "out", "n"), "XG1 pulse n vdd 0 TG1\n", file=file)
    assert pair_unknown(known_low, "pair.spacing") == pair_unknown(known_low, "pair.high")
    neither = chain(OSCILLATOR, block("U2", "TS1", "out", "tick"), file=file)
    assert pair_unknown(neither, "pair.spacing") == pair_unknown(neither, "pair.high")


def test_the_supplies_of_both_ends() -> None:
    """Each under its own name; one that is not known is so at that end alone."""
    second = block("U2", "TS1", "out", "tick", supply="v2")
    of = chain(OSCILLATOR, second, "V2 v2 0 2.5\n")
    for end, volts in (("driver", 3.0), ("driven", 2.5)):
        found = pair_fact(of, f"pair.supply_{end}")
        assert found.name == f"pair.supply_{end}"
        assert found.span is not None
        assert found.span.middle == volts
    dark = chain(OSCILLATOR, second)
    assert isinstance(pair_fact(dark, "pair.supply_driven").value, Unknown)
    assert pair_span(dark, "pair.supply_driver").middle == 3.0
