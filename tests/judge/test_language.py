"""Rule texts that are wrong are refused before any board is read: place, found, expected, what was meant."""

import pytest

from drc.trouble import InputError
from tests.judge.stub import REST, only, rule, rules

GOOD = 'rule r title "T" for block require strap.open else error say "x" because "b" source "s"'

LEFT = "on the left; facts that fit: "
NO_FACT = "expected a fact, knob or let"
NO_CONDITION = "expected a condition, such as a comparison"
BARE = "found this in a plain number (no unit)"
WRONG = [
    # require clause, what stands under the caret, message
    ("supply.voltage > rate.resistance else error", "rate.resistance",
     f"found rate.resistance in ohm, expected V, as supply.voltage {LEFT}supply.limit, "),
    ("strap.margn >= 0 steps else error", "strap.margn",
     f'found "strap.margn", {NO_FACT}; did you mean "strap.margin"?'),
    ("strap.margin >= 0.1 else error", "0.1", f"{BARE}, expected steps, as strap.margin {LEFT}strap."),
    ("strap.margin + 3V > 0 steps else error", "3V", "found this in V, expected steps, as strap.margin on"),
    ("strap.margin else error", "strap.margin", f"found a quantity in steps, {NO_CONDITION}"),
    ("strap.polarity > 3 else error", "strap.polarity", "found a name, expected a quantity"),
    ("strap.polarity is 3 else error", "3", "found a plain number, expected a name, as on the left"),
    ("strap.open is inverted else error", "inverted", f'found "inverted", {NO_FACT}'),
    ("not strap.code else error", "strap.code", f"found a plain number, {NO_CONDITION}"),
    ("strap.margin >= 0 steps else fatal", "fatal", 'found "fatal", expected error, warning or note'),
    ("strap.margin >= 0 steps", "say", 'found "say", expected "else", "or" or "when"'),
    ("strap.margin 0 steps else error", "0 steps", 'found "0 steps", expected "else", "when" or an operator'),
    ("strap.margin >= 5volts else error", "5volts", 'found "5volts", expected a unit: V A s Hz ohm'),
    ("strap.margin >= 5 K else error", "K", 'found "K", expected "else", '),
    ("min(strap.margin) >= 0 steps else error", "min(strap.margin)", "found 1 arguments for min, expected 2"),
    ("strap.ratio within 0.5 +/- 3% else error", "3%",
     "found a percentage of a ratio, expected a width without % or LOW .. HIGH"),
    ("timing.duty < 50% else error", "50%", f"{BARE}, expected points, as timing.duty on the left"),
    ("expect.wanted > 3 else error", "expect.wanted", f'found "expect.wanted", {NO_FACT}'),
    ("known strap.nothing else error", "known strap.nothing", f'found "strap.nothing", {NO_FACT}'),
    ("strap.margin >= ) else error", ")", 'found ")", expected a fact, a quantity or an expression'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "under", "message"), WRONG, ids=[wrong[0] for wrong in WRONG])
def test_a_wrong_require_is_refused_with_a_caret(text: str, under: str, message: str) -> None:
    """The trouble stands at the wrong words, says what was found and what was expected."""
    with pytest.raises(InputError) as caught:
        rule(f"require {text}")
    (trouble,) = caught.value.troubles
    place = trouble.place
    assert trouble.excerpt[place.column - 1 : place.column - 1 + place.length] == under
    assert trouble.message.startswith(message)
    assert place.path == "book.rule"


CLAUSES = [
    (GOOD.replace('title "T"', ""), 'the rule has no "title" clause, expected one'),
    (GOOD.replace('because "b"', ""), 'the rule has no "because" clause, expected one'),
    (GOOD.replace('source "s"', ""), 'the rule has no "source" clause, expected one'),
    (GOOD.replace('say "x"', ""), 'the rule has no "say" clause, expected one'),
    (
        GOOD.replace("require strap.open else error", ""),
        'the rule has no "require" clause, expected at least one',
    ),
    (GOOD + ' title "again"', 'found a second "title" clause, expected one'),
    (GOOD + " remedy strap-pear", 'found "strap-pear", expected strap-pair, '),
    (GOOD.replace("for block", "for block with strep"), 'found "strep", expected supply, ground, '),
    (GOOD.replace("for block", "for block of oscilator"), 'found "oscilator", expected oscillator, '),
    (GOOD.replace("for block", "for statement expects"), 'found "expects", expected expect, supply, '),
    (GOOD.replace("for block", "for line"), 'found "require" in a rule for line, expected none'),
    (GOOD.replace("for block", "for blocks"), 'found "blocks", expected "block", "board", '),
    (GOOD.replace('"x"', '"{strap.rato}"'), 'found "strap.rato", expected a fact, knob or let; did you mean'),
    (GOOD.replace('"x"', '"{block"'), 'found a lone "{" in the text, expected {NAME}, or "{{"'),
    (GOOD.replace('"x"', '"{upstream}"'), 'found "upstream", expected a fact, knob or let'),
    (GOOD.replace('"x"', '"{high strap.polarity}"'), "found a name, expected a quantity"),
    (GOOD + " knob a = 1V knob a = 2V", 'found a second "a", expected another name'),
    (GOOD + " let a = b", 'found "b", expected a fact, knob or let'),
    (GOOD + " knob a = strap.margin", 'found "strap.margin", expected a fact, knob or let'),
    (GOOD + " knob a.b = 1V", 'found "a.b", expected a name without a dot'),
    (GOOD + "\nbreaks\n| t\n| R1 a b 1k\n", 'the board has no "edit" after it, expected the one change'),
    (GOOD + '\nbreaks\n| t\n| R1 a b 1k\nedit "R2" to "R3"', 'the text "R2" stands 0 times in the board'),
    (GOOD + '\nbreaks\n| t\n| R1 a b 1k\n| R1 a c 1k\nedit "R1" to "R3"', 'the text "R1" stands 2 times'),
    (GOOD + '\nedit "R2" to "R3"', 'found "edit" without a "breaks" board of its own before it'),
    (GOOD + ' advice "not closed', "the text is not closed"),
    (GOOD + "\n" + GOOD, 'found a second rule "r", the first stands at book.rule:1:6; expected another name'),
    ("ruel r", 'found "ruel", expected '),
    ("rule", "found the end, expected a name"),
]


@pytest.mark.parametrize(("text", "message"), CLAUSES, ids=[message[:40] for _, message in CLAUSES])
def test_a_wrong_rule_is_refused(text: str, message: str) -> None:
    """Clauses that are missing, doubled or name what does not exist are refused with what would be right."""
    with pytest.raises(InputError) as caught:
        rules(text)
    trouble = caught.value.troubles[0]
    assert trouble.message.startswith(message)
    assert trouble.excerpt == text.split("\n")[trouble.place.line - 1]


def test_every_wrong_rule_of_a_file_is_named() -> None:
    """Two wrong rules give two troubles, so that a house book is put right in one go."""
    bad = GOOD.replace("strap.open", "strap.opn")
    with pytest.raises(InputError) as caught:
        rules(f"{bad}\n{bad.replace('rule r', 'rule s')}")
    assert [trouble.place.line for trouble in caught.value.troubles] == [1, 2]


def test_a_guess_is_offered() -> None:
    """A misspelt keyword is answered with the nearest one."""
    with pytest.raises(InputError) as caught:
        rules(GOOD.replace("because", "becuase"))
    assert 'did you mean "because"?' in caught.value.troubles[0].message


def test_layout_and_comments_mean_nothing() -> None:
    """One line or many, with comments between: the same rule."""
    spread = GOOD.replace(" ", "\n    # a comment | with a bar\n    ")
    one, many = only(rules(GOOD)), only(rules(spread))
    assert (one.title, one.because, one.requires[0].level) == (
        many.title,
        many.because,
        many.requires[0].level,
    )


def test_a_board_line_keeps_its_characters() -> None:
    """Behind `| ` a board's line stands as written, a hash and quotes in it included."""
    text = GOOD + '\nbreaks at-risk "a label"\n| title\n|* # "x"\n|   R1 a b 1k # c\nedit "1k" to "2k"'
    (case,) = only(rules(text)).cases
    assert case.board == 'title\n* # "x"\n  R1 a b 1k # c\n'
    assert case.mended == 'title\n* # "x"\n  R1 a b 2k # c\n'
    assert (case.verdict, case.label) == ("at-risk", "a label")


def test_strings_join_and_escape() -> None:
    """Adjacent texts are one; a backslash keeps a quote."""
    assert only(rules(GOOD.replace('"T"', '"One \\"two\\" " "three \\\\"'))).title == 'One "two" three \\'


def test_a_let_stands_for_its_expression_and_a_knob_for_its_value() -> None:
    """Lets may use lets and knobs before them; the facts behind them are the rule's facts."""
    found = only(
        rule(
            "require b > least else error", "knob least = 2V let a = supply.voltage let b = a - supply.limit"
        )
    )
    assert found.requires[0].names == ("supply.voltage", "supply.limit")
    assert found.knobs["least"].nominal == 2


def test_a_pair_speaks_of_both_its_blocks() -> None:
    """Facts of a pair's blocks are named with the end before them."""
    require = "require upstream.timing.period > downstream.timing.delay else error"
    text = f'rule r title "T" for pair {require} {REST}'
    assert only(rules(text)).requires[0].names == ("upstream.timing.period", "downstream.timing.delay")
