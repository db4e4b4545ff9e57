"""The strap's thresholds as a ladder: every code's band, and the ratio's spread within its own."""

import math
from collections.abc import Callable
from itertools import pairwise

from drc.blocks.model import Block, StrapPin
from drc.outcome import BlockOutcome, Histogram
from drc.quantity.span import Span
from drc.report.svg import CHAR, Sheet, ticks

WIDTH = 640.0
"""From the left end of the scale to the right one, px."""

Across = Callable[[float], float]
"""A ratio to its place on the sheet."""

_BANDS = 26.0
_TALL = 74.0


def ladder(outcome: BlockOutcome, name: str) -> str:
    """The drawing; empty where the block has no strap or its ratio is not known."""
    pin = outcome.block.part.strap
    ratio = outcome.facts["strap.ratio"].span if "strap.ratio" in outcome.facts else None
    if pin is None or ratio is None or not math.isfinite(ratio.low) or not math.isfinite(ratio.high):
        return ""
    edges = (0.0, *pin.thresholds, 1.0)
    code = sum(threshold <= ratio.middle for threshold in pin.thresholds)
    sheet = Sheet()
    _whole(sheet, outcome.block, edges, code, ratio)
    low, high = _window(edges, code, ratio)
    _near(sheet, outcome, (low, high), edges, code)
    return sheet.drawing(name, f"Strap of {outcome.block.path}", described(outcome, pin, ratio, code))


def described(outcome: BlockOutcome, pin: StrapPin, ratio: Span, code: int) -> str:
    """The same in words."""
    edges = (0.0, *pin.thresholds, 1.0)
    margin = outcome.facts["strap.margin"].span if "strap.margin" in outcome.facts else None
    clear = "" if margin is None else f" The margin is {margin.low:.3f} steps at worst."
    return (
        f"{pin.levels} codes. Ratio {ratio.middle:.4f}, from {ratio.low:.4f} to {ratio.high:.4f}, "
        f"in code {code}, which reaches from {edges[code]:.4f} to {edges[code + 1]:.4f}.{clear}"
    )


def prescale_of(block: Block, code: int) -> str:
    """What a code picks: `x1000`, `x1000 inv`, or `reserved`."""
    rows = [row for row in block.part.codes if row.code == code]
    if not rows:
        return "reserved"
    return " / ".join(f"x{row.prescale}{' inv' if row.inverted else ''}" for row in rows)


def _whole(sheet: Sheet, block: Block, edges: tuple[float, ...], code: int, ratio: Span) -> None:
    """Every band from ground to the reference, the one in force marked, and where the ratio lies."""
    sheet.text(0, -22, "all codes, as a fraction of the strap's reference", "start", "small")
    for number, (low, high) in enumerate(pairwise(edges)):
        kind = "band here" if number == code else "band"
        picked = prescale_of(block, number)
        sheet.box(WIDTH * low, 0, WIDTH * (high - low), _BANDS, kind, tip=f"code {number}: {picked}")
        if WIDTH * (high - low) >= CHAR * len(str(number)) + 4:
            at = "name" if number == code else ""
            sheet.text(WIDTH * (low + high) / 2, 17, str(number), "middle", at)
    x = WIDTH * min(max(ratio.middle, 0.0), 1.0)
    sheet.area((x, 0), (x - 5, -9), (x + 5, -9), kind="solid")
    for place in (0.0, 0.25, 0.5, 0.75, 1.0):
        sheet.line((WIDTH * place, _BANDS), (WIDTH * place, _BANDS + 4), kind="rule")
        sheet.text(WIDTH * place, _BANDS + 15, f"{place:g}", "middle", "small")


def _window(edges: tuple[float, ...], code: int, ratio: Span) -> tuple[float, float]:
    """The part of the scale drawn large: the code's band, what the ratio reaches, and a little beyond."""
    low, high = min(edges[code], ratio.low), max(edges[code + 1], ratio.high)
    room = 0.18 * (high - low)
    return low - room, high + room


def _near(
    sheet: Sheet, outcome: BlockOutcome, window: tuple[float, float], edges: tuple[float, ...], code: int
) -> None:
    """The band in force drawn large: thresholds with their error, draws, and the extremes."""
    low, high = window
    top = _BANDS + 46
    base = top + _TALL

    def across(place: float) -> float:
        return WIDTH * (min(max(place, low), high) - low) / (high - low)

    sheet.text(0, top - 8, f"code {code} enlarged", "start", "small")
    for number, (start, end) in enumerate(pairwise(edges)):
        left, right = across(start), across(end)
        if right - left < 1:
            continue
        sheet.box(left, top, right - left, _TALL + 24, "band here" if number == code else "band")
        label = f"code {number} {prescale_of(outcome.block, number)}"
        if right - left > CHAR * len(label) + 8:
            sheet.text((left + right) / 2, top + 13, label, "middle", "name" if number == code else "small")
    _thresholds(sheet, outcome.block, edges, window, (top, base + 24))
    if outcome.strap_draws is not None:
        _columns(sheet, outcome.strap_draws, window, base)
    ratio = outcome.facts["strap.ratio"].span
    if ratio is not None:
        _extremes(sheet, ratio, across, base + 12)
    for place in ticks(low, high, 6):
        sheet.line((across(place), base + 24), (across(place), base + 28), kind="rule")
        sheet.text(across(place), base + 39, f"{place:.4g}", "middle", "small")
    _key(sheet, outcome, base + 58)


def _thresholds(
    sheet: Sheet,
    block: Block,
    edges: tuple[float, ...],
    window: tuple[float, float],
    rows: tuple[float, float],
) -> None:
    """A line a threshold within the window, its error hatched about it."""
    low, high = window
    error = (block.part.strap.threshold_error or 0.0) if block.part.strap else 0.0
    scale = WIDTH / (high - low)
    for threshold in edges[1:-1]:
        if not low < threshold < high:
            continue
        x = (threshold - low) * scale
        left, right = max(x - error * scale, 0.0), min(x + error * scale, WIDTH)
        sheet.box(left, rows[0], right - left, rows[1] - rows[0], "doubt", tip=f"threshold {threshold:.6g}")
        sheet.line((x, rows[0] - 4), (x, rows[1]), kind="plate")


def _columns(sheet: Sheet, draws: Histogram, window: tuple[float, float], base: float) -> None:
    """The histogram of the draws, its tallest column as high as there is room."""
    low, high = window
    scale = WIDTH / (high - low)
    width = (draws.high - draws.low) / len(draws.counts)
    tallest = max(draws.counts) or 1
    for number, count in enumerate(draws.counts):
        tall = (_TALL - 20) * count / tallest
        left = (draws.low + number * width - low) * scale
        if count and left >= 0 and left + width * scale <= WIDTH:
            sheet.box(left, base - tall, width * scale, tall, "column")


def _extremes(sheet: Sheet, ratio: Span, across: Across, y: float) -> None:
    """The extremes as a bar with ends, the nominal value as a triangle."""
    left, right, middle = across(ratio.low), across(ratio.high), across(ratio.middle)
    sheet.line((left, y), (right, y), kind="spread")
    for x in (left, right):
        sheet.line((x, y - 6), (x, y + 6), kind="plate")
    sheet.area((middle, y - 5), (middle - 5, y + 5), (middle + 5, y + 5), kind="solid")


def _key(sheet: Sheet, outcome: BlockOutcome, y: float) -> None:
    """What is what, in words."""
    texts = ["bar: extremes, triangle: nominal", "line: threshold, hatched: its error"]
    if outcome.strap_draws is not None:
        texts.append("columns: Monte Carlo")
    sheet.text(0, y, "; ".join(texts), "start", "small")
