"""A board's outcome as JSON and back: nothing is lost, whatever its types allow."""

import json
import types
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drc.blocks.model import Part
from drc.blocks.parts import load_parts
from drc.circuit.model import Element, Net
from drc.gate.outcome_codec import NamedElement, NamedNet, decode_outcome, encode_outcome
from drc.gate.pipeline import review_project
from drc.gate.project import Request, open_project
from drc.outcome import BlockOutcome, BoardOutcome
from drc.quantity.unit import HERTZ, NAMED, VOLT, Unit
from drc.report import json_report

STATION = Path(__file__).parent.parent.parent / "samples" / "fog-station"

texts = st.text(max_size=4) | st.just("\udcff=\x1b")
SIMPLE: dict[Any, st.SearchStrategy[Any]] = {
    str: texts,
    bool: st.booleans(),
    int: st.integers(-(2**70), 2**70),
    float: st.floats(allow_nan=False),
    type(None): st.none(),
    Unit: st.sampled_from([*NAMED, HERTZ * VOLT, VOLT * VOLT * VOLT]),
}


@cache
def made(hint: object) -> st.SearchStrategy[Any]:
    """Values of a type as it is annotated; views of the circuit are what is left of them."""
    if hint in SIMPLE:
        return SIMPLE[hint]
    if hint is Element or hint is Net:
        return made(NamedElement if hint is Element else NamedNet)
    if hint is Part:
        return st.sampled_from(list(load_parts().by_name.values()))
    if isinstance(hint, type) and hasattr(hint, "_fields"):
        return st.builds(hint, **{name: made(each) for name, each in get_type_hints(hint).items()})
    origin, inner = get_origin(hint), get_args(hint)
    if origin is Literal:
        return st.sampled_from(inner)
    if origin in (Union, types.UnionType):
        return st.one_of([made(each) for each in inner])
    if origin is tuple and inner[1:] == (...,):
        return st.lists(made(inner[0]), max_size=2).map(tuple)
    if origin is tuple:
        return st.tuples(*[made(each) for each in inner])
    if origin is frozenset:
        return st.frozensets(made(inner[0]), max_size=2)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return st.dictionaries(made(inner[0]), made(inner[1]), max_size=2)
    raise TypeError(f"how is {hint} made?")


@pytest.mark.parametrize("field", BoardOutcome._fields)
@given(st.data())
@settings(max_examples=25, suppress_health_check=list(HealthCheck))
def test_an_outcome_comes_back_from_its_json(field: str, data: st.DataObject) -> None:
    """Whatever its types allow in a field comes back equal, so that no record and no field is forgotten."""
    empty = BoardOutcome("a.cir", "", 0, 0, None, (), (), (), ())
    outcome = empty._replace(**{field: data.draw(made(get_type_hints(BoardOutcome)[field]))})
    assert decode_outcome(encode_outcome(outcome)) == outcome


@given(made(BlockOutcome), made(BlockOutcome))
@settings(max_examples=10, suppress_health_check=list(HealthCheck))
def test_it_is_json_and_each_part_is_written_once(one: BlockOutcome, other: BlockOutcome) -> None:
    """What is kept is plain JSON, and a part that many blocks use stands in it once."""
    other = other._replace(block=other.block._replace(part=one.block.part))
    outcome = BoardOutcome("a.cir", "", 0, 0, None, (one, other), (), (), ())
    parts, body = json.loads(encode_outcome(outcome))
    assert len(parts) == 1
    assert body[0] == "a.cir"


def test_reports_of_what_came_back_are_the_same() -> None:
    """Every board of the fog station, with all that is drawn of it, prints the same once it came back."""
    request = Request(date="2026-03-31", paths=[STATION], depth="all", draws=200)
    review = review_project(open_project(request))
    back = review._replace(boards=[decode_outcome(encode_outcome(board)) for board in review.boards])
    assert len(review.boards) > 5
    assert json_report.render(back) == json_report.render(review)


def test_what_is_no_data_is_refused() -> None:
    """A thing of another kind is an error of ours, never turned into something else."""
    strange: Any = object()
    with pytest.raises(TypeError, match="no record holds"):
        encode_outcome(BoardOutcome("a.cir", "", 0, 0, strange, (), (), (), ()))
