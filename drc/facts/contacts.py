"""Switches, buttons and connectors, as drawings name them: what they hold while nobody works them."""

import re

from drc.facts.book import Book
from drc.facts.leads import HARMLESS
from drc.facts.model import Unknown

BUTTON = re.compile(r"X?(?:SW|S|BTN|PB|KEY)_?\d+$", re.IGNORECASE)
"""Names of switches and buttons, as drawings use them (common practice): open, they hold nothing."""

PLUGLESS = ("TP", "XTP", "MP", "MH", "FID")
"""Beginnings of names of test points, holes and fiducials, where nothing is plugged in."""


def is_plug(path: str) -> bool:
    """Whether a path names a connector, where a world beyond the drawing may hold a net."""
    last = path.rpartition(".")[2]
    return bool(HARMLESS.match(last)) and not last.upper().startswith(PLUGLESS)


def is_button(path: str) -> bool:
    """Whether a path names a switch or button."""
    return bool(BUTTON.match(path.rpartition(".")[2]))


def open_contact(book: Book, obstacle: Unknown) -> bool:
    """Whether an obstacle is a switch of two pins: while it is open, it holds nothing and takes nothing."""
    path = obstacle.missing[0] if obstacle.missing else ""
    element = book.board.circuit.element(path)
    return element is not None and len(element.nets) == 2 and is_button(path)
