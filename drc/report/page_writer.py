"""Sets out a page of HTML: one file, complete in itself, in which nothing that a board says can act."""

import base64
from hashlib import sha256
from pathlib import Path

from drc.report.summary import CAUTION
from drc.report.text import harmless

_HERE = Path(__file__).parent


def set_out(template: str, page: object) -> str:
    """The page that a template makes of its view; the same view gives the same text.

    Nothing in it comes from elsewhere: its own rule for what may run names the digests of its one style
    sheet and its one script, so that text of a board could do nothing even if it were taken as markup.
    """
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # only pages need it

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
    return environment.get_template(template).render(
        page=page,
        caution=CAUTION,
        style=style,
        script=script,
        style_digest=_digest(style),
        script_digest=_digest(script),
    )


def _digest(text: str) -> str:
    """A digest as a content security policy names it."""
    return f"sha256-{base64.b64encode(sha256(text.encode()).digest()).decode()}"
