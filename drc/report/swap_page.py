"""A swap as one page of HTML: each block before and after it, side by side, and what the new part needs."""

from drc.outcome import SwapReview
from drc.report.page_writer import set_out
from drc.report.swap_view import swap_view


def render(review: SwapReview) -> str:
    """The page; the same swap gives the same text."""
    return set_out("swap.html.j2", swap_view(review))
