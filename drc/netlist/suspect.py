"""Files that carry a netlist's name and are none: one line says what they seem to be."""

import re

from drc.netlist.source import decode

_HEAD = 20_000

_SIGNS: tuple[tuple[str, str], ...] = (
    (r"\A\s*(?:/\*.*?\*/\s*)*library\s*\([^)]*\)\s*\{", "a cell timing library"),
    (r"\A\s*\(\s*[A-Za-z_]\w*\b", "an S-expression file"),
    (r"\A\s*[(;](?:[^\n]*\n)*?\s*\([a-z_]+\s+\(", "an S-expression file"),
    (r"\A\s*<\?xml|\A\s*<(?:!doctype|html|svg|netlist)\b", "an XML or HTML file"),
    (r"\A\s*[{\[]\s*(?:[\"{\[]|\])", "a JSON file"),
    (r"^\s*#\s*include\s*[<\"]", "C source"),
    (r"\A[^\n]*-LIBRARY\s+Version|^DEF\s+\S+\s+\S+\s+\d+\s+\d+\s+[YN]\s+[YN]", "a symbol library"),
    (r"^\s*module\s+\w+\s*[(#;]", "hardware description source"),
    (r"^\s*entity\s+\w+\s+is\b", "hardware description source"),
    (r"\A%PDF-", "a PDF file"),
)


def refusal(data: bytes) -> str | None:
    """Why a file can't be read as a netlist at all, in one line; None where it may be one."""
    if not data.strip(b" \t\r\n\f\x1a\x00"):
        return "the file is empty; a netlist was expected"
    text = decode(data[:_HEAD] if len(data) > _HEAD else data, "").text
    controls = sum(1 for letter in text if letter < " " and letter not in "\t\r\n\f\v\x1a")
    if controls * 100 > len(text) or "\x00" in text[:4000]:
        return "this seems to be a binary file; a netlist was expected"
    for pattern, what in _SIGNS:
        if re.search(
            pattern, text, re.IGNORECASE | re.MULTILINE | re.DOTALL if "/\\*" in pattern else re.MULTILINE
        ):
            return f"this seems to be {what}; a netlist was expected"
    return None
