"""What is wrong with the twin boards of a rule, in words; which rules are numeric; how far an edit goes."""

import pytest

from drc.judge.cases import NEAR, breaking_faults, edit_size, form_faults, holding_faults, is_numeric
from drc.judge.model import BROKEN, Assessment, Finding, TallyEntry, Verdict
from drc.judge.rule import Broken, Rule, TwinCase
from drc.trouble import Place
from tests.judge.stub import only, rule, rules

CASE = TwinCase(Place("x.rule", 9), "fail", "", "title\nR1 a b 1k\n\n R2 b c 2k\n", "R1 a b 1k", "R1 a b 2k")
BARE: Rule = only(rule("require strap.margin >= 0 steps else error"))
WHERE = "x.rule:9:1: "
Entry = tuple[str, str, Verdict]
PASSING: Entry = ("the-rule", "XU1", "pass")
IDLE: Entry = ("the-rule", "XU1", "not-applicable")


def assessed(*entries: Entry) -> Assessment:
    """An assessment of (rule, subject, verdict)."""
    findings = tuple(
        Finding(name, "error", verdict, subject, Place("board.cir", 2), "message")
        for name, subject, verdict in entries
        if verdict in BROKEN
    )
    return Assessment(findings, tuple(TallyEntry(*entry) for entry in entries))


@pytest.mark.parametrize(
    ("old", "new", "faults"),
    [
        ("1k", "2k", []),
        ("R1 a b 1k", "R1 a c 2k", []),
        ("R1 a b 1k", "", []),
        ("R1 a b 1k", "R1 a b 1k\nR3 c d 1k", []),
        ("R1 a b 1k", "R1 a b 2k\nR3 c d 1k", [f"{WHERE}the edit changes 2 lines, expected one"]),
        ("R1 a b 1k", "R3 a b 2k\nR4 c d 1k\nR5 e f 1k", [f"{WHERE}the edit changes 3 lines, expected one"]),
        ("R1 a b 1k\n\n R2 b c 2k", "R3 a b 1k", [f"{WHERE}the edit changes 2 lines, expected one"]),
        ("R1 a b 1k\n\n R2 b c 2k", "", [f"{WHERE}the edit changes 2 lines, expected one"]),
        ("R1 a b 1k", "R1 a b 1k ", [f"{WHERE}the edit changes nothing"]),
        ("\n\n", "\n", [f"{WHERE}the edit changes nothing"]),
        ("title", "another", [f"{WHERE}the edit changes nothing"]),
    ],
)
def test_an_edit_changes_one_line(old: str, new: str, faults: list[str]) -> None:
    """A line changed, added or taken out; the title, blanks at the ends and empty lines say nothing."""
    assert form_faults(BARE._replace(cases=(CASE._replace(old=old, new=new),))) == faults


def test_faults_of_form_are_told_of_every_case() -> None:
    """In order; without a case that is the fault."""
    idle = CASE._replace(new=CASE.old)
    later = idle._replace(place=Place("x.rule", 20))
    assert form_faults(BARE) == ["the rule has no board that breaks it"]
    assert form_faults(BARE._replace(cases=(idle, CASE, later))) == [
        f"{WHERE}the edit changes nothing",
        "x.rule:20:1: the edit changes nothing",
    ]


@pytest.mark.parametrize("verdict", ["fail", "at-risk", "unproven"])
def test_the_breaking_board_gives_the_verdict_announced(verdict: Broken) -> None:
    """One finding of the rule with it is enough; otherwise what it gives instead is told."""
    case = CASE._replace(verdict=verdict)
    others = [each for each in BROKEN if each != verdict]
    mine: list[Entry] = [("the-rule", f"XU{k}", each) for k, each in enumerate(others)]
    assert breaking_faults(BARE, case, assessed(*mine, ("the-rule", "XU9", verdict))) == []
    assert breaking_faults(BARE, case, assessed(*mine, ("another", "XU9", verdict))) == [
        f"{WHERE}the breaking board gives {', '.join(others)} of the-rule, expected {verdict}"
    ]
    assert breaking_faults(BARE, case, assessed(PASSING)) == [
        f"{WHERE}the breaking board gives no finding of the-rule, expected {verdict}"
    ]


@pytest.mark.parametrize("verdict", ["fail", "at-risk", "unproven"])
def test_the_edited_board_has_no_finding_of_the_rule_left(verdict: Broken) -> None:
    """Whatever its verdict, also beside one that passes; those of other rules do not count."""
    found = assessed(PASSING, ("the-rule", "XU2", verdict), ("the-rule", "XU3", "fail"), ("b", "XU4", "fail"))
    message = f"{WHERE}the edited board still gives {verdict} on XU2, fail on XU3 of the-rule"
    assert holding_faults(BARE, CASE, found) == [message]
    assert holding_faults(BARE._replace(subject="line"), CASE, found) == [message]
    assert holding_faults(BARE, CASE, assessed(PASSING, ("b", "XU2", verdict))) == []


def test_the_edited_board_passes_on_something() -> None:
    """A rule that applies to nothing there shows nothing; one on lines has nothing to say."""
    message = f"{WHERE}the edited board passes the-rule on nothing, so it shows nothing"
    for found in (assessed(), assessed(IDLE), assessed(IDLE, ("b", "XU1", "pass"))):
        assert holding_faults(BARE, CASE, found) == [message]
        assert holding_faults(BARE._replace(subject="line"), CASE, found) == []
    assert holding_faults(BARE, CASE, assessed(IDLE, ("the-rule", "XU2", "pass"))) == []


@pytest.mark.parametrize(
    ("requires", "numeric"),
    [
        ("require strap.margin >= 0 steps else error", True),
        ("require supply.voltage within supply.rated else error", True),
        ("require not supply.voltage > 1 V else error", True),
        ("require strap.open or supply.voltage > 1 V else error", True),
        ("require strap.open and (strap.shorted or not supply.voltage > 1 V) else error", True),
        ("require strap.open else error require supply.voltage > 1 V else note", True),
        ("require strap.code > 3 or supply.voltage > 1 V else error", True),
        ("require strap.code > strap.neighbour else error", False),
        ("require strap.code + strap.margin / 1 steps > 3 else error", True),
        ("require strap.code within 1 .. 3 else error", False),
        ("require strap.code is 3 else error", False),
        ("require supply.voltage is 3 V else error", False),
        ("require strap.open else error", False),
        ("require strap.polarity is normal and not strap.open else error", False),
        ("require known supply.voltage else error", False),
        ("require strap.open is (supply.voltage > 1 V) else error", False),
        ("require strap.open when supply.voltage > 1 V else error", False),
    ],
)
def test_a_numeric_rule_compares_quantities(requires: str, numeric: bool) -> None:
    """With <, >, or within, on its own or under not, and, or; whole numbers have no nearness."""
    whole = frozenset({"strap.code", "strap.neighbour"})
    assert is_numeric(only(rule(requires)), whole) is numeric


def test_a_rule_on_lines_is_not_numeric() -> None:
    """It has no require."""
    text = 'rule r title "T" for line because "b" source "s"'
    assert not is_numeric(only(rules(text)), frozenset())


@pytest.mark.parametrize(
    ("old", "new", "size"),
    [
        ("R1 a b 1k", "R1 a b 1.1k", 0.1 / 1.1),
        ("R1 a b 1.1k", "R1 a b 1k", 0.1 / 1.1),
        ("V1 a 0 -4", "V1 a 0 -5", 0.2),
        ("V1 a 0 -5", "V1 a 0 -4", 0.2),
        ("V1 a 0 -4", "V1 a 0 4", 2.0),
        ("V1 a 0 0", "V1 a 0 4", 1.0),
        ("V1 a 0 +4", "V1 a 0 +5", 0.2),
        ("PULSE(0 5 1m)", "PULSE(0 4 1m)", 0.2),
        ("PULSE(0 5 1m)", "PULSE(1 4 1m)", None),
        ("R1 a b 1k", "R1 a b 1k", None),
        ("R1 a b 1k", "R2 a b 1k", None),
        ("R1 n1 n2 1k", "R1 n1 n3 1k", None),
        ("R1 a b 1k", "R1 a b 1k 1", None),
        ("R1 a b 1k", "R1 a c 2k", None),
        ("R1 a b 1k", "C1 a b 2k", None),
        ("* # 1", "* 1 1", None),
        ("R1 a b 1k 2", "R1 a b 1k", None),
        ("1k", "1meg", None),
        ("1.5", "2.5", 0.4),
        (".5", ".6", None),
        ("a", "b", None),
    ],
)
def test_how_far_an_edit_goes(old: str, new: str, size: float | None) -> None:
    """The change of its one number, of the larger; digits of names are none, several changes have no size."""
    found = edit_size(CASE._replace(old=old, new=new))
    assert found == (None if size is None else pytest.approx(size))


def test_near_is_a_tenth_of_the_larger() -> None:
    """From 10 to 11 is near, from 10 to 12 is not."""
    near, far = (edit_size(CASE._replace(old="10", new=new)) for new in ("11", "12"))
    assert near is not None
    assert far is not None
    assert near < NEAR < far
