"""How a value is written changes nothing."""

import re
from decimal import Decimal
from functools import cache
from random import Random

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tests.metamorphic.account import Account, account, differences
from tests.metamorphic.boards import BOARDS, board, with_values

FEW = settings(max_examples=2, phases=[Phase.explicit, Phase.reuse, Phase.generate])

SUFFIXES = {
    "p": Decimal("1e-12"), "n": Decimal("1e-9"), "u": Decimal("1e-6"), "": Decimal(1),
    "k": Decimal(1000), "meg": Decimal(1_000_000),
}  # fmt: skip
VALUE = re.compile(r"(\d+(?:\.\d+)?(?:e-?\d+)?)(meg|[pnuk]?)(?:ohm|f)?", re.IGNORECASE)


def amount(text: str) -> Decimal:
    """The value of a text that the boards here use: a number, a suffix, a unit."""
    found = VALUE.fullmatch(text)
    assert found is not None, text
    return Decimal(found[1]) * SUFFIXES[found[2].lower()]


def plain(number: Decimal) -> str:
    """A decimal without an exponent and without idle zeros."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def spellings(name: str, text: str) -> list[str]:
    """Ways to write one value. The letter in place of the decimal point is IEC 60062's."""
    value = amount(text)
    mantissa = value.scaleb(-value.adjusted())
    ways = [plain(value), f"{plain(mantissa)}e{value.adjusted()}", f"{plain(mantissa)}E{value.adjusted():+d}"]
    if name[0] in "cC":
        for suffix in "pnu":
            short = plain(value / SUFFIXES[suffix])
            ways += [f"{short}{suffix}", f"{short}{suffix}F", f"{short}{suffix.upper()}"]
        return ways
    kilo = plain(value / 1000)
    ways += [f"{kilo}k", f"{kilo}K", f"{kilo}kohm", f"{kilo}kOhm", f"{plain(value)}ohm"]
    ways += [f"{plain(value / 1_000_000)}meg", f"{plain(value / 1_000_000)}MEG"]
    if value >= 1000:
        whole, _, part = kilo.partition(".")
        ways += [f"{whole}k{part or '0'}", f"{whole}K{part or '0'}"]
    elif value >= 1:
        whole, _, part = plain(value).partition(".")
        ways += [f"{whole}R{part or '0'}"]
    return ways


@cache
def before(name: str) -> Account:
    """What is said of the board as it is written, values of remedies as numbers."""
    return in_numbers(account(board(name)), {})


def in_numbers(found: Account, old: dict[str, str]) -> Account:
    """The account with the values that edits speak of as numbers, in whatever way they are written."""
    for finding in found["board"]["findings"]:
        for remedy in finding["remedies"]:
            for edit in remedy["edits"]:
                for side in ("from", "to"):
                    text = old.get(edit[side], edit[side])
                    edit[side] = str(float(amount(text))) if VALUE.fullmatch(text) else text
    return found


@pytest.mark.parametrize("name", BOARDS)
@FEW
@given(random=st.randoms(use_true_random=False))
def test_how_values_are_written_changes_nothing(name: str, random: Random) -> None:
    """Every resistor and capacitor in another spelling: all that is said is the same."""
    of = board(name)
    written: dict[str, str] = {}

    def change(element: str, text: str) -> str:
        new = random.choice(spellings(element, text))
        written[new] = text
        return new

    changed = of._replace(text=with_values(of.text, change))
    found = in_numbers(account(changed), written)
    assert differences(before(name), found) == [], changed.text
