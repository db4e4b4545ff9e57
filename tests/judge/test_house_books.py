"""House books add rules, turn knobs, change levels, switch off with a reason, and replace."""

from pathlib import Path

import pytest

from drc.judge.book import load_rules
from drc.judge.rule import RuleBook
from drc.quantity.unit import STEP
from drc.trouble import InputError
from tests.judge.stub import only, rules

BUILT_IN = """rule near title "T" for block knob clearance = 0.15 steps
    require strap.margin >= 0 steps else error
    require strap.margin >= clearance else warning at-risk warning
    say "x" because "b" source "s"
"""


def house(text: str) -> RuleBook:
    """The rule above with a house book after it."""
    return rules(BUILT_IN, text)


def test_a_knob_is_turned() -> None:
    """The knob takes the house's value, the rule stays as it is otherwise."""
    turned = only(house("turn near clearance = 0.2 steps"))
    assert (turned.knobs["clearance"].nominal, turned.knobs["clearance"].unit) == (0.2, STEP)
    assert turned.requires == only(rules(BUILT_IN)).requires


def test_a_level_is_set_for_each_verdict() -> None:
    """fail, at-risk and unproven each have a level; a lower fail level takes at-risk down with it."""
    assert [part.level for part in only(house("level near note")).requires] == ["note", "note"]
    assert [part.at_risk for part in only(house("level near note")).requires] == ["note", "note"]
    assert [part.at_risk for part in only(house("level near at-risk error")).requires] == ["error", "error"]
    assert only(house("level near unproven error")).unproven == "error"


def test_a_rule_is_switched_off_with_a_reason() -> None:
    """What is switched off is not judged, and the reason is kept with its place."""
    book = house('off near because "prototypes"')
    assert book.rules == ()
    assert book.off["near"].because == "prototypes"
    assert book.off["near"].place.path == "house0.rule"


def test_a_rule_is_replaced_and_added() -> None:
    """`replace` needs the name, `rule` a new one; order is kept."""
    book = house(
        BUILT_IN.replace("rule near", "replace near").replace('"T"', '"U"') + BUILT_IN.replace("near", "far")
    )
    assert [(found.name, found.title) for found in book.rules] == [("near", "U"), ("far", "T")]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "turn neer clearance = 0.2 steps",
            'found "neer", expected the name of a rule; did you mean "near"?',
        ),
        (
            "turn near clearence = 0.2 steps",
            'found "clearence", expected a knob of near; did you mean "clearance"?',
        ),
        ("turn near clearance = 0.2V", "found a quantity in V, expected one in steps, as clearance has"),
        ("turn near clearance = strap.margin", 'found "strap.margin", expected a fact, knob or let'),
        ("level near fatal", 'found "fatal", expected '),
        ("off near", 'found the end, expected "because"'),
        ('off far because "x"', 'found "far", expected the name of a rule'),
        (BUILT_IN.replace("rule near", "replace nea"), 'found "nea", expected the name of a rule'),
    ],
)
def test_a_wrong_adjustment_is_refused(text: str, message: str) -> None:
    """It names the house's file, what was found and what would be right."""
    with pytest.raises(InputError) as caught:
        house(text)
    assert caught.value.troubles[0].message.startswith(message)
    assert caught.value.troubles[0].place.path == "house0.rule"


def test_files_and_folders_are_read(tmp_path: Path) -> None:
    """A folder gives its `.rule` files in order; their digests are kept."""
    (tmp_path / "b.rule").write_text("turn near clearance = 0.3 steps\n")
    (tmp_path / "a.rule").write_text(BUILT_IN)
    (tmp_path / "notes.txt").write_text("no rule")
    book = load_rules([tmp_path], built_in=False)
    assert only(book).knobs["clearance"].nominal == 0.3
    assert [Path(path).name for path, _ in book.files] == ["a.rule", "b.rule"]


def test_files_that_cannot_be_read_are_refused(tmp_path: Path) -> None:
    """A missing file and a binary one are each one clear line."""
    (tmp_path / "x.rule").write_bytes(b"\xff\xfe\x00")
    for path, message in ((tmp_path / "x.rule", "not UTF-8"), (tmp_path / "y.rule", "expected a rule file")):
        with pytest.raises(InputError, match=message):
            load_rules([path])
