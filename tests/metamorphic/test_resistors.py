"""Two resistors in place of one, and a strap made stiffer or weaker: what changes is stated exactly."""

from decimal import Decimal
from functools import cache
from random import Random
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from drc.outcome import Review
from tests.metamorphic.account import Account, Told, account, account_of, differences, entries, reviewed
from tests.metamorphic.boards import (
    BOARDS,
    MADE,
    Board,
    Card,
    board,
    cards,
    elements,
    name_of,
    text_of,
    words,
)
from tests.metamorphic.test_values import amount, plain

FEW = settings(max_examples=2, phases=[Phase.explicit, Phase.reuse, Phase.generate])

TOLD = Told(without=frozenset({"rss", "monte_carlo", "misread", "line", "fingerprint"}))
"""What two resistors change: what rests on independent draws, and what names or counts elements."""


def in_two(of: Board, random: Random) -> tuple[Board, str]:
    """The board with a resistor as two of half its value in series, or of twice its value in parallel."""
    found = cards(of.text)
    card = random.choice([c for c in elements(found) if c.text[0] in "rR" and valued(c)])
    start, end = valued(card)[0]
    one, other = words(card).nets
    value = amount(card.text[start:end])
    name, tail = name_of(card), card.text[end:]
    nets = card.text[one[0] : one[1]], card.text[other[0] : other[1]]
    if random.random() < 0.5:
        half = plain(value / 2)
        pair = f"{name} {nets[0]} midway {half}{tail}\n{name}zz midway {nets[1]} {half}{tail}"
    else:
        pair = "\n".join(
            f"{each} {nets[0]} {nets[1]} {plain(value * 2)}{tail}" for each in (name, f"{name}zz")
        )
    at = found.index(card)
    return of._replace(text=text_of([*found[:at], Card("element", pair, card.line), *found[at + 1 :]])), name


def valued(card: Card) -> list[tuple[int, int]]:
    """Where a resistor's value stands, if it is a plain one."""
    end = words(card).nets[-1][1]
    rest = card.text[end:]
    start = end + len(rest) - len(rest.lstrip())
    stop = start + len(card.text[start:].split()[0]) if rest.strip() else start
    return [(start, stop)] if card.text[start : start + 1].isdigit() else []


@cache
def before(name: str) -> Account:
    """What is said of the board with each resistor as it is."""
    return account(board(name), TOLD)


def blocks(found: Account) -> list[dict[str, Any]]:
    """What is said of the blocks, apart from what is assumed of elements by name."""
    return [{k: v for k, v in block.items() if k != "assumptions"} for block in found["board"]["blocks"]]


def verdicts(found: Account) -> list[tuple[str, str, str, str | None]]:
    """(rule, level, verdict, block) of every finding."""
    return [(f["rule"], f["level"], f["verdict"], f["block"]) for f in found["board"]["findings"]]


@pytest.mark.parametrize("name", BOARDS)
@FEW
@given(random=st.randoms(use_true_random=False))
def test_two_resistors_do_what_one_did(name: str, random: Random) -> None:
    """Two in place of one change no block's values, no finding and no verdict.

    Nominal values and extremes of all that the report has of each block are the same to the last digit; only
    the resistor itself may be judged otherwise, each half carrying its part.
    """
    changed, element = in_two(board(name), random)
    old, new = before(name), account(changed, TOLD)
    assert differences(blocks(old), blocks(new)) == [], changed.text
    assert verdicts(old) == verdicts(new), changed.text
    assert old["passed"] == new["passed"]
    gone = set(entries(old)) - set(entries(new))
    assert {subject for _, subject, _ in gone} <= {element}, changed.text
    assert {subject for _, subject, _ in set(entries(new)) - set(entries(old))} <= {element, f"{element}zz"}


TOLERANT = """One cause alone moves the period
*@ supply VCC 3.3V .. 3.3V
*@ ambient 25degC .. 25degC
*@ assume R* tolerance 5%, tempco 0ppm
*@ expect XU1 frequency 8kHz +/- 9%
V1  VCC 0 3.3
C1  VCC 0 100n
R1  VCC CFG 20k
R2  CFG 0   13.7k
{timing}
XU1 VCC CFG OUT 0 RT VCC HA10
R4  OUT 0   10k
.end
"""
ONE = "R3  RT 0 100k"
SPLIT = {"in series": "R3 RT M 50k\nR5 M 0 50k", "in parallel": "R3 RT 0 200k\nR5 RT 0 200k"}


def period(timing: str) -> dict[str, Any]:
    """The period in the report, with its three spreads."""
    found = account_of(reviewed(Board(TOLERANT.format(timing=timing)), draws=20_000))
    spread: dict[str, Any] = found["board"]["blocks"][0]["timing"]["period"]
    return spread


@pytest.mark.parametrize("way", SPLIT)
def test_two_independent_halves_spread_less_by_what_independence_says(way: str) -> None:
    """Extremes are equal: both halves may stand at the same end. The other two methods give less.

    In root-sum-square, the resistor's own share d = T * 5 % becomes d / sqrt(2), the two being independent,
    so that the squares of the half-widths differ by d^2 / 2 (JCGM 100:2008, 5.1.2; for two in parallel but
    for terms of second order in 5 %). Monte Carlo is narrower.
    """
    one, two = period(ONE), period(SPLIT[way])
    assert two["nominal"] == one["nominal"]
    assert two["extreme"] == one["extreme"]
    share = 0.05 * one["nominal"]
    lost = (width(one["rss"]) ** 2 - width(two["rss"]) ** 2) / (share**2 / 2)
    assert lost == pytest.approx(1, rel=2e-3 if way == "in series" else 0.06)
    assert width(two["monte_carlo"]) < 0.9 * width(one["monte_carlo"])


def width(ends: list[float]) -> float:
    """Half of what lies between two ends."""
    return (ends[1] - ends[0]) / 2


STRAPS = {
    "gong": "R1 R2", "radio": "R1 R2", "lamp": "r1 r2 r4 r5", "panel": "R1 R2", "buoy": "R1 R2",
    "relay": "R1 R2", "door": "R3 R4", "dimmer": "R1 R2", "sampler": "r1 r2",
}  # fmt: skip
STRAPPED = {**STRAPS, **{name: "R1 R2" for name in MADE if "rc timer" not in board(name).text}}
"""The strap resistors of each board."""


def scaled(of: Board, names: list[str], factor: Decimal) -> Board:
    """The board with some resistors times a factor."""
    found = cards(of.text)
    for at, card in enumerate(found):
        if card.kind == "element" and name_of(card) in names:
            ((start, end),) = valued(card)
            value = plain(amount(card.text[start:end]) * factor)
            found[at] = card._replace(text=card.text[:start] + value + card.text[end:])
    return of._replace(text=text_of(found))


def spans(review: Review, fact: str) -> list[tuple[float, float, float]]:
    """A fact of each block, as (low, middle, high)."""
    found = [outcome.facts[fact].span for outcome in review.boards[0].blocks if fact in outcome.facts]
    return [(span.low, span.middle, span.high) for span in found if span is not None]


@pytest.mark.parametrize("name", STRAPPED)
@settings(FEW, max_examples=2)
@given(percent=st.integers(30, 95))
def test_scaling_all_strap_resistors_scales_their_source_resistance(name: str, percent: int) -> None:
    """All strap resistors times k: the nominal ratio is the same, the source resistance k times as great.

    The extremes of ratio and margin move on a straight line with k, since what the leakage adds is leakage
    times source resistance. Code, times and verdicts stay.
    """
    of, factor = board(name), Decimal(percent) / 100
    straps = STRAPPED[name].split()
    whole, less, between = (reviewed(scaled(of, straps, k)) for k in (Decimal(1), factor, (1 + factor) / 2))
    sources = (spans(each, "strap.source_resistance") for each in (whole, less))
    for before_it, after_it in zip(*sources, strict=True):
        assert after_it == pytest.approx([float(factor) * end for end in before_it], rel=1e-8)
    for fact in ("strap.ratio", "strap.margin"):
        for a, b, m in zip(spans(whole, fact), spans(less, fact), spans(between, fact), strict=True):
            assert m == pytest.approx([(x + y) / 2 for x, y in zip(a, b, strict=True)], abs=3e-9)
            assert b[1] == a[1]
            assert b[0] >= a[0]
            assert b[2] <= a[2]
    told = Told(without=frozenset({"fingerprint", "evidence", "message", "remedies"}))
    old, new = account_of(whole, told), account_of(less, told)
    for found in (old, new):
        del found["facts"]
        for block in found["board"]["blocks"]:
            block["strap"] = {key: block["strap"][key] for key in ("code", "prescale", "polarity")}
    assert differences(old, new) == []
