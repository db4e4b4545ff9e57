"""Files that carry a netlist's name and are none: one line says what they seem to be."""

import re
from typing import NamedTuple

from drc.netlist.source import decode

_HEAD = 20_000


class _Sign(NamedTuple):
    """What a kind of file shows: one of the `hints` (lower case) anywhere, or among the first characters
    if `first`, and then the pattern."""

    hints: tuple[str, ...]
    first: bool
    pattern: str
    what: str


_SIGNS = (
    _Sign(("l", "/"), True, r"\A\s*(?:/\*.*?\*/\s*)*library\s*\([^)]*\)\s*\{", "a cell timing library"),
    _Sign(("(",), True, r"\A\s*\([A-Za-z_]\w*\b[^)\n]*(?:\(|\n\s*\()", "an S-expression file"),
    _Sign(("<",), True, r"\A\s*<(?:\?xml|!doctype|html|svg|[a-z]+>)", "an XML or HTML file"),
    _Sign(("{", "["), True, r"\A\s*[{\[]\s*(?:[\"{\[]|\])", "a JSON file"),
    _Sign(("#include", "# include"), False, r"^\s*#\s*include\s*[<\"]", "C source"),
    _Sign(("-library version",), False, r"\A[^\n]*-library version", "a symbol library"),
    _Sign(("module",), False, r"^\s*module\s+\w+\s*[(#;]", "hardware description source"),
    _Sign(("entity",), False, r"^\s*entity\s+\w+\s+is\b", "hardware description source"),
    _Sign(("%pdf",), True, r"\A%pdf-", "a PDF file"),
)


def refusal(data: bytes) -> str | None:
    """Why a file can't be read as a netlist at all, in one line; None where it may be one."""
    if not data.strip(b" \t\r\n\f\x1a\x00"):
        return "the file is empty; a netlist was expected"
    text = decode(data[:_HEAD], "").text
    controls = sum(map(text.count, _CONTROLS))
    if controls * 100 > len(text) or "\x00" in text[:4000]:
        return "this seems to be a binary file; a netlist was expected"
    low = text.lower()
    start = low.lstrip()[:4]
    for sign in _SIGNS:
        shown = start.startswith(sign.hints) if sign.first else any(hint in low for hint in sign.hints)
        if shown and re.search(sign.pattern, low, re.MULTILINE | re.DOTALL):
            return f"this seems to be {sign.what}; a netlist was expected"
    return None


_CONTROLS = tuple(chr(code) for code in range(32) if chr(code) not in "\t\r\n\f\v\x1a")
