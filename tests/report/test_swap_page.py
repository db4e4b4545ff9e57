"""The page of a swap as text: what stands in it, that it is whole, and that no name in it does anything."""

import pytest

from drc.report.swap_page import render
from tests.report.drawn import HOSTILE
from tests.report.reading import Reading, sound
from tests.report.swapped import SWAPPED


@pytest.fixture(scope="module")
def page() -> Reading:
    """The page of the swap made by hand."""
    return Reading(render(SWAPPED))


def test_the_page_is_sound() -> None:
    """What must hold of every page holds of this one, and it is the same twice."""
    sound(render(SWAPPED))
    assert render(SWAPPED) == render(SWAPPED)


def test_before_and_after_stand_side_by_side(page: Reading) -> None:
    """A block has a column before and one after, and a third where edits bring its timing back."""
    text = "".join(page.text)
    for heading in ("before: ZZ10", "after: ZZ10", "with the edits: ZZ10", "after: no such block"):
        assert heading in text
    drawings = [attributes for attributes in page.all("svg") if attributes.get("role") == "img"]
    assert len(page.all("desc")) == len(drawings)


def test_what_changed_is_told_with_its_cause(page: Reading) -> None:
    """Each fact that is not what it was stands with both values and what made it so."""
    text = " ".join(" ".join(page.text).split())
    assert "strap.prescale 50 64 50 part, R3" in text
    assert "timing.period 97 us .. 103 us (nominal 100 us) none" in text


def test_verdict_reason_and_edits_can_be_read_alone(page: Reading) -> None:
    """Each verdict is told in words with its reason; an edit with its element, old and new text, and file."""
    text = " ".join(" ".join(page.text).split())
    assert "NOT every board is served" in text
    assert "1 drop-in, 1 drop-in with changed values, 1 not a replacement." in text
    assert "R3 100k -> 78.7k" in text
    assert "-R3 c 0 100k" in text
    assert "+R3 c 0 78.7k" in text
    assert "R3 makes 100 us again" in text


@pytest.mark.parametrize("name", HOSTILE[:1])
def test_a_name_that_means_harm_is_text(page: Reading, name: str) -> None:
    """Markup in a name comes out as the characters it is written with."""
    assert name in "".join(page.text)
    assert len(page.all("script")) == 1
