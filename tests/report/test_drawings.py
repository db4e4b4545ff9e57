"""What is drawn: whole, to scale, and with nothing left out."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.facts.model import Fact
from drc.outcome import BlockOutcome, Neighbour, Surroundings
from drc.quantity.span import Span, exact
from drc.quantity.unit import POINT, SECOND, VOLT
from drc.report.drawing_bars import Bar, bars, ratings, told, verdict
from drc.report.drawing_chains import chain_drawing, in_words
from drc.report.drawing_ladder import WIDTH, ladder
from drc.report.drawing_schematic import described, schematic
from drc.report.drawing_timing import diagram_of, timing, with_wanted
from drc.report.svg import ticks
from tests.report.drawn import BOARD, NEAR, drawn_block
from tests.report.made import CHAIN

Shapes = list[ElementTree.Element]


def drawing(text: str) -> ElementTree.Element:
    """A drawing as XML, which must be well-formed."""
    return ElementTree.fromstring(text)


def of_kind(text: str, kind: str) -> Shapes:
    """The shapes of a class."""
    return [shape for shape in drawing(text).iter() if kind in shape.get("class", "").split()]


def words(text: str) -> list[str]:
    """Every text of a drawing as a reader sees it or is told it."""
    return ["".join(shape.itertext()) for shape in drawing(text).iter("text")]


def numbers(shape: ElementTree.Element) -> list[tuple[float, float]]:
    """The points of a shape."""
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in shape.get("points", "").split())]


def box_of(text: str) -> tuple[float, float, float, float]:
    """The view of a drawing: left, top, right, bottom."""
    left, top, width, height = map(float, drawing(text).get("viewBox", "").split())
    return left, top, left + width, top + height


def outside(shape: ElementTree.Element, at: tuple[float, float], view: tuple[float, ...]) -> list[str]:
    """What of a group of shapes leaves the view; `at` is where the group was moved."""
    move = re.fullmatch(r"translate\((\S+) (\S+)\)", shape.get("transform", ""))
    if move:
        at = (at[0] + float(move[1]), at[1] + float(move[2]))
    points = numbers(shape)
    if "x" in shape.attrib:
        points.append((float(shape.attrib["x"]), float(shape.attrib["y"])))
    gone = [
        f"{shape.tag} {point}"
        for x, y in points
        if not (view[0] <= (point := (x + at[0], y + at[1]))[0] <= view[2] and view[1] <= point[1] <= view[3])
    ]
    return gone + [each for child in shape for each in outside(child, at, view)]


def with_facts(**facts: Span) -> BlockOutcome:
    """The block with times of its own alone; `_` in a name stands after `timing.`."""
    return drawn_block()._replace(
        facts={f"timing.{name}": Fact(f"timing.{name}", span) for name, span in facts.items()}
    )


def as_function(outcome: BlockOutcome, function: str) -> BlockOutcome:
    """The block as a part of another function."""
    part = outcome.block.part._replace(function=function)  # type: ignore[arg-type]
    return outcome._replace(block=outcome.block._replace(part=part))


def test_the_schematic_names_every_element_and_its_value() -> None:
    """Each element near the block is drawn once, with its value; what is not fitted says so."""
    shown = words(schematic(drawn_block(), "s"))
    for element in NEAR.elements[:4]:
        assert sum(element.path == text for text in shown) == 1
    assert "47 kohm" in shown
    assert "not fitted" in shown
    assert "XU4 trigger" in shown


def test_supply_is_up_and_ground_is_down() -> None:
    """The divider's upper resistor is above the strap's wire, the lower one below it."""
    rows = {
        "".join(shape.itertext()): float(shape.attrib["y"])
        for shape in drawing(schematic(drawn_block(), "s")).iter("text")
    }
    assert rows["R1"] < rows["R2"]


def test_a_resistor_is_a_rectangle_and_a_winding_is_filled() -> None:
    """IEC 60617 (shapes from memory): a plain rectangle for a resistor, a filled one for a winding."""
    text = schematic(drawn_block(), "s")
    assert len([shape for shape in of_kind(text, "part") if len(numbers(shape)) == 4]) == 5
    assert len(of_kind(text, "winding")) == 1
    assert len([shape for shape in of_kind(text, "part") if len(numbers(shape)) == 3]) == 1  # the diode


def test_the_schematic_in_words_names_each_pin() -> None:
    """Who does not see the drawing is told what hangs on each pin."""
    text = described(drawn_block())
    assert "strap on net n5: R1 100 kohm, R2 47 kohm" in text
    assert "ground on ground" in text
    assert "supply on net vcc, 3.135 V .. 3.465 V" in text


def test_what_joins_two_pins_is_drawn_at_one_and_named_for_the_other() -> None:
    """A resistor from output to strap hangs on one of them, the other net's name at its end."""
    near = NEAR._replace(elements=(Neighbour("RF", "R", "1 Mohm", ("out", "n5")), *NEAR.elements[:3]))
    shown = words(schematic(drawn_block(near=near), "s"))
    assert shown.count("RF") == 1
    assert shown.count("out") == 2
    assert not any(text.startswith("net ") for text in shown)


NETS = st.sampled_from(["n4", "n5", "out", "a", "b", "c", "vcc", "0"])
ELEMENTS = st.one_of(
    st.tuples(st.sampled_from("RCLD"), st.tuples(NETS, NETS)),
    st.tuples(st.sampled_from("QMX"), st.tuples(NETS, NETS, NETS)),
    st.tuples(st.sampled_from("JI"), st.tuples(NETS, NETS)),
)


@given(st.lists(ELEMENTS, max_size=14))
def test_any_neighbourhood_is_drawn_within_its_sheet(found: list[tuple[str, tuple[str, ...]]]) -> None:
    """Loops, bridges, parts back to back: the drawing ends, is well-formed and is not clipped."""
    elements = tuple(Neighbour(f"{kind}{n}", kind, "1", nets) for n, (kind, nets) in enumerate(found))
    near = Surroundings(elements, NEAR.rails, NEAR.grounds)
    text = schematic(drawn_block(near=near), "s")
    assert outside(drawing(text), (0.0, 0.0), box_of(text)) == []


def test_the_ladder_has_a_band_for_each_code_to_scale() -> None:
    """Eight levels are eight bands of an eighth each; the ratio stands where it lies."""
    text = ladder(drawn_block(), "l")
    bands = [shape for shape in of_kind(text, "band") if shape.get("y") == "0"]
    assert [float(shape.attrib["width"]) for shape in bands] == [WIDTH / 8] * 8
    pointer = numbers(of_kind(text, "solid")[0])
    assert pointer[0][0] == pytest.approx(0.3125 * WIDTH, abs=0.06)
    marked = [shape for shape in bands if "here" in shape.attrib["class"].split()]
    assert [float(shape.attrib["x"]) for shape in marked] == [2 * WIDTH / 8]


def test_the_histogram_is_as_tall_as_its_counts() -> None:
    """Columns are to each other as the draws they count."""
    tall = [float(shape.attrib["height"]) for shape in of_kind(ladder(drawn_block(), "l"), "column")]
    assert [round(each / tall[0]) for each in tall] == [1, 4, 9, 4, 1]


def test_a_ladder_without_a_known_ratio_is_not_drawn() -> None:
    """Nothing is drawn of what is not known."""
    assert ladder(drawn_block()._replace(facts={}), "l") == ""


def test_the_spread_is_not_clipped_where_it_leaves_its_code() -> None:
    """A ratio that reaches over several codes is shown whole."""
    wide = drawn_block()._replace(facts={"strap.ratio": Fact("strap.ratio", Span(0.1, 0.3, 0.9))})
    text = ladder(wide, "l")
    line = numbers(of_kind(text, "spread")[0])
    assert (line[1][0] - line[0][0]) / WIDTH == pytest.approx(0.8 / (0.8 * 1.36), rel=0.01)
    assert outside(drawing(text), (0.0, 0.0), box_of(text)) == []


def test_a_period_is_drawn_to_scale() -> None:
    """Rising edges stand a nominal period apart, hatched from the shortest to the longest."""
    outcome = with_facts(period=Span(0.9, 1.0, 1.2, SECOND), duty=Span(20.0, 25.0, 30.0, POINT))
    diagram = diagram_of(outcome)
    assert diagram is not None
    high, second = diagram.traces[0].edges[1:3]
    assert (high.at.low, high.at.nominal, high.at.high) == pytest.approx((0.18, 0.25, 0.36))
    assert second.at == Span(0.9, 1.0, 1.2, SECOND)
    text = timing(outcome, "t")
    marked = of_kind(text, "doubt")[1]
    scale = 560 / diagram.length
    assert float(marked.attrib["width"]) == pytest.approx(0.3 * scale, abs=0.06)


def test_an_unknown_duty_is_said_and_not_guessed() -> None:
    """Equal halves are drawn where the share is not known, and the drawing says so."""
    text = timing(with_facts(period=exact(1.0, SECOND)), "t")
    assert "the halves are drawn equal" in " ".join(words(text))


def test_pulse_and_delay_follow_their_edges() -> None:
    """A pulse ends its width after the trigger; a delay answers each edge in its own time."""
    pulse = diagram_of(as_function(with_facts(pulse_width=Span(1.0, 2.0, 3.0, SECOND)), "one-shot"))
    assert pulse is not None
    start, end = pulse.traces[1].edges
    assert end.at.middle - start.at.middle == pytest.approx(2.0)
    spans = {"delay_rising": Span(1.0, 2.0, 3.0, SECOND), "delay_falling": exact(0.5, SECOND)}
    delay = diagram_of(as_function(with_facts(**spans), "edge-delay"))
    assert delay is not None
    given_edges, answers = delay.traces[0].edges, delay.traces[1].edges
    apart = [b.at.middle - a.at.middle for a, b in zip(given_edges, answers, strict=True)]
    assert apart == pytest.approx([2.0, 0.5])


def test_what_is_wanted_stands_on_the_same_scale() -> None:
    """A wanted frequency is drawn as the period it stands for; what lies off the scale is told in words."""
    outcome = with_facts(period=exact(1.2e-3, SECOND))
    diagram = diagram_of(outcome)
    assert diagram is not None
    (wanted,) = with_wanted(diagram, outcome).wanted
    assert (wanted.span.low, wanted.span.nominal, wanted.span.high) == pytest.approx(
        (1 / 840, 1 / 800, 1 / 760)
    )
    slow = with_facts(period=exact(1e-6, SECOND))
    assert "wanted is 1.19 ms .. 1.316 ms (nominal 1.25 ms), off this scale" in words(timing(slow, "t"))


def test_an_idle_output_is_drawn_at_its_rest() -> None:
    """A pulse from an output that rests high goes down."""
    outcome = as_function(with_facts(pulse_width=exact(1.0, SECOND)), "one-shot")
    resting = outcome._replace(facts={**outcome.facts, "output.rest": Fact("output.rest", "high")})
    levels = []
    for each in (outcome, resting):
        diagram = diagram_of(each)
        assert diagram is not None
        levels.append([diagram.traces[1].start, *(edge.level for edge in diagram.traces[1].edges)])
    assert levels == [[0, 1, 0], [1, 0, 1]]


def test_times_without_bound_are_not_drawn() -> None:
    """A pulse that may never end has no drawing."""
    endless = with_facts(pulse_width=Span(1.0, 2.0, float("inf"), SECOND))
    assert timing(as_function(endless, "one-shot"), "t") == ""


def test_a_rating_is_judged_in_words() -> None:
    """Within, partly outside, outside, above the limit: no bar is told by its place alone."""
    rated = Span(2.0, None, 5.0, VOLT)
    judged = [
        verdict(Bar("supply", Span(low, None, high, VOLT), rated, 6.0))
        for low, high in ((3.0, 4.0), (4.0, 5.5), (5.2, 5.5), (5.5, 6.5))
    ]
    assert judged == ["within", "partly outside", "outside", "above the limit"]
    assert "limit 6 V" in told(Bar("supply", exact(3.0, VOLT), rated, 6.0))


def test_a_limit_is_marked_beyond_the_rating() -> None:
    """The supply's limit is a cross right of the outline."""
    text = bars(drawn_block(), "r")
    outline = of_kind(text, "rated")[0]
    end = float(outline.attrib["x"]) + float(outline.attrib["width"])
    assert all(x > end for shape in of_kind(text, "cross") for x, _ in numbers(shape))
    assert ratings(drawn_block())[0].limit == 6.0


def test_chains_run_from_left_to_right_and_loops_end() -> None:
    """A block acts to its right; what closes a loop is drawn beneath, and the drawing ends."""
    text = chain_drawing(BOARD, "c")
    assert words(text).count("XU3") == 1
    assert len(of_kind(text, "dashed")) == 1
    alone = BOARD._replace(chains=(CHAIN,))
    assert len(of_kind(chain_drawing(alone, "c"), "dashed")) == 1
    assert in_words(CHAIN) == "XU3 acts on enable of XU3 through R4, Q1, inverted (loop XU3)"


def test_blocks_without_numbers_have_no_drawings_of_them() -> None:
    """What was not computed leaves nothing behind, not even an empty frame."""
    bare = drawn_block(near=None)._replace(facts={})
    assert [draw(bare, "x") for draw in (schematic, ladder, timing, bars)] == [""] * 4


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6))
def test_ticks_are_round_and_lie_within(low: float, wide: float) -> None:
    """Marks of a scale lie on the scale, a handful of them."""
    marks = ticks(low, low + wide)
    assert len(marks) <= 8
    assert all(low - 1e-9 * abs(low) <= mark <= low + wide + 1e-9 * (abs(low) + wide) for mark in marks)
