"""The page of HTML as text: what stands in it, that it is whole, and that no name in it does anything."""

import re
from collections import Counter
from pathlib import Path

import pytest

from drc.report.page import render
from tests.report.drawn import BOARD, DRAWN, ESCAPE, HOSTILE
from tests.report.made import REVIEW
from tests.report.reading import Reading, sound

GOLDEN = Path(__file__).with_name("golden") / "review.html"
_HARMLESS = {ESCAPE: "n\\x1b[31m\\u202etxt&amp;"}


@pytest.fixture(scope="module")
def page() -> Reading:
    """The page of the review made by hand."""
    return Reading(render(DRAWN))


def body(text: str) -> str:
    """The page without its style sheet and its script."""
    return text[text.index("<body>") : text.index("<script>")]


def test_the_text_is_pinned() -> None:
    """The body of a given review's page is this text, to the byte."""
    assert body(render(DRAWN)) == GOLDEN.read_text(encoding="utf-8")


def test_the_same_review_gives_the_same_bytes() -> None:
    """There is no clock and no chance in the page."""
    assert render(DRAWN) == render(DRAWN)


def test_the_page_is_sound() -> None:
    """Elements nest, nothing comes from elsewhere, links have targets, headings can be followed."""
    sound(render(DRAWN))


def test_landmarks_language_and_a_way_past_the_contents(page: Reading) -> None:
    """One main part, contents as navigation, a search, and a first link that skips to the boards."""
    tags = Counter(tag for tag, _ in page.met)
    assert (tags["main"], tags["nav"], tags["footer"]) == (1, 1, 1)
    assert page.all("html")[0]["lang"] == "en"
    assert page.all("form")[0]["role"] == "search"
    assert page.all("a")[0]["href"] == "#main"


def test_every_drawing_is_told_in_words(page: Reading) -> None:
    """A drawing is an image with a title and a description for those who do not see it."""
    drawings = [attributes for attributes in page.all("svg") if attributes.get("role") == "img"]
    assert len(drawings) == 2 * 4 + 2 + 2
    assert all(len(attributes["aria-labelledby"].split()) == 2 for attributes in drawings)
    assert len(page.all("desc")) == len(drawings)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_that_means_harm_is_text(page: Reading, name: str) -> None:
    """Markup in a net's name comes out as the characters it is written with; controls are spelt out."""
    assert len(page.all("script")) == 1
    assert not page.all("img")
    shown = " ".join(page.text)
    assert _HARMLESS.get(name, name) in shown
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069]", render(DRAWN))


def test_verdicts_are_words_beside_their_signs(page: Reading) -> None:
    """Gate, levels, verdicts and states can be read without colour and without signs."""
    shown = " ".join(" ".join(page.text).split())
    assert "Gate NOT passed" in shown
    for word in ("error", "warning", "fail", "at-risk", "unproven", "known", "accepted", "not-applicable"):
        assert word in shown
    assert "accepted by board owner until 2027-03-31: lab units only" in shown


def test_a_finding_has_evidence_derivation_and_remedy(page: Reading) -> None:
    """What was found is told with what it rests on, where that comes from, and what would mend it."""
    shown = " ".join(" ".join(page.text).split())
    assert "R4: 4.7k to 47k" in shown
    assert "a decade slip in the strap" in shown
    assert "expect.wanted 760 Hz .. 840 Hz (nominal 800 Hz)" in shown
    assert "Missing: R9 value" in shown
    assert "R7 n1" in shown  # the line that was not read


def test_where_it_comes_from_is_told(page: Reading) -> None:
    """Hashes, version, date, seed and draws stand in the page."""
    shown = " ".join(page.text)
    for text in ("a" * 64, "c" * 64, REVIEW.version, "2026-03-31", "20000 draws, seed 1"):
        assert text in shown


def test_what_was_not_gathered_is_left_out() -> None:
    """A review without surroundings, facts or blocks makes a page all the same, without those drawings."""
    bare = BOARD._replace(blocks=tuple(b._replace(facts={}, surroundings=None) for b in BOARD.blocks))
    found = Reading(render(REVIEW._replace(boards=(bare, *REVIEW.boards))))
    assert not found.wrong
    assert not any("Schematic" in text for text in found.text)


def test_a_board_that_could_not_be_read_says_why(page: Reading) -> None:
    """The error of a board stands where its findings would."""
    assert "is empty: expected a netlist" in " ".join(page.text)


def test_a_gate_that_held_says_so() -> None:
    """A passed review is told in words too."""
    shown = " ".join(Reading(render(REVIEW._replace(passed=True, boards=()))).text)
    assert "Gate passed" in shown
    assert "NOT" not in shown
