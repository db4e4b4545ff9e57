"""The report formats by name; each is one file here, loaded when it is asked for."""

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drc.fleet import Fleet
    from drc.outcome import Review

FORMATS = {
    "json": "drc.report.json_report",
    "sarif": "drc.report.sarif_report",
    "junit": "drc.report.junit_report",
    "csv": "drc.report.csv_report",
    "html": "drc.report.page",
}
"""Format name to the module whose `render(review) -> str` writes it."""

FLEET_FORMATS = {
    "json": "drc.report.fleet_json",
    "csv": "drc.report.fleet_csv",
    "html": "drc.report.fleet_html",
}
"""The same of what many boards come to together: `render(fleet) -> str`."""


def renderer(name: str) -> "Callable[[Review], str]":
    """The writer of a format. KeyError where there is none of that name."""
    render: Callable[[Review], str] = import_module(FORMATS[name]).render
    return render


def fleet_renderer(name: str) -> "Callable[[Fleet], str]":
    """The writer of a fleet's format. KeyError where there is none of that name."""
    render: Callable[[Fleet], str] = import_module(FLEET_FORMATS[name]).render
    return render
