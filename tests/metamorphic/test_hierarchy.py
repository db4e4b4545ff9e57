"""Drawn on sheets below or flat, a board is the same board."""

import re
from functools import cache
from random import Random

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tests.metamorphic.account import Account, Told, account, differences
from tests.metamorphic.boards import (
    BOARDS,
    Board,
    Card,
    board,
    cards,
    elements,
    name_of,
    nets_of,
    renamed,
    sample,
    stated_otherwise,
    text_of,
)

FEW = settings(max_examples=2, phases=[Phase.explicit, Phase.reuse, Phase.generate])
NAMES = frozenset({"fingerprint", "line"})
"""Fingerprints are made of block names among others; lines move with what stands on a sheet."""


@cache
def before(name: str) -> Account:
    """What is said of the board as it is drawn."""
    return with_values_alone(account(board(name), Told(without=NAMES)))


def with_values_alone(found: Account) -> Account:
    """The account without remedies that rewire: a sheet may not have the net that one wants."""
    for finding in found["board"]["findings"]:
        finding["remedies"] = [
            remedy
            for remedy in finding["remedies"]
            if all(edit["from"][0].isdigit() for edit in remedy["edits"])
        ]
    return found


def on_a_sheet(of: Board, random: Random, label: str) -> Board:
    """Some of the elements on a sheet of their own, with ports for what they share with the rest.

    Nets that statements speak of, and those known everywhere, keep their names outside.
    """
    found = cards(of.text)
    inside = random.sample(elements(found), random.randint(1, len(elements(found))))
    stated = of.intent + "".join(card.text for card in found if card.kind in ("statement", "dot"))
    outside = {net.lower() for card in elements(found) if card not in inside for net in nets_of(card)}
    shared: dict[str, str] = {}
    for card in sorted(inside, key=lambda card: card.line):
        for net in nets_of(card):
            if net != "0" and (net.lower() in outside or said(net, stated)):
                shared.setdefault(net.lower(), net)
    for net in [net for net in shared.values() if said(net, stated, ".global")]:
        del shared[net.lower()]
    names = {name_of(card).lower(): f"X{label}.{name_of(card)}" for card in inside}
    body = "\n".join(card.text for card in sorted(inside, key=lambda card: card.line))
    sheet = Card("subcircuit", f".subckt sheet{label} {' '.join(shared.values())}\n{body}\n.ends", 0)
    call = Card("element", f"X{label} {' '.join(shared.values())} sheet{label}", 0)
    rest = [card for card in renamed(found, {}, names) if card.line not in {card.line for card in inside}]
    title, *more = rest
    return of._replace(
        text=text_of([title, sheet, call, *more]), intent=stated_otherwise(of.intent, {}, names)
    )


def said(net: str, text: str, after: str = "") -> bool:
    """Whether a text speaks of a net, behind a word."""
    behind = text if not after else "".join(line for line in text.split("\n") if line.startswith(after))
    return re.search(rf"(?<![\w+]){re.escape(net)}(?!\w)", behind, re.IGNORECASE) is not None


@pytest.mark.parametrize("name", BOARDS)
@FEW
@given(random=st.randoms(use_true_random=False))
def test_any_part_of_a_board_may_stand_on_a_sheet(name: str, random: Random) -> None:
    """With any elements on a sheet, all that is said is the same, with the sheet's name taken off again."""
    drawn = on_a_sheet(board(name), random, "S")
    found = with_values_alone(account(drawn, Told({"XS.": ""}, without=NAMES)))
    assert differences(before(name), found) == [], drawn.text


@pytest.mark.parametrize("name", ["gong", "sampler", "made 5000", "made 5002"])
@FEW
@given(random=st.randoms(use_true_random=False))
def test_sheets_may_stand_on_sheets(name: str, random: Random) -> None:
    """A whole board on a sheet, and some of it on another below, is the same board."""
    of = board(name)
    inner = on_a_sheet(of, random, "A")
    drawn = on_a_sheet(inner, random, "B")
    found = with_values_alone(account(drawn, Told({"XB.": "", "XA.": ""}, without=NAMES)))
    assert differences(before(name), found) == [], drawn.text


def flat(text: str) -> str:
    """The horn's netlist with its dividers written out where they stand."""
    text = re.sub(r"\.subckt STRAP.*?\.ends STRAP\n", "", text, flags=re.DOTALL)
    call = re.compile(r"^(XS\d) (\S+) (\S+) STRAP\s+\+?\s*PARAMS: up=(\S+)\s+\+?\s*down=(\S+)$", re.MULTILINE)
    return call.sub(r"RU\1 \2 \3 \4 tol=1% tc1=100u\nRD\1 \3 0 \5 tol=1% tc1=100u", text)


def test_a_board_written_out_flat_is_the_same_board() -> None:
    """The horn without its subcircuits: all that is said is the same, with the resistors' paths put back."""
    horn = sample("horn")
    drawn = horn._replace(text=flat(horn.text))
    assert "STRAP" not in drawn.text
    back = {f"R{end}XS{number}": f"XS{number}.R{end}" for end in "UD" for number in "123"}
    assert differences(before("horn"), account(drawn, Told(back, without=NAMES))) == []
