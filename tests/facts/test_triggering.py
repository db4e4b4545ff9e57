"""What a trigger makes of a one-shot's pulse: spacing, slack, ignored edges, bounce and held levels; by hand.

The pulse is 2 us * (100 kohm / 25 kohm) * 10 = 80 us, 1 % either way: 79.2 us to 80.8 us.
"""

import pytest

from drc.facts.model import Input, Unknown
from tests.facts.test_one_shot import BOARD, one_shot
from tests.facts.timing_boards import book, fact, part, span, unknown

ONCE = one_shot()
"""Not retriggerable, 5 us of recovery: busy for 84.2 us, 85 us, 85.8 us."""

AGAIN = one_shot('edge = "rising", retriggerable = true, recovery = "5us"')
BOTH = 'edge = "both", retriggerable = false, recovery = "5us"'
Ends = tuple[float, float, float]
INF = float("inf")


def ends(parts: str, intent: str, name: str) -> Ends:
    """Low, middle and high in microseconds (or numbers) of a fact that must be a span."""
    found = span(book(BOARD, parts, intent), name)
    return found.low, found.middle, found.high


@pytest.mark.parametrize(
    ("every", "period"),
    [
        ("100us", (100, 100, 100)),
        ("30us .. 40us", (90, 105, 120)),
        ("40us .. 60us", (84.2, 100, 3 * 42.9)),
        ("80us .. 90us", (84.2, 85, 2 * 85.8)),
        ("90us .. 200us", (90, 145, 200)),
        ("10us", (90, 90, 90)),
    ],
)
def test_the_period_of_a_pulse_that_ignores_what_comes_too_early(every: str, period: Ends) -> None:
    """T * ceil(busy / T): a pulse just longer than n spacings waits for one more: (n + 1) / n of it."""
    found = ends(ONCE, f"signal trg period {every}", "timing.period")
    assert found == pytest.approx([each * 1e-6 for each in period])
    low, nominal, high = ends(ONCE, f"signal trg period {every}", "timing.frequency")
    assert (high, nominal, low) == pytest.approx([1e6 / each for each in period])


@pytest.mark.parametrize(
    ("every", "period"),
    [
        ("90us .. 100us", (90, 95, 100)),
        ("85us .. 100us", (85, 92.5, INF)),
        ("85.9us .. 100us", (85.9, 92.95, 100)),
        ("85.7us .. 100us", (85.7, 92.85, INF)),
    ],
)
def test_the_period_of_a_pulse_that_each_trigger_starts_again(every: str, period: Ends) -> None:
    """The trigger's own, without upper end where the longest pulse and recovery outlast its shortest."""
    found = ends(AGAIN, f"signal trg period {every}", "timing.period")
    assert found == pytest.approx([each * 1e-6 for each in period])


@pytest.mark.parametrize(
    ("every", "returns"), [("85.1us", True), ("84.9us", False), ("60us .. 109us", False)]
)
def test_an_output_returns_only_where_the_nominal_pulse_ends(every: str, returns: bool) -> None:
    """85 us of pulse and recovery against the middle of the trigger's spacing."""
    value = fact(book(BOARD, AGAIN, f"signal trg period {every}"), "timing.period").value
    assert isinstance(value, Unknown) is not returns
    frequency = fact(book(BOARD, AGAIN, f"signal trg period {every}"), "timing.frequency").value
    assert isinstance(frequency, Unknown) is not returns


def test_a_trigger_just_at_the_end_of_a_pulse_starts_it_again() -> None:
    """No pulse ends before its trigger: at nominal equal times the output does not return."""
    zero = AGAIN.replace('"5us"', '"0s"')
    width = span(book(BOARD, zero), "timing.pulse_width")
    intent = f"signal trg period {width.middle:.25f}s"
    assert "does not return" in unknown(book(BOARD, zero, intent), "timing.period").because
    longest = f"signal trg period {width.high:.25f}s .. 200us"
    assert span(book(BOARD, zero, longest), "timing.period").high == INF


@pytest.mark.parametrize("parts", [ONCE, AGAIN])
def test_slack_to_the_next_trigger(parts: str) -> None:
    """The shortest spacing less the longest pulse and recovery, and the other way round."""
    found = ends(parts, "signal trg period 80us .. 100us", "trigger.slack")
    assert found == pytest.approx((-5.8e-6, 5e-6, 15.8e-6))


@pytest.mark.parametrize(
    ("every", "ignored"),
    [
        ("10us .. 12us", (7, 7, 8)),
        ("42.5us", (1, 1, 2)),
        ("85us", (0, 0, 1)),
        ("100us .. 1ms", (0, 0, 0)),
        ("30us .. 100us", (0, 1, 2)),
    ],
)
def test_triggers_that_a_pulse_swallows(every: str, ignored: Ends) -> None:
    """ceil(busy / T) - 1, one that comes just at the end counts again; none where each starts it again."""
    intent = f"signal trg period {every}"
    assert ends(ONCE, intent, "trigger.ignored") == ignored
    assert ends(AGAIN, intent, "trigger.ignored") == (0, 0, 0)


def test_both_edges_count_from_high_to_low_and_back() -> None:
    """The shorter of 30 us .. 50 us high and what is left low of 100 us."""
    of = book(BOARD, one_shot(BOTH), "signal trg high 30us .. 50us, low 20us .. 90us")
    assert ends(one_shot(BOTH), "signal trg high 30us .. 50us, low 20us .. 90us", "trigger.slack") == (
        pytest.approx((20e-6 - 85.8e-6, 40e-6 - 85e-6, 50e-6 - 84.2e-6))
    )
    assert span(of, "timing.period").low == pytest.approx(84.2e-6)
    for known in ("period 100us", "high 30us", "low 30us"):
        of = book(BOARD, one_shot(BOTH), f"signal trg {known}")
        assert unknown(of, "trigger.slack").missing == ("signal trg period",)


def test_what_the_figures_are_computed_from() -> None:
    """The width's own evidence, the statement, the width and the part file's recovery, in this order."""
    of = book(BOARD, ONCE, "signal trg period 100us")
    width = fact(of, "timing.pulse_width")
    for name in ("timing.period", "timing.frequency", "trigger.slack", "trigger.ignored"):
        found = fact(of, name)
        assert found.inputs[: len(width.inputs)] == width.inputs
        stated, itself, recovery = found.inputs[len(width.inputs) :]
        assert (stated.label, stated.value, stated.origin) == ("trg period", "100 us", "statement")
        assert itself == Input("width", "79.2 us .. 80.8 us (nominal 80 us)", "timing.pulse_width")
        assert recovery[:3] == ("recovery", "5 us", "part file")
        assert recovery.place == of.board.blocks[0].part.place
        assert found.assumptions == width.assumptions
        assert found.law


@pytest.mark.parametrize("name", ["timing.period", "timing.frequency", "trigger.slack", "trigger.ignored"])
@pytest.mark.parametrize(
    ("trigger", "missing"),
    [
        ('retriggerable = false, recovery = "5us"', "TS1 trigger.edge"),
        ('edge = "rising", recovery = "5us"', "TS1 trigger.retriggerable"),
        ('edge = "rising", retriggerable = false', "TS1 trigger.recovery"),
    ],
)
def test_what_the_part_file_leaves_open_is_named(name: str, trigger: str, missing: str) -> None:
    """Edge, kind of trigger and recovery are each wanted; so is a trigger at all."""
    intent = "signal trg period 100us"
    assert unknown(book(BOARD, one_shot(trigger), intent), name).missing == (missing,)
    none = part("TS1", "one-shot", "trigger")
    assert unknown(book(BOARD, none, intent), name).missing == ("TS1 trigger.edge",)


def test_a_spacing_that_is_not_known_or_nothing_is_named() -> None:
    """No statement; one that may be 0 s; a part without a trigger pin."""
    assert unknown(book(BOARD, ONCE), "trigger.slack").missing == ("signal trg period",)
    nothing = book(BOARD, ONCE, "signal trg period 0s .. 1ms")
    assert unknown(nothing, "timing.period").missing == ("trigger spacing",)
    pinless = ONCE.replace('"rate", "trigger"]', '"rate", "nc"]')
    assert unknown(book(BOARD, pinless, "signal trg period 1ms"), "trigger.slack").missing == (
        "signal trigger period",
    )
    assert ends(pinless, "signal trg high 1ms, period 2ms", "timing.active") == pytest.approx(
        (79.2e-6, 80e-6, 80.8e-6)
    )


def test_a_pulse_of_several_lengths_or_none_counts_no_triggers() -> None:
    """A source of two levels steers the pulse; a control that may stop the current leaves it without end."""
    steered = f"{BOARD}RC rt ctl 100k 0%\nV2 ctl 0 PULSE(0 0.4 0 1u 1u 1m 2m)\n"
    assert "takes states" in unknown(book(steered, ONCE, "signal trg period 1ms"), "trigger.slack").because
    control = f"{BOARD}RC rt ctl 100k 0%\n"
    stated = "signal trg period 1ms\nsignal ctl 0V .. 1.4V"
    assert unknown(book(control, ONCE, stated), "trigger.slack").missing == ("timing.pulse_width",)
    none = ONCE.replace('error = "1%", ', "")
    of = book(BOARD, none, "signal trg period 1ms")
    assert unknown(of, "trigger.slack") == unknown(of, "timing.pulse_width")
    assert unknown(of, "timing.active") == unknown(of, "timing.pulse_width")


@pytest.mark.parametrize(
    ("trigger", "intent", "active"),
    [
        ('edge = "rising", retriggerable = true', "signal trg bounce 100us .. 200us", (79.2, 80, 280.8)),
        ('edge = "rising", retriggerable = true', "", (79.2, 80, 80.8)),
        ('edge = "rising", retriggerable = false', "", (79.2, 80, 80.8)),
        (
            'edge = "rising", retriggerable = false, recovery = "5us"',
            "signal trg bounce 1us .. 84us",
            (79.2, 80, 80.8),
        ),
        (
            'edge = "rising", retriggerable = false, recovery = "0s"',
            "signal trg bounce 79us",
            (79.2, 80, 80.8),
        ),
        (
            'edge = "rising", retriggerable = true, level = true',
            "signal trg high 80us .. 300us, period 1ms",
            (80, 190, 300),
        ),
        (
            'edge = "falling", retriggerable = true, level = true',
            "signal trg low 10us .. 90us, high 1ms",
            (79.2, 80, 90),
        ),
        (
            'edge = "falling", retriggerable = true, level = true',
            "signal trg high 300us",
            (79.2, 80, 80.8),
        ),
        (
            'edge = "both", retriggerable = true, level = true',
            "signal trg high 300us, low 300us",
            (79.2, 80, 80.8),
        ),
        (
            'edge = "rising", retriggerable = true, level = false',
            "signal trg high 300us",
            (79.2, 80, 80.8),
        ),
        ('edge = "rising", retriggerable = true', "signal trg high 300us", (79.2, 80, 80.8)),
    ],
)
def test_how_long_one_event_keeps_the_output(trigger: str, intent: str, active: Ends) -> None:
    """A bounce adds to a pulse started again; a level that is held longer holds it; else it is the pulse."""
    found = ends(one_shot(trigger), intent, "timing.active")
    assert found == pytest.approx([each * 1e-6 for each in active])


@pytest.mark.parametrize(
    ("trigger", "bounce", "missing"),
    [
        ('edge = "rising", retriggerable = false', "1us", ("TS1 trigger.recovery",)),
        ('edge = "rising", recovery = "0s"', "1us", ("TS1 trigger.retriggerable",)),
        ('edge = "rising", retriggerable = false, recovery = "0s"', "10us .. 80us", ()),
        ('edge = "rising", retriggerable = false, recovery = "5us"', "84.3us", ()),
    ],
)
def test_a_bounce_that_may_start_another_pulse(trigger: str, bounce: str, missing: tuple[str, ...]) -> None:
    """It outlasts the shortest pulse and its recovery; or the part file does not say what an edge does."""
    of = book(BOARD, one_shot(trigger), f"signal trg bounce {bounce}")
    assert unknown(of, "timing.active").missing == missing


def test_what_the_active_time_is_told_from() -> None:
    """The evidence of the width and of the statement; the law says what is added and what holds."""
    level = one_shot('edge = "rising", retriggerable = true, level = true')
    of = book(BOARD, level, "signal trg bounce 10us, high 200us")
    width, found = fact(of, "timing.pulse_width"), fact(of, "timing.active")
    assert [each.label for each in found.inputs[len(width.inputs) :]] == ["trg high", "trg bounce"]
    assert found.inputs[: len(width.inputs)] == width.inputs
    assert found.assumptions == width.assumptions
    assert "last trigger + width" in found.law
    assert "is held" in found.law
    assert "first trigger + width" in fact(book(BOARD, ONCE), "timing.active").law
    bare = part("TS1", "one-shot", "trigger")
    assert unknown(book(BOARD, bare), "timing.active").missing == ("TS1 trigger.retriggerable",)
