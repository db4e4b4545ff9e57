"""Merged tables one at a time: what lies over what, which contradict each other, which levels make a law."""

from typing import Any

import pytest

from drc.blocks.merge import Raw, merged
from drc.blocks.model import Part
from drc.blocks.modulation import modulate
from drc.blocks.refusal import At, Owner, Source
from drc.blocks.schema import build_part
from drc.trouble import Place, Trouble

HOME = Place("p.toml", 1)
PINS = ("supply", "output", "ground", "rate")


def built(table: dict[str, Any], whole: bool = True) -> tuple[Part, list[str]]:
    """The part of a merged table, and what was found wrong, by key."""
    sink: list[Trouble] = []
    owner = Owner("P", Source("p.toml", "[part.P]\n"))
    part = build_part("P", HOME, table, At(lambda keys: owner, sink), whole)
    return part, [t.message.partition(", expected")[0].removeprefix("part P, key ") for t in sink]


RIGHT: dict[str, Any] = {"function": "oscillator", "pins": list(PINS)}


@pytest.mark.parametrize(
    ("more", "wrong"),
    [
        ({}, []),
        ({"package": {"S4": {"pins": ["ground", "rate", "output", "A.supply", "nc"]}}}, []),
        (
            {"package": {"S4": {"pins": ["ground", "rate", "output"]}}},
            ["pins: found other roles than package S4 has"],
        ),
        ({"package": {"S4": {"pins": [".supply"]}}}, ['package.S4.pins.1: found ".supply"']),
        ({"strap": {"levels": 2}, "codes": [{"code": 2, "prescale": 1}]}, ["codes.1: found code 2"]),
        ({"codes": [{"code": 0, "prescale": 1, "when": {"select": "low"}}]}, ["codes: found when select"]),
        ({"unit": {"A": {"pins": ["supply"]}}}, ["unit.A.pins: found a list of 1"]),
        ({"supplies": {"io": {"limit": "3V"}}}, ['supplies.io: found "io"']),
        ({"like": "Q"}, ["like: found an unknown key"]),
    ],
)
def test_a_part_s_tables_agree(more: dict[str, Any], wrong: list[str]) -> None:
    """What is right gives no refusal; what contradicts the pins or the strap gives one."""
    part, found = built({**RIGHT, **more})
    assert found == wrong
    assert (part.name, part.place, part.function, part.pins) == ("P", HOME, "oscillator", PINS)


def test_a_table_that_is_not_whole_lacks_nothing() -> None:
    """Where what it is like was refused, the function and pins that it might have given are not asked for."""
    assert built({})[1] == ["function: found nothing", "pins: found nothing"]
    assert built({}, whole=False)[1] == []
    assert built({"unit": {"A": {"pins": ["supply"]}}})[1] == ["function: found nothing"]


def over(child: dict[str, Any], parent: dict[str, Any]) -> dict[str, Any]:
    """A part's table laid over that of the part that it is like."""
    source = Source("p.toml", "")
    raws = {"q": Raw("Q", parent, source)}
    table, _ = merged(Raw("P", {"like": "Q", **child}, source), raws, [])
    return table


@pytest.mark.parametrize(
    ("child", "parent", "table"),
    [
        ({}, {"a": 1}, {"a": 1}),
        ({"a": 2}, {"a": 1, "b": 1}, {"a": 2, "b": 1}),
        ({"t": {"x": 2}}, {"t": {"x": 1, "y": 1}}, {"t": {"x": 2, "y": 1}}),
        ({"t": 3}, {"t": {"x": 1}}, {"t": 3}),
        ({"t": {"x": 1}}, {"t": 3}, {"t": {"x": 1}}),
        ({"t": [1]}, {"t": [2, 3]}, {"t": [1]}),
        ({"m": {"error": 1}}, {"m": {"points": 1}}, {"m": {"error": 1, "points": 1}}),
        (
            {"m": {"error": 1}},
            {"m": {"full_scale": 1, "duty": 1}},
            {"m": {"error": 1, "full_scale": 1, "duty": 1}},
        ),
        (
            {"m": {"points": 1}},
            {"m": {"full_scale": 1, "duty": 1, "error": 2}},
            {"m": {"points": 1, "error": 2}},
        ),
        ({"m": {"duty": 1}}, {"m": {"points": 1, "error": 2}}, {"m": {"duty": 1, "error": 2}}),
        ({"m": {"duty": 1}}, {"m": {"full_scale": 1, "duty": 2}}, {"m": {"full_scale": 1, "duty": 1}}),
        ({"s": {"levels": 1}}, {"s": {"thresholds": 1}}, {"s": {"levels": 1}}),
        ({"s": {"thresholds": 1}}, {"s": {"levels": 1}}, {"s": {"thresholds": 1}}),
        ({"s": {"levels": 1, "thresholds": 1}}, {"s": {"levels": 2}}, {"s": {"levels": 1, "thresholds": 1}}),
        ({"r": {"output": 1}}, {"r": {"feedback": 1, "current": 1}}, {"r": {"output": 1, "current": 1}}),
        ({"r": {"feedback": 1}}, {"r": {"output": 1}}, {"r": {"feedback": 1}}),
        ({"r": {"current": 2}}, {"r": {"output": 1}}, {"r": {"output": 1, "current": 2}}),
    ],
)
def test_one_table_over_another(child: dict[str, Any], parent: dict[str, Any], table: dict[str, Any]) -> None:
    """Table by table, lists and values whole; another way to say the same drops the inherited way alone."""
    assert over(child, parent) == table


def test_tables_are_laid_over_each_other_to_a_depth() -> None:
    """Beyond any that a part has, what lies over is taken whole."""

    def nested(depth: int, key: str) -> dict[str, Any]:
        table: dict[str, Any] = {key: 1}
        for _ in range(depth):
            table = {"t": table}
        return table

    for depth, both in ((1, True), (16, True), (17, False), (40, False)):
        table = over(nested(depth, "a"), nested(depth, "b"))
        for _ in range(depth):
            table = table["t"]
        assert table == ({"a": 1, "b": 1} if both else {"a": 1})


@pytest.mark.parametrize(
    ("table", "points"),
    [
        ({"full_scale": "2V .. 3V", "duty": "5% .. 95%"}, ((2, 0.05), (3, 0.95))),
        ({"points": [["2V", "95%"], ["3V", "5%"], ["4V", "0%"]]}, ((2, 0.95), (3, 0.05), (4, 0))),
        ({"points": [["-3V", "100%"], ["-2V", "0%"]]}, ((-3, 1), (-2, 0))),
        ({"full_scale": "0 .. 1", "duty": "0% .. 100%", "reference": "supply"}, ((0, 0), (1, 1))),
        ({"points": [["1V", "5%"], ["1V", "9%"]]}, None),
        ({"points": [["1V", "5%"], ["2V", "9%"], ["1.5V", "9%"]]}, None),
    ],
)
def test_levels_rise_and_duties_are_shares(
    table: dict[str, Any], points: tuple[tuple[float, float], ...] | None
) -> None:
    """Levels against each other, duties against 0 and 1: neither is compared with the other."""
    sink: list[Trouble] = []
    owner = Owner("P", Source("p.toml", "[part.P]\n"))
    found = modulate(table, At(lambda keys: owner, sink, ("modulate",)))
    assert (sink == []) == (points is not None)
    assert points is None or (found is not None and found.points == points)
