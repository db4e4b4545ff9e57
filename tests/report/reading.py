"""A page of HTML as a reader's program takes it, and what must hold of every page."""

import re
from collections import Counter
from html.parser import HTMLParser
from itertools import pairwise

_VOID = {"meta", "line", "br", "input"}


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


def sound(text: str) -> None:
    """What must hold of every page.

    Elements nest: a page that a program mends on its own may show something else than was meant. It names no
    address, loads nothing, and forbids itself to. Links, labels and descriptions point at something on it,
    and no name is used twice. A screen reader's list of headings is a table of contents without holes, and
    every heading cell says whether it heads a row or a column.
    """
    page = Reading(text)
    assert not page.wrong
    assert not page.open
    assert not re.search(r"https?:|@import|url\((?!#hatch)", text)
    assert all(link["href"].startswith("#") for link in page.all("a"))
    assert not any("src" in attributes or "style" in attributes for _, attributes in page.met)
    policy = page.all("meta")[2]["content"]
    assert policy.startswith("default-src 'none';")
    assert "unsafe" not in policy
    names = Counter(attributes["id"] for _, attributes in page.met if "id" in attributes)
    assert all(count == 1 for count in names.values())
    wanted = [link["href"][1:] for link in page.all("a")]
    wanted += [name for _, attributes in page.met for name in attributes.get("aria-labelledby", "").split()]
    assert set(wanted) <= set(names)
    levels = [int(tag[1]) for tag, _ in page.met if re.fullmatch(r"h[1-6]", tag)]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert all(cell.get("scope") in ("row", "col") for cell in page.all("th"))
