"""Names and patterns against paths."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.intent.match import matches
from drc.intent.model import Pattern


@pytest.mark.parametrize(
    ("pattern", "path", "expected"),
    [
        ("XU3", "xu3", True),
        ("XU3", "X1.XU3", False),
        ("X1.XU3", "x1.xu3", True),
        ("XU*", "XU31", True),
        ("XU*", "X1.XU3", True),
        ("*", "X1.X2.R3", True),
        ("X1.*", "X1.R3", True),
        ("X1.*", "X1.X2.R3", False),
        ("X*.R3", "X1.R3", True),
        ("R3", "R31", False),
        ("XU3/A", "XU3/a", True),
        ("XU3/*", "XU3/B", True),
        ("n[3]", "n[3]", True),
        ("n?", "n1", False),
        ("*.R3", "R3", False),
    ],
)
def test_a_pattern_means_paths(pattern: str, path: str, expected: bool) -> None:
    """Exact without `*`; with one, the last component at any depth, or the whole path where it has a dot."""
    assert matches(Pattern(pattern), path) is expected


def test_a_quoted_star_is_a_star() -> None:
    """In quotes `*` is a letter like any other."""
    assert matches(Pattern("v*", True), "V*")
    assert not matches(Pattern("v*", True), "vdd")


@given(st.text(st.characters(exclude_characters="*."), min_size=1))
def test_every_name_means_itself(name: str) -> None:
    """Whatever its characters, a name without a star means exactly itself."""
    assert matches(Pattern(name), name)


def test_many_stars_are_no_trap() -> None:
    """A pattern of stars against a long name ends as quickly as any other."""
    assert not matches(Pattern("*" * 40 + "b"), "a" * 5000)
