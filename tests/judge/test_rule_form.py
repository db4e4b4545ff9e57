"""Rule texts as plain trees: what each clause becomes, where each piece stands, what binds tighter."""

from typing import Any

import pytest

from drc.judge import parse
from drc.judge.parse import parse_rules
from drc.quantity.unit import OHM, RATIO, STEP, VOLT
from drc.trouble import InputError

TEXT = """# a comment
rule near-end
  title "One" "two"
  for block of oscillator, one-shot with strap, rate
  where known supply.voltage
  where not strap.open
  knob least = 0.1 steps
  let room = strap.margin -
    least
  require room >= 0 when stated (strap.code) else error at-risk note
  require strap.polarity is "odd \\"name\\"" else warning
  unproven error
  say "{block}"
  say at-risk "soft"
    "er"
  advice "do"
  remedy decade, rail
  because "why"
  source "where"
  breaks at-risk "a label"
    | a title
    |no blank
    |   indented
  edit "no" to "a"
  breaks
    | t\r
"""


def place(words: str, nth: int = 0, text: str = TEXT) -> list[int]:
    """Line, column and length of words in a text; 1 long where they go over several lines."""
    start = -1
    for _ in range(nth + 1):
        start = text.index(words, start + 1)
    before = text[:start].split("\n")
    return [len(before), len(before[-1]) + 1, 1 if "\n" in words else len(words)]


def clause(start: str, end: str) -> list[int]:
    """The place of a clause from its first words to its last."""
    begin = TEXT.index(start)
    return place(TEXT[begin : TEXT.index(end, begin) + len(end)])


def fact(name: str, nth: int = 0) -> list[Any]:
    """The node of a name."""
    return ["name", place(name, nth), name]


def named(word: str, nth: int = 0) -> list[Any]:
    """A word of a list, with its place."""
    return [word, place(word, nth)]


def test_every_clause_becomes_what_it_says() -> None:
    """A rule of all clauses: each value, each list in order, each place with line, column and length."""
    (rule,) = parse_rules(TEXT, "x.rule")
    assert {name: rule[name] for name in ("item", "name", "at", "title", "subject")} == {
        "item": "rule",
        "name": "near-end",
        "at": place("near-end"),
        "title": "Onetwo",
        "subject": {
            "kind": "block",
            "at": place("block"),
            "of": [named("oscillator"), named("one-shot")],
            "with": [named("strap"), named("rate")],
            "level": None,
        },
    }
    assert rule["where"] == [
        ["known", place("known supply.voltage"), "supply.voltage"],
        ["not", place("not strap.open"), fact("strap.open")],
    ]
    tenth = ["quantity", place("0.1 steps"), 0.1, list(STEP.dimension), False]
    assert rule["knobs"] == [["least", place("least"), tenth]]
    room = ["minus", place("strap.margin -\n    least"), fact("strap.margin"), fact("least", 1)]
    assert rule["lets"] == [["room", place("room"), room]]
    nothing = ["quantity", [*place("0 when")[:2], 1], 0.0, list(RATIO.dimension), False]
    assert rule["require"] == [
        {
            "if": ["compare", place("room >= 0"), ">=", fact("room", 1), nothing],
            "when": ["stated", [*place("stated (strap.code")[:2], 19], "strap.code"],
            "else": "error",
            "at_risk": "note",
        },
        {
            "if": [
                "is",
                place('strap.polarity is "odd \\"name\\""'),
                fact("strap.polarity"),
                ["word", place('"odd \\"name\\""'), 'odd "name"'],
            ],
            "when": None,
            "else": "warning",
            "at_risk": None,
        },
    ]
    assert rule["unproven"] == "error"
    assert rule["says"] == {
        "fail": ["{block}", place('"{block}"')],
        "at-risk": ["softer", place('"soft"\n')],
    }
    assert rule["remedy"] == [named("decade"), named("rail")]
    assert (rule["advice"], rule["because"], rule["source"]) == ("do", "why", "where")


def test_every_board_becomes_the_text_that_it_shows() -> None:
    """One blank behind the bar is dropped, no more; a carriage return at a line's end is none of it."""
    (rule,) = parse_rules(TEXT, "x.rule")
    assert rule["cases"] == [
        {
            "at": [*place("breaks")[:2], 1],
            "verdict": "at-risk",
            "label": "a label",
            "board": "a title\nno blank\n  indented\n",
            "edit": ["no", "a"],
        },
        {"at": [*place("breaks", 1)[:2], 1], "verdict": "fail", "label": "", "board": "t\n", "edit": None},
    ]


def test_a_rule_of_few_clauses_has_nothing_else() -> None:
    """What is not written is empty; a rule on lines may name a level, one on statements a kind."""
    (bare,) = parse_rules('rule r title "T" for line because "b" source "s"', "x.rule")
    assert bare == {
        "item": "rule", "name": "r", "at": [1, 6, 1], "title": "T", "because": "b", "source": "s",
        "subject": {"kind": "line", "at": [1, 22, 4], "of": [], "with": [], "level": None},
        "where": [], "knobs": [], "lets": [], "require": [], "says": {}, "cases": [],
    }  # fmt: skip
    (levelled,) = parse_rules('rule r title "T" for line else note because "b" source "s"', "x.rule")
    assert levelled["subject"] == {**bare["subject"], "level": "note"}
    (stated,) = parse_rules('rule r title "T" for statement not-supply because "b" source "s"', "x.rule")
    assert stated["subject"] == {
        "kind": "statement", "at": [1, 22, 9], "of": [["not-supply", [1, 32, 10]]], "with": [], "level": None,
    }  # fmt: skip
    (roles,) = parse_rules('rule r title "T" for block with strap because "b" source "s"', "x.rule")
    assert (roles["subject"]["of"], roles["subject"]["with"]) == ([], [["strap", [1, 33, 5]]])


def test_adjustments_name_what_they_change() -> None:
    """A turned knob, a level of each kind, a rule switched off, one replaced: in the order written."""
    text = (
        "turn a-rule least = 5%\nlevel a-rule note\nlevel a-rule at-risk error\n"
        'level a-rule unproven warning\noff a-rule because "not" " here"\n'
        'replace a-rule title "T" for board because "b" source "s"'
    )
    turned, fails, risks, lacks, off, replaced = parse_rules(text, "x.rule")
    assert turned == {
        "item": "turn", "name": "a-rule", "at": [1, 6, 6], "knob": "least", "knob_at": [1, 13, 5],
        "value": ["quantity", [1, 21, 2], 0.05, list(RATIO.dimension), True],
    }  # fmt: skip
    assert fails == {"item": "level", "name": "a-rule", "at": [2, 7, 6], "aspect": "fail", "level": "note"}
    assert risks == {
        "item": "level",
        "name": "a-rule",
        "at": [3, 7, 6],
        "aspect": "at-risk",
        "level": "error",
    }
    assert (lacks["aspect"], lacks["level"]) == ("unproven", "warning")
    assert off == {"item": "off", "name": "a-rule", "at": [5, 5, 6], "because": "not here"}
    assert (replaced["item"], replaced["name"], replaced["subject"]["kind"]) == ("replace", "a-rule", "board")


def bare(node: list[Any]) -> object:
    """A tree without its places, names as their text."""
    if node[0] == "name":
        return node[2]
    if node[0] == "quantity":
        return node[2]
    return (node[0], *(bare(part) if isinstance(part, list) else part for part in node[2:]))


def expression(text: str) -> list[Any]:
    """The tree of an expression."""
    (item,) = parse_rules(f"turn r k = {text}", "x.rule")
    tree: list[Any] = item["value"]
    return tree


TIGHTER: list[tuple[str, object]] = [
    ("a or b or c", ("or", ("or", "a", "b"), "c")),
    ("a or b and c", ("or", "a", ("and", "b", "c"))),
    ("not a and b", ("and", ("not", "a"), "b")),
    ("not a < b", ("not", ("compare", "<", "a", "b"))),
    ("a + 1 <= b * 2", ("compare", "<=", ("plus", "a", 1), ("times", "b", 2))),
    ("a within b .. c + d", ("within", "a", ("from_to", "b", ("plus", "c", "d")))),
    ("a within b +/- c", ("within", "a", ("around", "b", "c"))),
    ("a is not b", ("is_not", "a", "b")),
    ("a is one of (b, c + 1)", ("one_of", "a", "b", ("plus", "c", 1))),
    ("a - b - c", ("minus", ("minus", "a", "b"), "c")),
    ("a / b * c", ("times", ("over", "a", "b"), "c")),
    ("-a * b", ("times", ("negative", "a"), "b")),
    ("(a + b) * c", ("times", ("plus", "a", "b"), "c")),
    ("min(a, b) > abs(c)", ("compare", ">", ("call", "min", "a", "b"), ("call", "abs", "c"))),
    ("known a or stated b", ("or", ("known", "a"), ("stated", "b"))),
]


def test_what_binds_tighter() -> None:
    """or, and, not, comparisons, ranges, sums, products, signs: loosest first; equals from the left."""
    for text, tree in TIGHTER:
        assert bare(expression(text)) == tree, text


QUANTITIES = [
    ("5%", 0.05, RATIO, True),
    ("50 ppm", 50e-6, RATIO, True),
    ("4.7 kohm", 4700.0, OHM, True),
    ("2", 2.0, RATIO, False),
    ("3 V", 3.0, VOLT, False),
]


def test_a_quantity_keeps_whether_it_is_a_share() -> None:
    """SI value and exponents of its unit; a plain ratio written as % or ppm is told from one written bare."""
    for text, value, unit, of_hundred in QUANTITIES:
        kind, at, found, dimension, marked = expression(text)
        assert (kind, at, dimension) == ("quantity", [1, 12, len(text)], list(unit.dimension))
        assert found == pytest.approx(value)
        assert unit != RATIO or marked is of_hundred, text


def test_functions_take_their_own_number_of_things() -> None:
    """Two for min and max, one for all others; the whole call is where the trouble is."""
    for text, count in (("min(a)", 1), ("max(a, b, c)", 3), ("abs(a, b)", 2), ("low(a, b)", 2)):
        with pytest.raises(InputError) as caught:
            expression(text)
        (trouble,) = caught.value.troubles
        name = text.partition("(")[0]
        expected = 2 if name in ("min", "max") else 1
        assert trouble.message == f"found {count} arguments for {name}, expected {expected}"
        assert (trouble.place.line, trouble.place.column, trouble.place.length) == (1, 12, len(text))


LEAST = 'rule r title "T" for line because "b" source "s"'


@pytest.mark.parametrize("twice", ['title "T"', "for line", 'advice "a"', 'because "b"', 'source "s"',
                                   "unproven note", "remedy rail"])  # fmt: skip
def test_what_may_stand_once_is_refused_the_second_time(twice: str) -> None:
    """Every clause of which there is one, named by its keyword, at the second one."""
    text = LEAST if twice in LEAST else f"{LEAST} {twice}"
    with pytest.raises(InputError) as caught:
        parse_rules(f"{text}\n   {twice}", "x.rule")
    (trouble,) = caught.value.troubles
    keyword = twice.partition(" ")[0]
    assert trouble.message == f'found a second "{keyword}" clause, expected one'
    assert (trouble.place.line, trouble.place.column, trouble.place.length) == (2, 4, len(twice))


@pytest.mark.parametrize("lost", ['title "T" ', "for line ", 'because "b" ', 'source "s"'])
def test_what_every_rule_states_is_asked_for(lost: str) -> None:
    """Title, subject, reason and source; the trouble is at the rule's name."""
    with pytest.raises(InputError) as caught:
        parse_rules(LEAST.replace(lost, ""), "x.rule")
    (trouble,) = caught.value.troubles
    keyword = lost.partition(" ")[0]
    assert trouble.message == f'the rule has no "{keyword}" clause, expected one: every rule states it'
    assert (trouble.place.line, trouble.place.column, trouble.place.length) == (1, 6, 1)


BOARD = f"{LEAST}\nbreaks\n| t\n| R1 a b 1k\n"


@pytest.mark.parametrize(
    ("edit", "message"),
    [
        ('edit "R2" to "R3"', 'the text "R2" stands 0 times in the board, expected exactly once'),
        ('edit "" to "R3"', 'the text "" stands 13 times in the board, expected exactly once'),
        ('edit "\\"" to "x"', 'the text """ stands 0 times in the board, expected exactly once'),
    ],
)
def test_an_edit_changes_what_stands_once(edit: str, message: str) -> None:
    """The old text is in the board exactly once; otherwise the edit is the trouble."""
    with pytest.raises(InputError) as caught:
        parse_rules(BOARD + "  " + edit, "x.rule")
    (trouble,) = caught.value.troubles
    assert trouble.message == message
    assert (trouble.place.line, trouble.place.column, trouble.place.length) == (5, 3, len(edit))


def test_each_board_has_one_edit() -> None:
    """A second edit, and one before any board, belong to nothing."""
    edit = 'edit "1k" to "2k"'
    for text in (f"{BOARD}{edit}\n{edit}", f"{LEAST}\n{edit}"):
        with pytest.raises(InputError) as caught:
            parse_rules(text, "x.rule")
        (trouble,) = caught.value.troubles
        assert trouble.message == 'found "edit" without a "breaks" board of its own before it'
        assert trouble.place.line == len(text.split("\n"))
    (two,) = parse_rules(f"{BOARD}{edit}\n{BOARD.partition(chr(10))[2]}{edit}", "x.rule")
    assert [case["edit"] for case in two["cases"]] == [["1k", "2k"], ["1k", "2k"]]


def test_a_grammar_read_anew_reads_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Trees, places and refusals do not hang on the parser that is kept from one text to the next."""
    kept = parse_rules(TEXT, "x.rule")
    monkeypatch.setattr(parse, "_parser", parse._parser.__wrapped__)
    assert parse_rules(TEXT, "x.rule") == kept
    with pytest.raises(InputError, match='1:13: found the end, expected a text in "quotes"'):
        parse_rules("rule r title", "x.rule")


@pytest.mark.parametrize("shape", ["not {}", "{} or b", "min({}, 1)", "{} < 1", "-{}"])
def test_an_expression_has_100_levels(shape: str) -> None:
    """One more is refused, whatever it is made of, with the place of the innermost."""
    text = "a"
    for _ in range(99):
        text = f"({shape.format(text)})"
    assert expression(text)
    with pytest.raises(InputError) as caught:
        expression(f"not {text}")
    (trouble,) = caught.value.troubles
    assert trouble.message == ("found an expression of more than 100 levels, expected a fact or a let for it")
    assert trouble.excerpt[trouble.place.column - 1 :].startswith("a")
    assert trouble.place.length == 1
