"""The page of HTML in a real browser, without a window: filter, jump, keyboard, print, and hostile names."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

import pytest

from drc.report.page import render
from tests.report.drawn import DRAWN, HOSTILE

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page

sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip

pytestmark = pytest.mark.skipif(BROWSER is None, reason="chromium (a Debian package) is not installed")


class Opened(NamedTuple):
    """A page, and what it said and asked for while it was open."""

    page: "Page"
    said: list[str]
    asked: list[str]


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The review made by hand, on disk."""
    path = tmp_path_factory.mktemp("page") / "review.html"
    path.write_text(render(DRAWN), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def window(tmp_path_factory: pytest.TempPathFactory) -> "Iterator[BrowserContext]":
    """One browser with an empty folder of its own."""
    with sync_api.sync_playwright() as driver:
        context = driver.chromium.launch_persistent_context(
            str(tmp_path_factory.mktemp("browser")),
            executable_path=BROWSER,
            headless=True,
            args=list(FLAGS),
            viewport={"width": 1100, "height": 800},
        )
        yield context
        context.close()


@pytest.fixture
def opened(window: "BrowserContext", file: Path) -> Iterator[Opened]:
    """The page freshly loaded."""
    page = window.new_page()
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    yield Opened(page, said, asked)
    page.close()


def shown(page: "Page", selector: str) -> int:
    """How many elements can be seen."""
    return int(page.locator(f"{selector}:visible").count())


def test_the_page_is_silent_and_asks_for_nothing(opened: Opened, file: Path) -> None:
    """No message on the console, and no request beyond the file itself."""
    opened.page.wait_for_timeout(200)
    assert opened.said == []
    assert opened.asked == [file.as_uri()]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_shown_and_do_nothing(opened: Opened, name: str) -> None:
    """A name with markup, quotes, escapes or direction marks is text: nothing runs, nothing is loaded."""
    assert opened.page.title() == "Timing review: gate NOT passed"
    assert opened.page.locator("script").count() == 1
    assert opened.page.locator("img").count() == 0
    spelt = name.replace("\x1b", "\\x1b").replace("\u202e", "\\u202e")
    assert spelt in str(opened.page.evaluate("document.body.textContent"))


def test_the_level_narrows_to_open_findings(opened: Opened) -> None:
    """Only open errors stay, with the blocks they are about; the reset button shows everything again."""
    page = opened.page
    everything = shown(page, "article.finding")
    page.select_option("#filter-level", "error")
    assert shown(page, "article.finding") == 4
    assert shown(page, "article.finding.settled") == 0
    assert shown(page, "section.block") == 2
    assert "4 of 10 findings and 2 of 3 blocks" in (page.text_content("#filter-told") or "")
    page.click("button[type=reset]")
    page.wait_for_function("document.querySelectorAll('article.finding:not([hidden])').length === 10")
    assert shown(page, "article.finding") == everything == 10


def test_words_narrow_too_and_case_does_not_matter(opened: Opened) -> None:
    """Every word must be met; a finding or block that lacks one is out of sight."""
    opened.page.fill("#filter-text", "XU5")
    assert shown(opened.page, "article.finding") == 0
    assert shown(opened.page, "section.block") == 1
    opened.page.fill("#filter-text", "800 WANTED")
    assert shown(opened.page, "article.finding") == 2


def test_links_jump(opened: Opened) -> None:
    """A link of the contents brings its block into view; a finding's link too, though the filter hid it."""
    page = opened.page
    page.click("nav a[href='#b4-k2']")
    assert page.evaluate("Math.abs(document.getElementById('b4-k2').getBoundingClientRect().top) < 5")
    page.select_option("#filter-level", "error")
    page.evaluate("location.hash = '#b2-f5'")
    page.wait_for_function("!document.getElementById('b2-f5').hidden")
    assert page.evaluate("document.getElementById('b2-f5').getBoundingClientRect().top < innerHeight")


def test_the_keyboard_reaches_everything(opened: Opened) -> None:
    """The first tab stop skips to the boards; further ones reach links, filter and drawings, each in view."""
    page = opened.page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    assert page.evaluate("document.activeElement.getBoundingClientRect().left >= 0")
    met = set()
    for _ in range(200):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            break
        met.add(str(page.evaluate("document.activeElement.id || document.activeElement.className")))
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert outline != "none", page.evaluate("document.activeElement.outerHTML.slice(0, 200)")
    else:
        pytest.fail("the tab key never leaves the page")
    assert {"filter-level", "filter-text", "scroll"} <= met


def test_the_filter_works_by_keyboard(opened: Opened) -> None:
    """Typing in the field narrows; a level is chosen with the arrow keys."""
    page = opened.page
    page.focus("#filter-text")
    page.keyboard.type("decade")
    assert shown(page, "article.finding") == 0
    page.keyboard.press("Control+A")
    page.keyboard.press("Delete")
    page.focus("#filter-level")
    page.keyboard.press("End")
    assert shown(page, "article.finding") == 4


def test_without_script_everything_is_there(window: "BrowserContext", file: Path) -> None:
    """Where scripts are off there is no filter, and nothing is hidden."""
    browser = window.browser
    assert browser is not None
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(file.as_uri())
    assert shown(page, "article.finding") == 10
    assert shown(page, "section.block") == 3
    assert shown(page, "#filter") == 0
    context.close()


@pytest.mark.parametrize("width", [360, 768, 1400])
def test_the_page_fits_its_window(opened: Opened, width: int) -> None:
    """On a telephone as on a wide screen only drawings and tables scroll sideways, never the page."""
    opened.page.set_viewport_size({"width": width, "height": 800})
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= width


def luminance(colour: str) -> float:
    """Relative luminance of `rgb(r, g, b)` as WCAG 2.1 defines it."""
    parts = [int(part) / 255 for part in colour[colour.index("(") + 1 : -1].split(",")[:3]]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_stands_out_from_its_paper(opened: Opened, scheme: Literal["light", "dark"]) -> None:
    """Contrast is at least 4.5 to 1 in light and in dark (WCAG 2.1, success criterion 1.4.3)."""
    page = opened.page
    page.emulate_media(color_scheme=scheme)
    paper = luminance(str(page.evaluate("getComputedStyle(document.body).backgroundColor")))
    for selector in ("body", ".quiet", "a[href]", ".gate strong", ".tag.error", ".tag.at-risk", ".tag.note"):
        colour = page.locator(selector).first.evaluate("e => getComputedStyle(e).color")
        ink = luminance(str(colour))
        ratio = (max(ink, paper) + 0.05) / (min(ink, paper) + 0.05)
        assert ratio >= 4.5, (selector, colour, ratio)


def test_it_prints(opened: Opened) -> None:
    """Printed, every board begins on a page of its own, the filter is gone, and no drawing is cut off."""
    page = opened.page
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 680, "height": 960})  # A4 less its margins at 96 dots an inch
    assert shown(page, "#filter") == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= 680
    right = "[...document.querySelectorAll('svg[role=img]')].map(s => s.getBoundingClientRect().right)"
    assert page.evaluate(f"Math.max(...{right})") <= 680
    paper = page.pdf(prefer_css_page_size=True)
    assert paper.startswith(b"%PDF-")
    assert paper.count(b"/Type /Page\n") >= 4


def test_a_screen_reader_finds_its_way(opened: Opened) -> None:
    """Landmarks, headings and drawings have names in the accessibility tree."""
    page = opened.page
    assert page.get_by_role("navigation", name="Boards").count() == 1
    assert page.get_by_role("search", name="Filter findings and blocks").count() == 1
    assert page.get_by_role("heading", level=1).count() == 1
    assert page.get_by_role("img", name="Schematic around XU3").count() == 1
    assert page.get_by_role("table", name="Verdicts, all boards").count() == 1
    assert page.get_by_role("columnheader", name="extreme value").count() == 3
