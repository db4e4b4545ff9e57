"""What things are called and the order in which they are written change nothing that is said of a board."""

import string
from functools import cache
from random import Random

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tests.metamorphic.account import Account, Told, account, differences
from tests.metamorphic.boards import (
    BOARDS,
    board,
    cards,
    elements,
    name_of,
    nets_of,
    renamed,
    stated_otherwise,
    text_of,
)

FEW = settings(max_examples=2, phases=[Phase.explicit, Phase.reuse, Phase.generate])
"""A few examples a board: there are many boards. One that fails is small already."""

TAILS = st.text(string.ascii_letters + string.digits + "_$#/[]-", min_size=1, max_size=6)


def otherwise(name: str, at: int, tail: str) -> str:
    """Another name for an element, which no other has."""
    return f"{name[0]}90{at}017" if name[0] in "jJ" else f"{name[0]}zq{at}q{tail}"


@cache
def before(name: str) -> Account:
    """What is said of the board as it is written."""
    return account(board(name))


@cache
def without_fingerprints(name: str) -> Account:
    """The same without fingerprints, which are made of block names among others."""
    return account(board(name), Told(without=frozenset({"fingerprint"})))


@pytest.mark.parametrize("name", BOARDS)
@FEW
@given(data=st.data())
def test_nets_may_be_called_otherwise(name: str, data: st.DataObject) -> None:
    """All that is said is the same, fingerprints too, with the old names put back for the new ones.

    Ground keeps its name, and a net whose name says its voltage is stated too, so the name is not needed.
    """
    old = board(name)
    found = cards(old.text)
    nets = sorted({net for card in elements(found) for net in nets_of(card)} - {"0"})
    chosen = data.draw(st.lists(st.sampled_from(nets), unique=True, min_size=1))
    new = {net.lower(): f"zq{at}q{data.draw(TAILS)}" for at, net in enumerate(chosen)}
    text = text_of(renamed(found, new, {}))
    back = {new[net.lower()]: net for net in chosen}
    changed = old._replace(text=text, intent=stated_otherwise(old.intent, new, {}))
    assert differences(before(name), account(changed, Told(back))) == [], text


@pytest.mark.parametrize("name", BOARDS)
@FEW
@given(data=st.data())
def test_elements_may_be_called_otherwise(name: str, data: st.DataObject) -> None:
    """All that is said is the same but fingerprints, with the old names put back for the new ones.

    The first letter says what an element is, and stays; a connector is known by its J and number.
    """
    old = board(name)
    found = cards(old.text)
    chosen = data.draw(
        st.lists(st.sampled_from([name_of(card) for card in elements(found)]), unique=True, min_size=1)
    )
    new = {n.lower(): otherwise(n, at, data.draw(TAILS)) for at, n in enumerate(chosen)}
    text = text_of(renamed(found, {}, new))
    back = {new[n.lower()]: n for n in chosen}
    changed = old._replace(text=text, intent=stated_otherwise(old.intent, {}, new))
    told = Told(back, without=frozenset({"fingerprint"}))
    assert differences(without_fingerprints(name), account(changed, told)) == [], text


@pytest.mark.parametrize("name", BOARDS)
@FEW
@given(random=st.randoms(use_true_random=False))
def test_lines_may_stand_in_another_order(name: str, random: Random) -> None:
    """All that is said is the same, at the lines where things stand now. Statements keep their order: the
    first one that speaks of an element counts."""
    old = board(name)
    found = cards(old.text)
    moving = [card for card in found if card.kind in ("element", "statement", "remark", "dot", "subcircuit")]
    shuffled = random.sample(moving, len(moving))
    stated = iter([card for card in moving if card.kind == "statement"])
    order = [next(stated) if card.kind == "statement" else card for card in shuffled]
    fixed = [card for card in found if card.kind == "title"], [card for card in found if card.kind == "end"]
    order = [*fixed[0], *order, *fixed[1]]
    lines: dict[int, int] = {}
    here = 1
    for card in order:
        rows = card.text.count("\n") + 1
        lines |= {here + row: card.line + row for row in range(rows)}
        here += rows
    text = text_of(order)
    told = Told(lines=lines)
    assert differences(before(name), account(old._replace(text=text), told)) == [], text
