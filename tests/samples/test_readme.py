"""What README shows is what the tool prints, and what it says of commands and boards is so."""

import re

import pytest

from drc.report.summary import CAUTION
from tests.samples.boards import CLEAN, MISTAKES
from tests.samples.readme import LEFT_OUT, README, printed, shown

TEXT = README.read_text(encoding="utf-8")
SHOWN = shown()
PASSES = re.compile(r"\d+ pass,")
"""The one figure that every new rule changes; `python -m tests.samples.readme` renews it."""


@pytest.mark.parametrize(("command", "text"), SHOWN, ids=[command for command, _ in SHOWN])
def test_output_shown_in_readme_is_what_the_tool_prints(command: str, text: str) -> None:
    """Each run of shown lines stands in the real output, in order; a line of three dots leaves some out."""
    real, text = PASSES.sub("N pass,", printed(command)), PASSES.sub("N pass,", text)
    at = 0
    for part in LEFT_OUT.split(text):
        at = real.find(part, at)
        assert at >= 0, f"{command} does not print:\n{part}\nit prints:\n{real}"
        at += len(part)
    if LEFT_OUT.search(text) is None:
        assert real == text


def test_readme_shows_a_failing_board() -> None:
    """README shows at least one review of a sample that fails the gate."""
    assert any("gate NOT passed" in text for _, text in SHOWN)


def test_readme_gives_two_commands() -> None:
    """There are exactly two shell commands, and each makes its own environment first."""
    commands = re.findall(r"^```sh\n(.*?)^```$", TEXT, re.MULTILINE | re.DOTALL)
    assert len(commands) == 2
    assert all(command.startswith("python3 -m venv .venv && ") for command in commands)


def test_readme_lists_every_sample_board() -> None:
    """The table of samples names each board once, and says `right` of the clean ones alone."""
    rows = dict(re.findall(r"^\| (\w+) \| [^|]+ \| ([^|]+) \|$", TEXT, re.MULTILINE))
    assert {name for name, state in rows.items() if state.strip() == "right"} == set(CLEAN)
    assert set(MISTAKES) <= set(rows)


def test_readme_carries_the_caution_of_the_report() -> None:
    """The caution at the foot of a report stands in README word for word."""
    flat = re.sub(r"\s*\n>?\s*", " ", TEXT)
    assert CAUTION in flat
