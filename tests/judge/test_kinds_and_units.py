"""Checked expressions: what names stand for, which kinds and units may meet, what a refusal says."""

from typing import Any

import pytest

from drc.facts.model import Entry, Fact, Kind, SubjectKind
from drc.judge.check import Checker, Names, facts_seen_from, names_in
from drc.judge.parse import parse_rules
from drc.judge.rule import Tree
from drc.quantity.span import exact
from drc.quantity.unit import AMPERE, OHM, RATIO, STEP, VOLT, WATT
from drc.trouble import InputError

FACTS: dict[str, Kind] = {
    "v.a": VOLT, "v.b": VOLT, "i.a": AMPERE, "s.a": STEP, "r.a": RATIO, "n.a": "name", "n.b": "name",
    "t.a": "truth", "t.b": "truth", "x.a": "any", "x.b": "any",
}  # fmt: skip
LET: Tree = ["fact", [9, 9, 9], "v.b"]
NAMES = Names(FACTS, {"knob": exact(2, VOLT), "share": exact(0.5)}, {"let": (LET, VOLT)})
START = len("turn r k = ") + 1


def parsed(text: str) -> Tree:
    """The tree of an expression, unchecked."""
    (item,) = parse_rules(f"turn r k = {text}", "x.rule")
    tree: Tree = item["value"]
    return tree


def checked(text: str) -> tuple[object, Kind]:
    """The checked tree without its places, and its kind."""
    whole = f"turn r k = {text}"
    tree, kind = Checker(whole, "x.rule", NAMES).expression(parsed(text))
    assert_placed(tree, whole)
    return bare(tree), kind


def assert_placed(tree: Tree, text: str) -> None:
    """Each node stands where its words stand; what a let stands for where the let's own words do."""
    if tree == LET:
        return
    line, column, length = tree[1]
    under = text[column - 1 : column - 1 + length]
    assert line == 1
    if tree[0] in ("fact", "knob"):
        assert under == tree[2]
    for part in tree[2:]:
        if isinstance(part, list) and part[:1] and isinstance(part[0], str):
            assert_placed(part, text)


def bare(tree: Any) -> object:  # noqa: ANN401
    """A tree without places; facts, knobs and quantities by name or value."""
    if not isinstance(tree, list):
        return tree
    if tree[0] in ("fact", "knob", "word"):
        return f"{tree[0]} {tree[2]}"
    if tree[0] == "quantity":
        return tree[2]
    return (tree[0], *(bare(part) for part in tree[2:]))


def refused(text: str, condition: bool = False) -> tuple[str, str]:
    """The message, and what stands at its place."""
    checker = Checker(f"turn r k = {text}", "x.rule", NAMES)
    with pytest.raises(InputError) as caught:
        (checker.condition if condition else checker.expression)(parsed(text))
    (trouble,) = caught.value.troubles
    place = trouble.place
    assert (place.path, place.line) == ("x.rule", 1)
    assert trouble.excerpt == f"turn r k = {text}"
    return trouble.message, trouble.excerpt[place.column - 1 : place.column - 1 + place.length]


@pytest.mark.parametrize(
    ("text", "tree", "kind"),
    [
        ("v.a", "fact v.a", VOLT),
        ("t.a", "fact t.a", "truth"),
        ("n.a", "fact n.a", "name"),
        ("knob", "knob knob", VOLT),
        ("let", "fact v.b", VOLT),
        ('"a word"', "word a word", "name"),
        ("5 V", 5.0, VOLT),
        ("5", 5.0, RATIO),
        ("known n.a", ("known", "n.a"), "truth"),
        ("stated v.a", ("stated", "v.a"), "truth"),
        ("not t.a", ("not", "fact t.a"), "truth"),
        ("t.a or t.b and known v.a", ("or", "fact t.a", ("and", "fact t.b", ("known", "v.a"))), "truth"),
        ("v.a < knob", ("compare", "<", "fact v.a", "knob knob"), "truth"),
        ("v.a >= 0", ("compare", ">=", "fact v.a", 0.0), "truth"),
        ("0 <= v.a", ("compare", "<=", 0.0, "fact v.a"), "truth"),
        ("0% <= v.a", ("compare", "<=", 0.0, "fact v.a"), "truth"),
        ("v.a is let", ("is", "fact v.a", "fact v.b"), "truth"),
        ("v.a is 0", ("is", "fact v.a", 0.0), "truth"),
        ("t.a is not t.b", ("is_not", "fact t.a", "fact t.b"), "truth"),
        ("n.a is n.b", ("is", "fact n.a", "fact n.b"), "truth"),
        ("n.a is low", ("is", "fact n.a", "word low"), "truth"),
        (
            "n.a is one of (low, n.b, high)",
            ("one_of", "fact n.a", "word low", "fact n.b", "word high"),
            "truth",
        ),
        ("x.a is low", ("is", "fact x.a", "word low"), "truth"),
        ("x.a within x.b", ("within", "fact x.a", "fact x.b"), "truth"),
        ("x.a within 5 V", ("within", "fact x.a", 5.0), "truth"),
        ("v.a is x.b", ("is", "fact v.a", "fact x.b"), "truth"),
        ("v.a within 1 V .. let", ("within", "fact v.a", ("from_to", 1.0, "fact v.b")), "truth"),
        ("v.a * i.a", ("times", "fact v.a", "fact i.a"), WATT),
        ("v.a / i.a", ("over", "fact v.a", "fact i.a"), OHM),
        ("v.a / v.b", ("over", "fact v.a", "fact v.b"), RATIO),
        ("v.a + v.b", ("plus", "fact v.a", "fact v.b"), VOLT),
        ("0 + v.b", ("plus", 0.0, "fact v.b"), VOLT),
        ("v.a - 0", ("minus", "fact v.a", 0.0), VOLT),
        ("0 .. 5 V", ("from_to", 0.0, 5.0), VOLT),
        ("-v.a", ("negative", "fact v.a"), VOLT),
        ("min(0, v.a)", ("call", "min", 0.0, "fact v.a"), VOLT),
        ("max(v.a, knob)", ("call", "max", "fact v.a", "knob knob"), VOLT),
        ("abs(i.a)", ("call", "abs", "fact i.a"), AMPERE),
        ("high(i.a)", ("call", "high", "fact i.a"), AMPERE),
        ("v.a +/- 5%", ("around_relative", "fact v.a", 0.05), VOLT),
        ("v.a +/- 100 ppm", ("around_relative", "fact v.a", 1e-4), VOLT),
        ("v.a +/- 1 V", ("around", "fact v.a", 1.0), VOLT),
        ("v.a +/- 0", ("around", "fact v.a", 0.0), VOLT),
        ("r.a +/- 0.1", ("around", "fact r.a", 0.1), RATIO),
        ("r.a +/- share", ("around", "fact r.a", "knob share"), RATIO),
        ("r.a * 5%", ("times", "fact r.a", 0.05), RATIO),
    ],
)
def test_what_an_expression_comes_to(text: str, tree: object, kind: Kind) -> None:
    """Names in place, words told from facts, and the kind or unit of the whole."""
    found = checked(text)
    assert found == (tree, kind)


FIT = "; facts that fit: "
BARE = "a plain number (no unit)"


@pytest.mark.parametrize(
    ("text", "under", "message"),
    [
        ("v.c", "v.c", 'found "v.c", expected a fact, knob or let; did you mean "v.b"?'),
        ("knop", "knop", 'found "knop", expected a fact, knob or let; did you mean "knob"?'),
        ("lat", "lat", 'found "lat", expected a fact, knob or let; did you mean "let"?'),
        ("nothing-like-it", "nothing-like-it", 'found "nothing-like-it", expected a fact, knob or let'),
        ("known knob", "known knob", 'found "knob", expected a fact, knob or let; did you mean "knob"?'),
        ("not v.a", "v.a", "found a quantity in V, expected a condition, such as a comparison"),
        ("t.a and r.a", "r.a", "found a plain number, expected a condition, such as a comparison"),
        ("n.a or t.a", "n.a", "found a name, expected a condition, such as a comparison"),
        ("not x.a", "x.a", "found whatever is expected (a quantity or a name), expected a condition, such as "
                           "a comparison"),
        ("t.a < 1", "t.a", "found yes or no, expected a quantity"),
        ("1 < n.a", "n.a", "found a name, expected a quantity"),
        ("-t.a", "t.a", "found yes or no, expected a quantity"),
        ("min(v.a, n.a)", "n.a", "found a name, expected a quantity"),
        ("v.a < i.a", "i.a", f"found i.a in A, expected V, as v.a on the left{FIT}v.b"),
        ("i.a < v.a", "v.a", "found v.a in V, expected A, as i.a on the left"),
        ("knob > i.a", "i.a", f"found i.a in A, expected V, as knob on the left{FIT}v.a, v.b"),
        ("v.a < share", "share", f"found share in {BARE}, expected V, as v.a on the left{FIT}v.b"),
        ("share < v.a", "v.a", f"found v.a in V, expected {BARE}, as share on the left{FIT}r.a"),
        ("v.a < 0 A", "0 A", f"found this in A, expected V, as v.a on the left{FIT}v.b"),
        ("0 A < v.a", "v.a", f"found v.a in V, expected A, as this on the left{FIT}i.a"),
        ("v.a + 1 < 2 V", "1", f"found this in {BARE}, expected V, as v.a on the left{FIT}v.b"),
        ("v.a .. 1 A", "1 A", f"found this in A, expected V, as v.a on the left{FIT}v.b"),
        ("v.a is 1 A", "1 A", f"found this in A, expected V, as v.a on the left{FIT}v.b"),
        ("v.a is one of (1 V, v.b, 1 A)", "1 A", f"found this in A, expected V, as v.a on the left{FIT}v.b"),
        ("0 is one of (1 V, n.a)", "n.a", "found a name, expected a plain number, as on the left"),
        ("v.a is n.a", "n.a", "found a name, expected a quantity in V, as on the left"),
        ("t.a is 1", "1", "found a plain number, expected yes or no, as on the left"),
        ("n.a is t.a", "t.a", "found yes or no, expected a name, as on the left"),
        ("n.a is knob", "knob", "found a quantity in V, expected a name, as on the left"),
        ("n.a is let", "let", "found a quantity in V, expected a name, as on the left"),
        ("n.a is one of (low, 3)", "3", "found a plain number, expected a name, as on the left"),
        ("n.a is v.z", "v.z", 'found "v.z", expected a fact, knob or let; did you mean "v.b"?'),
        ("t.a is low", "low", 'found "low", expected a fact, knob or let'),
        ("r.a +/- 5%", "5%", "found a percentage of a ratio, expected a width without % or LOW .. HIGH"),
        ("v.a +/- 0.05", "0.05", f"found this in {BARE}, expected V, as v.a on the left{FIT}v.b"),
        ("v.a +/- share", "share",
         f"found share in {BARE}, expected V, as v.a on the left{FIT}v.b"),
        ("v.a +/- 1 ohm", "1 ohm", f"found this in ohm, expected V, as v.a on the left{FIT}v.b"),
    ],
)  # fmt: skip
def test_what_cannot_meet_is_refused(text: str, under: str, message: str) -> None:
    """What was found, what was expected, what would fit, at the words that are wrong."""
    assert refused(text) == (message, under)


def test_a_condition_is_asked_for_at_the_whole_expression() -> None:
    """A sum is no condition, and the caret stands under all of it."""
    assert refused("v.a + v.b", condition=True) == (
        "found a quantity in V, expected a condition, such as a comparison",
        "v.a + v.b",
    )
    tree = Checker("turn r k = t.a", "x.rule", NAMES).condition(parsed("t.a"))
    assert tree == ["fact", [1, START, 3], "t.a"]


def test_checked_nodes_stand_where_they_stood() -> None:
    """Each keeps its place; what a let stands for keeps that of the let's own text."""
    tree, _ = Checker("", "x.rule", NAMES).expression(parsed("not v.a + let < knob"))
    assert tree == [
        "not", [1, START, 20],
        ["compare", [1, START + 4, 16], "<",
         ["plus", [1, START + 4, 9], ["fact", [1, START + 4, 3], "v.a"], LET],
         ["knob", [1, START + 16, 4], "knob"]],
    ]  # fmt: skip
    same, _ = Checker("", "x.rule", NAMES).expression(parsed("n.a is low"))
    assert same == ["is", [1, START, 10], ["fact", [1, START, 3], "n.a"], ["word", [1, START + 7, 3], "low"]]
    known, _ = Checker("", "x.rule", NAMES).expression(parsed("known v.a"))
    assert known == ["known", [1, START, 9], "v.a"]
    call, _ = Checker("", "x.rule", NAMES).expression(parsed("abs(v.a)"))
    assert call == ["call", [1, START, 8], "abs", ["fact", [1, START + 4, 3], "v.a"]]
    share, _ = Checker("", "x.rule", NAMES).expression(parsed("v.a +/- 5%"))
    assert share[:3] == ["around_relative", [1, START, 10], ["fact", [1, START, 3], "v.a"]]


@pytest.mark.parametrize(
    ("count", "shown"),
    [
        (1, ""),
        (2, "; facts that fit: one.b"),
        (7, "; facts that fit: one.b, one.c, one.d, one.e, one.f, one.g"),
        (8, "; facts that fit: one.b, one.c, one.d, one.e, one.f, one.g ..."),
    ],
)
def test_six_facts_that_fit_are_offered(count: int, shown: str) -> None:
    """In the unit of the left side, it itself left out; more than six are told by dots."""
    facts: dict[str, Kind] = {f"one.{letter}": VOLT for letter in reversed("abcdefgh"[:count])}
    checker = Checker("", "x.rule", Names({**facts, "other.a": AMPERE, "one.z": "name"}, {}, {}))
    assert checker.that_fit(VOLT, "one.a") == shown


def test_facts_of_the_same_family_are_offered_first() -> None:
    """What stands before the last dot is the family; within it, and outside of it, by name."""
    facts: dict[str, Kind] = dict.fromkeys(["b.z", "a.x", "b.y.q", "b.a", "a.b", "ba.c"], VOLT)
    checker = Checker("", "x.rule", Names(facts, {}, {}))
    assert checker.that_fit(VOLT, "b.a") == "; facts that fit: b.y.q, b.z, a.b, a.x, ba.c"
    assert checker.that_fit(VOLT, "b.y.r") == "; facts that fit: b.y.q, a.b, a.x, b.a, b.z, ba.c"
    assert checker.that_fit(AMPERE, "b.a") == ""


def test_the_facts_in_trees_come_in_the_order_of_the_words() -> None:
    """From the left, each once, over several trees; knobs, words, units and places are none."""
    names = names_in(
        ["and", [1, 1, 1], ["compare", [1, 1, 1], "<", ["fact", [1, 1, 1], "c"], ["fact", [1, 1, 1], "b"]],
         ["known", [1, 1, 1], "d"]],
        ["stated", [1, 1, 1], "e"],
        ["is", [1, 1, 1], ["fact", [1, 1, 1], "c"], ["word", [1, 1, 1], "w"]],
        ["call", [1, 1, 1], "min", ["quantity", [1, 1, 1], 2.0, [0, 1], False], ["fact", [1, 1, 1], "a"]],
        ["knob", [1, 1, 1], "k"],
        ["one_of", [1, 1, 1], *(["fact", [1, 1, 1], name] for name in "hgf")],
    )  # fmt: skip
    assert names == ("c", "b", "d", "e", "a", "h", "g", "f")
    assert names_in() == ()


def entry(name: str, subject: SubjectKind, kind: Kind = VOLT) -> Entry:
    """A line of a catalogue."""
    return Entry(name, subject, kind, "a meaning", lambda book, subject: Fact(name, True))


CATALOGUE = {
    each.name: each
    for each in (
        entry("block.x", "block", "name"), entry("statement.x", "statement", "any"), entry("pair.x", "pair"),
        entry("net.x", "net"), entry("part.x", "part", "truth"), entry("line.x", "line"),
        entry("board.x", "board", AMPERE),
    )
}  # fmt: skip


@pytest.mark.parametrize(
    ("subject", "names"),
    [
        ("block", {"block.x", "board.x"}),
        ("statement", {"statement.x", "block.x", "board.x"}),
        ("pair", {"pair.x", "board.x", "upstream.block.x", "downstream.block.x"}),
        ("net", {"net.x", "board.x"}),
        ("part", {"part.x", "board.x"}),
        ("line", {"line.x", "board.x"}),
        ("board", {"board.x"}),
    ],
)
def test_what_can_be_seen_from_a_subject(subject: SubjectKind, names: set[str]) -> None:
    """Its own facts and the board's; a statement's block's; a pair's two blocks' by their ends."""
    seen = facts_seen_from(subject, CATALOGUE)
    assert set(seen) == names
    for name, kind in seen.items():
        assert kind == CATALOGUE[name.removeprefix("upstream.").removeprefix("downstream.")].kind


def test_the_place_of_a_refusal_is_the_node_s_own() -> None:
    """Line, column and length as the node has them, in the file of the rule, with its line."""
    checker = Checker("first\n  second line\r\nthird", "a/b.rule", NAMES)
    with pytest.raises(InputError) as caught:
        checker.refuse(["fact", [2, 3, 6], "second"], "found that")
    (trouble,) = caught.value.troubles
    assert (trouble.kind, trouble.level, trouble.message) == ("wrong-rule", "error", "found that")
    assert tuple(trouble.place) == ("a/b.rule", 2, 3, 6)
    assert trouble.excerpt == "  second line"
