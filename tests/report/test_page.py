"""The page of HTML as text: what stands in it, that it is whole, and that no name in it does anything."""

import re
from collections import Counter
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest

from drc.report.page import render
from tests.report.drawn import BOARD, DRAWN, ESCAPE, HOSTILE
from tests.report.made import REVIEW

GOLDEN = Path(__file__).with_name("golden") / "review.html"
_VOID = {"meta", "line", "br", "input"}
_HARMLESS = {ESCAPE: "n\\x1b[31m\\u202etxt&amp;"}


class Reading(HTMLParser):
    """A page as a reader's program takes it: elements with attributes, text, and what was left open."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.met: list[tuple[str, dict[str, str]]] = []
        self.text: list[str] = []
        self.open: list[str] = []
        self.wrong: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Notes an element."""
        self.met.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Notes an element without content."""
        self.met.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        """Closes the element that is open, or notes that it is another."""
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)

    def handle_data(self, data: str) -> None:
        """Notes text."""
        self.text.append(data)

    def all(self, tag: str) -> list[dict[str, str]]:
        """The attributes of every element of a name."""
        return [attributes for name, attributes in self.met if name == tag]


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


def test_everything_that_is_opened_is_closed(page: Reading) -> None:
    """Elements nest: a page that a program mends on its own may show something else than was meant."""
    assert not page.wrong
    assert not page.open


def test_nothing_comes_from_elsewhere() -> None:
    """The page names no address, loads nothing, and forbids itself to."""
    text = render(DRAWN)
    found = Reading(text)
    assert not re.search(r"https?:|@import|url\((?!#hatch)", text)
    assert all(link["href"].startswith("#") for link in found.all("a"))
    assert not any("src" in attributes or "style" in attributes for _, attributes in found.met)
    policy = found.all("meta")[2]["content"]
    assert policy.startswith("default-src 'none';")
    assert "unsafe" not in policy


def test_every_link_and_label_has_its_target(page: Reading) -> None:
    """Jump links, labels and descriptions point at something on the page, and no name is used twice."""
    names = Counter(attributes["id"] for _, attributes in page.met if "id" in attributes)
    assert all(count == 1 for count in names.values())
    wanted = [link["href"][1:] for link in page.all("a")]
    wanted += [name for _, attributes in page.met for name in attributes.get("aria-labelledby", "").split()]
    assert set(wanted) <= set(names)


def test_headings_go_down_a_level_at_a_time(page: Reading) -> None:
    """A screen reader's list of headings is a table of contents without holes."""
    levels = [int(tag[1]) for tag, _ in page.met if re.fullmatch(r"h[1-6]", tag)]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


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


def test_tables_have_headings_with_a_scope(page: Reading) -> None:
    """Every heading cell says whether it heads a row or a column."""
    assert all(cell.get("scope") in ("row", "col") for cell in page.all("th"))


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
