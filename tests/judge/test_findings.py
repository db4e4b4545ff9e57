"""What a finding carries, piece by piece; the order of findings; troubles of reading as findings."""

from itertools import permutations
from typing import Any, cast

import pytest

from drc.blocks.model import Block, Part
from drc.circuit.model import Element
from drc.facts.model import Fact, Subject, SubjectKind, Unknown, Value
from drc.intent.read import read_statements
from drc.judge.assess import assess, gravity
from drc.judge.model import Assessment, Finding, TallyEntry
from drc.judge.subjects import Facts, about, statement_kind
from drc.quantity.span import Span, exact
from drc.quantity.unit import STEP, VOLT
from drc.trouble import Place, Trouble
from tests.judge.boards import book_of
from tests.judge.stub import PLACE, GivenBook, rule, rules

ELSEWHERE = Place("parts.cir", 8, 2, 4)


class PlacedBook(GivenBook):
    """Its only block stands elsewhere than what is judged."""

    def subjects(self, kind: SubjectKind) -> tuple[Subject, ...]:
        """The block as a subject at a place of its own."""
        found = super().subjects(kind)
        return tuple(each._replace(place=ELSEWHERE) for each in found) if kind == "block" else found


CLAUSES = 'advice "do this" say at-risk "soft {strap.code}"'


def given(voltage: Value) -> dict[str, Value | Fact]:
    """A supply, and a strap that nobody asks about but the message."""
    return {"supply.voltage": voltage, "strap.code": exact(3)}


def test_a_finding_in_full() -> None:
    """Rule, level, verdict, subject, places, message, block, part, evidence and advice of one that fails."""
    book = PlacedBook(given(exact(1, VOLT)))
    found = assess(book, rule("require supply.voltage > 2 V else error", CLAUSES))
    assert found == Assessment(
        (
            Finding(
                rule="the-rule", level="error", verdict="fail", subject="XU1", place=ELSEWHERE,
                message="XU1 is wrong", block="XU1", part="HX",
                evidence={"supply.voltage": Fact("supply.voltage", exact(1, VOLT))},
                others=(PLACE,), advice="do this",
            ),
        ),
        (TallyEntry("the-rule", "XU1", "fail"),),
    )  # fmt: skip
    (near,) = assess(
        GivenBook(given(exact(1, VOLT))), rule("require supply.voltage > 2 V else error")
    ).findings
    assert (near.place, near.others, near.advice) == (PLACE, (), "")


def test_what_is_at_risk_is_told_in_its_own_words_or_in_those_of_a_failure() -> None:
    """With `say at-risk` as that says; without it what the failure says, and how far it is true."""
    risky = Span(1, 3, 4, VOLT)
    require = "require supply.voltage > 2 V else error"
    (own,) = assess(GivenBook(given(risky)), rule(require, CLAUSES)).findings
    assert (own.message, list(own.evidence)) == ("soft 3", ["supply.voltage", "strap.code"])
    (lent,) = assess(GivenBook(given(risky)), rule(require)).findings
    assert lent.message == "XU1 is wrong; true at nominal, not over the whole span"
    assert list(lent.evidence) == ["supply.voltage"]


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ('say unproven "not known: {strap.code}"', "not known: 3"),
        ("", "XU1: not proven that all is well: supply.voltage is unknown (no V1); strap.margin is unknown"),
    ],
)
def test_what_is_unproven_names_what_is_missing(more: str, message: str) -> None:
    """In the rule's words or in ours; missing is what each gap asks for, or its own name, each once."""
    facts: dict[str, Value | Fact] = {
        "supply.voltage": Unknown("no V1", ("V1", "R3")), "strap.margin": Unknown(""), "strap.code": exact(3),
        "supply.limit": Unknown("no limit", ("R3", "HX")),
    }  # fmt: skip
    require = "require supply.voltage > 2 V and strap.margin > 0 steps else error"
    found = assess(GivenBook(facts), rule(require, f"{more} where not known supply.limit"))
    (finding,) = found.findings
    assert finding.message == message
    assert finding.missing == ("V1", "R3", "strap.margin")
    assert found.tally == (TallyEntry("the-rule", "XU1", "unproven", False, ("V1", "R3", "strap.margin")),)
    assert set(finding.evidence) >= {"supply.limit", "supply.voltage", "strap.margin"}


def test_a_failure_misses_nothing() -> None:
    """What is unknown beside what fails is shown, and is not what the verdict waits for."""
    facts = {**given(exact(1, VOLT)), "strap.margin": Unknown("no R3", ("R3",))}
    require = "require supply.voltage > 2 V and strap.margin > 0 steps else error"
    found = assess(GivenBook(facts), rule(require))
    assert (found.findings[0].verdict, found.findings[0].missing) == ("fail", ())
    assert found.findings[0].evidence["strap.margin"].value == Unknown("no R3", ("R3",))
    assert found.tally[0].missing == ()


def test_a_quantity_that_is_no_number_is_unproven_and_said_so() -> None:
    """Nothing is missing by name: 0 V over 0 V is no number."""
    facts: dict[str, Value | Fact] = {"supply.voltage": exact(0, VOLT), "supply.limit": exact(0, VOLT)}
    (finding,) = assess(
        GivenBook(facts), rule("require supply.voltage / supply.limit < 1 else error")
    ).findings
    assert (finding.verdict, finding.missing) == ("unproven", ())
    assert finding.message == "XU1: not proven that all is well: a quantity is not a number"


ORDERED = [
    Finding("b", "error", "fail", "XU2", Place("a.cir", 9, 9), ""),
    Finding("a", "error", "at-risk", "XU1", Place("a.cir", 1, 1), ""),
    Finding("a", "error", "unproven", "XU1", Place("a.cir", 1, 1), ""),
    Finding("b", "warning", "fail", "XU2", Place("a.cir", 2, 9), ""),
    Finding("b", "warning", "fail", "XU2", Place("a.cir", 10, 1), ""),
    Finding("b", "warning", "fail", "XU2", Place("a.cir", 10, 3), ""),
    Finding("b", "warning", "fail", "XU2", Place("b.cir", 1, 1), ""),
    Finding("c", "warning", "fail", "XU1", Place("b.cir", 1, 1), ""),
    Finding("c", "warning", "fail", "XU2", Place("b.cir", 1, 1), ""),
    Finding("a", "note", "fail", "XU1", Place("a.cir", 1, 1), ""),
]
"""Level, verdict, path, line, column, rule, subject: each pair of neighbours differs in one more."""


def test_findings_are_ordered_by_one_thing_after_another() -> None:
    """Gravest level, gravest verdict, then where they stand, by numbers and not by digits, then by name."""
    backwards = ORDERED[::-1]
    assert sorted(backwards, key=gravity) == ORDERED
    for some in permutations(ORDERED[3:6]):
        assert sorted(some, key=gravity) == ORDERED[3:6]


def test_the_tally_keeps_the_order_of_rules_and_findings_come_by_gravity() -> None:
    """By rule, then by subject; what passes and what does not apply is in it, each once."""
    text = " ".join(
        f'rule r{k} title "T" for block {clauses} say "x" because "b" source "s"'
        for k, clauses in enumerate((
            "require strap.shorted else note", "where strap.shorted require strap.open else error",
            "require strap.open else error", "require strap.shorted else error",
        ))
    )  # fmt: skip
    found = assess(GivenBook({"strap.open": True, "strap.shorted": False}, ("XU1", "XU2")), rules(text))
    assert [(entry.rule, entry.subject, entry.verdict) for entry in found.tally] == [
        ("r0", "XU1", "fail"), ("r0", "XU2", "fail"),
        ("r1", "XU1", "not-applicable"), ("r1", "XU2", "not-applicable"),
        ("r2", "XU1", "pass"), ("r2", "XU2", "pass"),
        ("r3", "XU1", "fail"), ("r3", "XU2", "fail"),
    ]  # fmt: skip
    assert [(each.rule, each.subject) for each in found.findings] == [
        ("r3", "XU1"), ("r3", "XU2"), ("r0", "XU1"), ("r0", "XU2"),
    ]  # fmt: skip


LINE = 'rule odd-line title "T" for line{} {} because "b" source "s"\n'
ODD = Trouble(
    "odd-line", "error", Place("board.cir", 4, 2, 3), "found that, expected this", " 47Kohm6 a b R", (PLACE,)
)


def line_findings(text: str, *troubles: Trouble, house: str = "") -> Assessment:
    """The assessment of troubles of reading alone."""
    facts: dict[str, Value | Fact] = {"line.message": "what it said", "board.blocks": exact(2)}
    return assess(GivenBook(facts, (), troubles=troubles), rules(text, house))


def test_a_trouble_in_full() -> None:
    """Every piece of it is in the finding; a rule of its kind adds words, level and advice."""
    bare = Finding(
        rule="odd-line", level="error", verdict="fail", subject="board.cir:4:2", place=ODD.place,
        message="found that, expected this", others=(PLACE,), excerpt=" 47Kohm6 a b R",
    )  # fmt: skip
    assert line_findings("", ODD) == Assessment(
        (bare,), (TallyEntry("odd-line", "board.cir:4:2", "fail"),), (ODD,)
    )
    own = LINE.format(" else note", 'say "{subject}: {line.message}, {board.blocks}" advice "do this"')
    told = bare._replace(level="note", message="board.cir:4:2: what it said, 2", advice="do this")
    assert line_findings(own, ODD).findings == (told,)
    assert line_findings(LINE.format("", ""), ODD).findings == (bare,)
    assert line_findings(LINE.format("", 'advice "do this"'), ODD).findings == (
        bare._replace(advice="do this"),
    )


def test_only_a_rule_on_lines_of_that_kind_speaks_of_a_trouble() -> None:
    """A rule on blocks of the same name, and a rule on lines of another, leave it as it is."""
    block = 'rule odd-line title "T" for block require strap.open else note say "y" because "b" source "s"\n'
    for text in (block, LINE.format(" else note", 'say "y"').replace("odd-line", "another")):
        (finding,) = line_findings(text, ODD).findings
        assert (finding.level, finding.message) == ("error", "found that, expected this")


def test_a_rule_on_lines_leaves_the_rules_after_it() -> None:
    """Rules on blocks before and behind it are judged alike."""
    block = 'rule {} title "T" for block require strap.open else note say "y" because "b" source "s"\n'
    text = block.format("before") + LINE.format("", "") + block.format("behind")
    found = assess(GivenBook({"strap.open": False}), rules(text))
    assert [entry.rule for entry in found.tally] == ["before", "behind"]


def test_a_trouble_that_is_switched_off_is_kept_and_not_reported() -> None:
    """No finding and no line of the tally, but it is among the troubles; others are reported all the same."""
    other = ODD._replace(kind="another")
    found = line_findings(LINE.format("", ""), ODD, other, house='off odd-line because "known"')
    assert [finding.rule for finding in found.findings] == ["another"]
    assert [entry.rule for entry in found.tally] == ["another"]
    assert found.troubles == (ODD, other)


def test_a_rule_on_lines_tells_what_the_reader_said() -> None:
    """The fact of a line is the message of its own trouble."""
    book = book_of("t\n47Kohm6 a b R\n")
    text = LINE.format("", 'say "read: {line.message}"').replace("odd-line", "unreadable-line")
    found = assess(book, rules(text))
    (trouble,) = found.troubles
    assert trouble.kind == "unreadable-line"
    assert [finding.message for finding in found.findings] == [f"read: {trouble.message}"]


def test_the_same_trouble_twice_is_one() -> None:
    """What two readings of one line say alike is said once, in the order of the first."""
    other = ODD._replace(kind="another")
    assert line_findings("", other, ODD, other).troubles == (other, ODD)


@pytest.mark.parametrize(
    ("changes", "level"),
    [
        ({"nets": ("n9",)}, "warning"),
        ({"nets": ("n9", "VDD")}, "error"),
        ({"nets": ("vdd",)}, "error"),
        ({"nets": ()}, "error"),
        ({"nets": ("n9",), "kind": "another"}, "error"),
        ({"nets": ("n9",), "level": "note"}, "note"),
        ({"nets": ("vdd",), "level": "note"}, "note"),
    ],
)
def test_a_lost_line_is_graver_where_a_block_is_on_its_nets(changes: dict[str, Any], level: str) -> None:
    """An unreadable line whose nets are known, and no block on any of them, is a warning; else its own."""
    trouble = ODD._replace(**{"kind": "unreadable-line", **changes})
    book = GivenBook({}, troubles=(trouble,))
    board = book_of("t\nV1 vdd 0 5\nR1 vdd x 1k\n").board
    rail, other = board.circuit.net("vdd"), board.circuit.net("x")
    assert rail is not None
    assert other is not None
    block = book.blocks[0]._replace(pins={"supply": (other, rail), "strap": (other,), "rate": ()})
    book.board = board._replace(blocks=(block,))
    (finding,) = assess(book, rules("")).findings
    assert finding.level == level


BLOCK = Block("X1.XU1", None, Part("HX", PLACE), cast(Element, None), "part", {}, PLACE)
PARTNER = BLOCK._replace(path="XU2")
(EXPECTED,) = read_statements("  expect XU1 frequency 1kHz  ", "board.intent").statements


@pytest.mark.parametrize(
    ("subject", "words"),
    [
        (Subject("board", "board.cir", PLACE), {"subject": "board.cir"}),
        (Subject("net", "n1", PLACE, net="n1"), {"subject": "n1", "net": "n1"}),
        (
            Subject("block", "X1.XU1", PLACE, BLOCK),
            {"subject": "X1.XU1", "block": "X1.XU1", "part": "HX", "upstream": "X1.XU1"},
        ),
        (
            Subject("pair", "X1.XU1 to XU2", PLACE, BLOCK, partner=PARTNER),
            {"subject": "X1.XU1 to XU2", "block": "X1.XU1", "part": "HX", "upstream": "X1.XU1",
             "downstream": "XU2"},
        ),
        (
            Subject("statement", "XU1", PLACE, statement=EXPECTED),
            {"subject": "XU1", "block": "XU1", "statement": "expect XU1 frequency 1kHz"},
        ),
        (
            Subject("statement", "expect", PLACE, BLOCK, statement=EXPECTED),
            {"subject": "expect", "block": "X1.XU1", "part": "HX", "upstream": "X1.XU1",
             "statement": "expect XU1 frequency 1kHz"},
        ),
    ],
)  # fmt: skip
def test_what_can_be_said_of_a_subject(subject: Subject, words: dict[str, str]) -> None:
    """Its path; its net, block, part and partner where it has them; a statement's text."""
    assert about(subject) == words


@pytest.mark.parametrize(
    ("text", "kind"),
    [("expect XU1 frequency 1kHz", "expect"), ("supply a 1V", "supply"), ("not supply a", "not-supply"),
     ("ambient 0degC .. 9degC", "ambient"), ("fit R1 no", "fit"), ("adjust R1 0ohm .. 1kohm", "adjust")],
)  # fmt: skip
def test_statements_are_called_by_their_keyword(text: str, kind: str) -> None:
    """As rules write it after `for statement`."""
    (statement,) = read_statements(text, "board.intent").statements
    assert statement_kind(statement) == kind


def test_a_fact_is_seen_from_where_the_rule_stands() -> None:
    """The block's own, the board's from anywhere, an end's of a pair by its name, a statement's block's."""
    facts: dict[str, Value | Fact] = {
        "XU1 supply.voltage": exact(1, VOLT), "XU2 supply.voltage": exact(2, VOLT),
        "board.cir board.blocks": exact(7), "expect expect.wanted": exact(4, STEP),
        "XU1 to XU2 pair.series": exact(9),
    }  # fmt: skip
    book = GivenBook(facts, ("XU1", "XU2"))
    seen = Facts(book)
    one, two = book.subjects("block")
    (pair,) = book.subjects("pair")
    stated = Subject("statement", "expect", PLACE, two.block, statement=EXPECTED)
    lost = stated._replace(block=None)
    assert seen.fact(one, "supply.voltage") == Fact("supply.voltage", exact(1, VOLT))
    assert seen.fact(two, "board.blocks").value == exact(7)
    assert seen.fact(pair, "board.blocks").value == exact(7)
    assert seen.fact(pair, "pair.series").value == exact(9)
    assert seen.fact(pair, "upstream.supply.voltage") == Fact("upstream.supply.voltage", exact(1, VOLT))
    assert seen.fact(pair, "downstream.supply.voltage") == Fact("downstream.supply.voltage", exact(2, VOLT))
    assert seen.fact(stated, "expect.wanted").value == exact(4, STEP)
    assert seen.fact(stated, "supply.voltage") == Fact("supply.voltage", exact(2, VOLT))
    assert seen.fact(lost, "supply.voltage") == Fact(
        "supply.voltage", Unknown("the statement matches no block", ("supply.voltage",))
    )
    half = pair._replace(partner=None)
    assert seen.fact(half, "downstream.supply.voltage") == Fact(
        "downstream.supply.voltage", Unknown("no such block")
    )
    assert seen.fact(half, "upstream.supply.voltage").value == exact(1, VOLT)
    assert seen.subjects("block") is seen.subjects("block")
    assert [subject.path for subject, _ in seen.subjects("block")] == ["XU1", "XU2"]


class StatedBook(GivenBook):
    """Statements as subjects, one of each kind, and one that is no statement."""

    def subjects(self, kind: SubjectKind) -> tuple[Subject, ...]:
        """What is stated."""
        if kind != "statement":
            return super().subjects(kind)
        stated = read_statements("supply a 1V\nnot supply b\nexpect XU1 code 3", "x.intent").statements
        subjects = [Subject("statement", each.text, PLACE, statement=each) for each in stated]
        return (Subject("statement", "nothing", PLACE), *subjects)


@pytest.mark.parametrize(
    ("subject", "paths"),
    [
        ("statement", ["nothing", "supply a 1V", "not supply b", "expect XU1 code 3"]),
        ("statement supply", ["supply a 1V"]),
        ("statement not-supply", ["not supply b"]),
        ("statement expect", ["expect XU1 code 3"]),
        ("statement ambient", []),
    ],
)
def test_a_rule_on_one_kind_of_statement_sees_no_other(subject: str, paths: list[str]) -> None:
    """Those of its kind alone, in order; without a kind every statement."""
    text = (
        f'rule r title "T" for {subject} require known board.blocks else error say "x" because "b" source "s"'
    )
    assert [entry.subject for entry in assess(StatedBook({}), rules(text)).tally] == paths
