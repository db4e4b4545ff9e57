"""Whatever a rule file holds, it is read or refused in one clear line: never a traceback, never a hang."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.judge.book import read_rules
from drc.judge.rule import Source
from drc.trouble import InputError, Trouble
from tests.judge.stub import rule

RULE = """rule near title "T" for block of one-shot with strap knob clearance = 0.15 steps
    where known strap.margin let room = strap.margin - clearance * 2
    require not (room < 0 steps) or strap.code is one of (1, 2) when strap.polarity is normal else error at-risk note
    unproven error say "{block} {low strap.margin}" say at-risk "{room}" advice "a" remedy strap-pair, decade
    because "b" source "s"
    breaks at-risk "x"
    | board
    | R1 a b 1k
    edit "1k" to "2k"
turn near clearance = 1 steps level near unproven note off near because "x"
"""  # noqa: E501
PIECES = RULE.split(" ")
CHARACTERS = st.text(st.characters(codec="utf-8"), max_size=6)


def read(text: str) -> None:
    """Reads a rule text; a refusal must have a place and a message of one line."""
    troubles: tuple[Trouble, ...] = ()
    try:
        read_rules([Source("fuzz.rule", text)])
    except InputError as error:
        troubles = error.troubles
    for trouble in troubles:
        assert trouble.message
        assert "\n" not in trouble.message
        assert trouble.place.line >= 1
        assert trouble.place.column >= 1


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_rule_with_pieces_changed_is_read_or_refused(data: st.DataObject) -> None:
    """Words lost, doubled, swapped or replaced by any characters."""
    pieces = list(PIECES)
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(pieces) - 1))
        pieces[at : at + data.draw(st.integers(0, 2))] = data.draw(
            st.lists(st.sampled_from(PIECES) | CHARACTERS, max_size=2)
        )
    read(" ".join(pieces))


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    """Text of any characters, NUL and unpaired signs included."""
    read(text)


@pytest.mark.parametrize("brackets", [50, 500, 20_000])
def test_deep_expressions_are_refused(brackets: int) -> None:
    """Brackets mean no depth of their own; nested operators beyond the limit are refused."""
    rule(f"require {'(' * brackets}strap.open{')' * brackets} else error")
    with pytest.raises(InputError, match="more than 100 levels"):
        rule(f"require {'not ' * max(brackets, 200)} strap.open else error")
    with pytest.raises(InputError, match="more than 100 levels"):
        rule(f"require strap.open {'and strap.open ' * max(brackets, 200)} else error")


def test_lets_cannot_double_without_end() -> None:
    """Thirty lets, each twice the one before, would be a billion terms."""
    lets = " ".join(f"let a{n + 1} = a{n} and a{n}" for n in range(30))
    with pytest.raises(InputError, match="more than 200 terms"):
        rule("require a30 else error", f"let a0 = strap.open {lets}")


def test_no_template_reaches_into_python() -> None:
    """A message can only name facts, knobs, lets and the subject: nothing is formatted or evaluated."""
    for hole in ("{block.__class__}", "{0}", "{block!r}", "{strap.margin:>99999999}", "{}"):
        with pytest.raises(InputError):
            read_rules([Source("x.rule", RULE.replace("{block}", hole))])
