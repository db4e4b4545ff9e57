"""Where the grammars, rules and part files lie, installed or in a checkout."""

from functools import cache
from pathlib import Path


@cache
def data_root() -> Path:
    """The folder that holds `grammars/` and `rules/`: inside the wheel, or the top of a checkout."""
    package = Path(__file__).resolve().parent
    inside = package / "data"
    return inside if inside.is_dir() else package.parent


def grammar_text(name: str) -> str:
    """The text of a grammar, by its name without `.lark`."""
    return (data_root() / "grammars" / f"{name}.lark").read_text(encoding="utf-8")
