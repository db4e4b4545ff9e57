"""Mutants of a text: bytes, tokens and structure changed, the same ones for the same random numbers."""

import re
from collections.abc import Callable, Sequence
from random import Random

NASTY = (
    "", "0", "-1", "1e308", "-1e308", "1e-320", "1e999", "nan", "inf", "9" * 400, "1e" + "9" * 30, "0x10",
    "½", "٣", "..", "+/- 400%", "±", "1k .. -1k", "5V .. 3V", "1M", "4k7", "1meg", "0ohm", "1e400ohm", "µ",
    "-0.0", "{", "}", "((((", ")", "'", '"', '"""', "[", "]]>", "{" * 60, "(" * 300, "((" * 5 + "))" * 5,
    "'" * 3, "\x1b[31m", "\x1b]0;x\x07", "[bold red]", "<script>alert(1)</script>", "&amp;&#0;", "=1+1",
    "<!ENTITY x>", "@SUM(A1)", "../../etc/passwd", "/dev/zero", "C:\\nul", "~root", "$HOME", "%PATH%",
    "%n%s", "{0.__class__}", "\\N{BULLET}", "\x00", "\x1a", "\x0c", "\x85", "\u2028", "\u202e", "\ufeff",
    "\ud7ff", "\U0001f600", "é" * 5, "x" * 3000, " " * 3000, "\n", "\r", "\r\n", "\n+ ", "\\\n", ",", ";",
    "#", "*", "*@ ", "$", ".end", ".ends", ".subckt a b", ".if (1)", ".endif",
)  # fmt: skip
"""What stands where nobody expects it."""

_TOKEN = re.compile(r"\w+|\s+|[^\w\s]")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_PAIRS = {"(": ")", "[": "]", "{": "}"}


def mutant(seeds: Sequence[bytes], random: Random) -> bytes:
    """One of the seeds with one to four changes."""
    data = random.choice(seeds)
    for _ in range(random.choice((1, 1, 1, 2, 2, 3, 4))):
        if random.random() < 0.25:
            data = random.choice(_BYTES)(data, random)
        else:
            text = data.decode("utf-8", "surrogateescape")
            other = random.choice(seeds).decode("utf-8", "surrogateescape")
            text = random.choice(_TEXT)(text, other, random)
            data = text.encode("utf-8", "surrogateescape")
    return data[:200_000]


def _span(length: int, random: Random) -> slice:
    """A run somewhere within a length, mostly short."""
    start = random.randrange(length + 1)
    return slice(start, start + random.choice((0, 1, 1, 2, 4, 16, 100)))


def _flip(data: bytes, random: Random) -> bytes:
    if not data:
        return data
    at = random.randrange(len(data))
    return data[:at] + bytes([data[at] ^ (1 << random.randrange(8))]) + data[at + 1 :]


def _put_bytes(data: bytes, random: Random) -> bytes:
    at = _span(len(data), random)
    new = random.choice(
        (random.randbytes(1), random.randbytes(8), b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"\xc3")
    )
    return data[: at.start] + new + data[at.stop :]


def _take_bytes(data: bytes, random: Random) -> bytes:
    at = _span(len(data), random)
    return data[: at.start] + data[at.stop :]


def _double_bytes(data: bytes, random: Random) -> bytes:
    at = _span(len(data), random)
    return data[: at.stop] + data[at] * random.choice((1, 1, 3, 50)) + data[at.stop :]


def _cut(data: bytes, random: Random) -> bytes:
    return data[: random.randrange(len(data) + 1)]


def _recode(data: bytes, random: Random) -> bytes:
    if random.random() < 0.8:
        return data.replace(b"\n", random.choice((b"\r\n", b"\r", b"\n\n")))
    return data.decode("latin-1").encode(random.choice(("utf-16", "utf-16-le", "utf-16-be", "utf-8-sig")))


_BYTES: tuple[Callable[[bytes, Random], bytes], ...] = (
    _flip, _put_bytes, _take_bytes, _double_bytes, _cut, _recode,
)  # fmt: skip


def _tokens(text: str, other: str, random: Random) -> str:
    """A token lost, doubled, exchanged with another, or replaced by one of a neighbour or a nasty one."""
    tokens, strange = _TOKEN.findall(text), _TOKEN.findall(other)
    if not tokens or not strange:
        return text + random.choice(NASTY)
    at, to = random.randrange(len(tokens)), random.randrange(len(tokens))
    kind = random.randrange(6)
    if kind == 0:
        tokens[at] = ""
    elif kind == 1:
        tokens[at] *= random.choice((2, 2, 3, 200))
    elif kind == 2:
        tokens[at], tokens[to] = tokens[to], tokens[at]
    elif kind == 3:
        tokens[at] = random.choice(strange)
    elif kind == 4:
        tokens[at] = random.choice(NASTY)
    else:
        tokens.insert(at, random.choice([*strange, random.choice(NASTY)]))
    return "".join(tokens)


def _numbers(text: str, _: str, random: Random) -> str:
    """One number turned into another."""
    found = list(_NUMBER.finditer(text))
    if not found:
        return text
    match = random.choice(found)
    old = match.group()
    new = random.choice(
        (
            random.choice(NASTY),
            "-" + old,
            old + "0" * random.randrange(1, 30),
            "0",
            old + "e" + old,
            old[::-1],
        )
    )
    return text[: match.start()] + new + text[match.end() :]


def _lines(text: str, other: str, random: Random) -> str:
    """A line lost, doubled, moved, taken from a neighbour, joined with the next or broken in two."""
    lines, strange = text.split("\n"), other.split("\n")
    at, to = random.randrange(len(lines)), random.randrange(len(lines))
    kind = random.randrange(7)
    if kind == 0:
        del lines[at]
    elif kind == 1:
        lines[at:at] = [lines[at]] * random.choice((1, 1, 2, 40))
    elif kind == 2:
        lines.insert(to, lines.pop(at))
    elif kind == 3:
        start = random.randrange(len(strange))
        lines[at:at] = strange[start : start + random.choice((1, 1, 2, 8))]
    elif kind == 4 and at + 1 < len(lines):
        lines[at : at + 2] = [lines[at] + random.choice(("", " ", "\t", ",")) + lines[at + 1]]
    elif kind == 5:
        cut = random.randrange(len(lines[at]) + 1)
        lines[at : at + 1] = [lines[at][:cut], random.choice(("", "+ ", "| ", "    ")) + lines[at][cut:]]
    else:
        lines[at] = random.choice(NASTY) + lines[at]
    return "\n".join(lines)


def _cells(text: str, other: str, random: Random) -> str:
    """Within one line, a word or a comma's cell lost, doubled, exchanged or taken from a neighbour."""
    lines = text.split("\n")
    at = random.randrange(len(lines))
    between = random.choice((" ", ","))
    cells = lines[at].split(between)
    a, b = random.randrange(len(cells)), random.randrange(len(cells))
    kind = random.randrange(4)
    if kind == 0:
        del cells[a]
    elif kind == 1:
        cells[a : a + 1] = [cells[a]] * random.choice((2, 3, 300))
    elif kind == 2:
        cells[a], cells[b] = cells[b], cells[a]
    else:
        cells[a] = random.choice(other.replace("\n", between).split(between))
    lines[at] = between.join(cells)
    return "\n".join(lines)


def _brackets(text: str, other: str, random: Random) -> str:
    """A bracketed form lost, doubled, wrapped many times, exchanged, or taken from a neighbour."""
    forms, strange = _forms(text, random), _forms(other, random)
    if not forms:
        return text
    start, end = random.choice(forms)
    form = text[start:end]
    kind = random.randrange(6)
    if kind == 0:
        form = ""
    elif kind == 1:
        form *= random.choice((2, 2, 3, 30))
    elif kind == 2:
        times = random.choice((1, 2, 30, 400))
        form = form[0] * times + form + form[-1] * times
    elif kind == 3:
        form = form[1:-1]
    elif kind == 4:
        form = random.choice((form[:-1], form[1:], form[0] + form[-1]))
    elif strange:
        a, b = random.choice(strange)
        form = other[a:b]
    return text[:start] + form + text[end:]


def _forms(text: str, random: Random) -> list[tuple[int, int]]:
    """Where bracketed forms begin and end, for a few that open somewhere at random."""
    opens = [n for n, sign in enumerate(text) if sign in _PAIRS]
    found = []
    for start in random.sample(opens, min(4, len(opens))):
        depth = 0
        for n in range(start, len(text)):
            depth += (text[n] == text[start]) - (text[n] == _PAIRS[text[start]])
            if depth == 0:
                found.append((start, n + 1))
                break
    return found


def _splice(text: str, other: str, random: Random) -> str:
    """The beginning of a text with the end of a neighbour."""
    return text[: random.randrange(len(text) + 1)] + other[random.randrange(len(other) + 1) :]


_TEXT: tuple[Callable[[str, str, Random], str], ...] = (
    _tokens, _tokens, _tokens, _numbers, _numbers, _lines, _lines, _cells, _cells, _brackets, _splice,
)  # fmt: skip
