"""A review as one page of HTML: complete in itself, to be read, filtered, printed and filed."""

from drc.outcome import Review
from drc.report.page_view import page_view
from drc.report.page_writer import set_out


def render(review: Review) -> str:
    """The page; the same review gives the same text."""
    return set_out("page.html.j2", page_view(review))
