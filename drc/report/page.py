"""A review as one page of HTML: complete in itself, to be read, filtered, printed and filed."""

import base64
from hashlib import sha256
from pathlib import Path

from drc.outcome import Review
from drc.report.page_view import page_view
from drc.report.summary import CAUTION
from drc.report.text import harmless

_HERE = Path(__file__).parent


def render(review: Review) -> str:
    """The page; the same review gives the same text.

    Nothing in it comes from elsewhere: its own rule for what may run names the digests of its one style
    sheet and its one script, so that text of a board could do nothing even if it were taken as markup.
    """
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # only this format needs it

    def shown(value: object) -> object:
        return harmless(value) if isinstance(value, str) and not hasattr(value, "__html__") else value

    style, script = (_HERE.joinpath(name).read_text(encoding="utf-8") for name in ("page.css", "page.js"))
    environment = Environment(
        loader=FileSystemLoader(_HERE),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=shown,
    )
    return environment.get_template("page.html.j2").render(
        page=page_view(review),
        caution=CAUTION,
        style=style,
        script=script,
        style_digest=_digest(style),
        script_digest=_digest(script),
    )


def _digest(text: str) -> str:
    """A digest as a content security policy names it."""
    return f"sha256-{base64.b64encode(sha256(text.encode()).digest()).decode()}"
