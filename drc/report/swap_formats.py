"""The report formats of a swap by name; each is one file here, loaded when it is asked for."""

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drc.outcome import SwapReview

FORMATS = {
    "json": "drc.report.swap_json",
    "csv": "drc.report.swap_csv",
    "html": "drc.report.swap_page",
}
"""Format name to the module whose `render(review) -> str` writes it."""


def renderer(name: str) -> "Callable[[SwapReview], str]":
    """The writer of a format. KeyError where there is none of that name."""
    render: Callable[[SwapReview], str] = import_module(FORMATS[name]).render
    return render
