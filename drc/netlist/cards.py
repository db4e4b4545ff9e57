"""Which words of an element line are nodes, part and value, letter by letter."""

from collections.abc import Callable
from typing import NamedTuple

from drc.netlist.words import Pair, Statement, Word, element_letter
from drc.quantity.notation import read_value, scaled_number

FOREIGN = frozenset((
    "vsource", "isource", "resistor", "capacitor", "inductor", "bsource", "vcvs", "vccs", "diode",
))  # fmt: skip
"""Component words of another netlist language, which writes them after nodes in brackets."""


class Card(NamedTuple):
    """An element line: `tail` are the words after the nodes and the part, in order."""

    kind: str
    name: Word
    nodes: tuple[Word, ...]
    part: Word | None
    tail: tuple[Word, ...]
    pairs: tuple[Pair, ...]


def card_of(statement: Statement) -> Card:
    """Nodes, part and the rest of an element line that the grammar accepts."""
    kind = element_letter(statement.head.text)
    late: tuple[Word, ...] = ()
    if statement.pairs and statement.words and statement.words[-1].start > statement.pairs[0].name.start:
        first = statement.pairs[0].name.start
        late = tuple(word for word in statement.words if word.start > first)
        statement = statement._replace(words=tuple(w for w in statement.words if w.start < first))
    nodes, part, tail = _ARRANGE.get(kind, _fixed)(kind, statement)
    return Card(kind, statement.head, tuple(nodes), part, (*tail, *late), statement.pairs)


_Arranged = tuple[list[Word], Word | None, list[Word]]


def _bare(words: tuple[Word, ...]) -> list[Word]:
    """The words without brackets and commas."""
    return [word for word in words if word.kind != "p"]


def _fixed(kind: str, statement: Statement) -> _Arranged:
    """Two nodes; the part follows for a diode."""
    words = list(statement.words)
    nodes: list[Word] = []
    while words and len(nodes) < 2:
        word = words.pop(0)
        if word.kind != "p":
            nodes.append(word)
    while words and words[0].kind == "p":
        words.pop(0)
    foreign = bool(words) and statement.words[0].kind == "p" and words[0].text.lower() in FOREIGN
    part = words.pop(0) if words and words[0].kind == "w" and (kind == "D" or foreign) else None
    return nodes, part, words


def _counted(kind: str, statement: Statement) -> _Arranged:
    """S T O W: four nodes (W: two and a source) and a model; another count is a part of so many nets."""
    words = _bare(statement.words)
    count = 2 if kind == "W" else 4
    if kind == "W" and len(words) == 4:
        return words[:2], words[3], words[2:3]
    if kind == "T" and len(words) == count and statement.pairs:
        return words, None, []
    if len(words) > count and kind != "W":
        return words[:count], words[count], words[count + 1 :]
    return _instance(kind, statement)


def _passive(kind: str, statement: Statement) -> _Arranged:
    """R, C, L: two nodes, then a value, a model's name, or both in either order."""
    nodes, foreign, tail = _fixed(kind, statement)
    if foreign is not None:
        return nodes, foreign, tail
    bare = [word for word in tail if word.kind != "p"]
    if bare and bare[0].kind == "w" and not _is_value(bare[0], kind):
        follows = len(bare) > 1 and (bare[1].kind == "e" or _is_value(bare[1], kind))
        if len(bare) == 1 or follows:
            tail.remove(bare[0])
            return nodes, bare[0], tail
    if len(bare) == 2 and bare[1].kind == "w" and bare[1].text.replace("_", "a").isidentifier():
        value = read_value(f"{bare[0].text} {bare[1].text}", kind)
        unit = value.value is not None and not value.rating and value.fitted
        if bare[0].kind == "e" or (_is_value(bare[0], kind) and not unit and value.fitted):
            tail.remove(bare[1])
            return nodes, bare[1], tail
    return nodes, None, tail


def _is_value(word: Word, kind: str) -> bool:
    """Whether a word says a value or that the part is not fitted."""
    found = read_value(word.text, kind)
    return found.value is not None or not found.fitted


def _law(kind: str, statement: Statement) -> _Arranged:
    """B F H, and E G in their other forms: two nodes, then the law's words."""
    words = list(statement.words)
    nodes: list[Word] = []
    while words and len(nodes) < 2 and not (words[0].kind == "p" and words[0].text == "="):
        word = words.pop(0)
        if word.kind != "p":
            nodes.append(word)
    return nodes, None, words


def _controlled(kind: str, statement: Statement) -> _Arranged:
    """E and G: two nodes, and two or more controlling ones; a behavioural form keeps its text as tail."""
    nodes, _, rest = _law(kind, statement)
    bare = [word for word in rest if word.kind != "p"]
    if bare and bare[0].text.lower() == "poly" and len(bare) > 1:
        count = scaled_number(bare[1].text)
        controls = bare[2 : 2 + 2 * int(count)] if count is not None and 0 < count < 100 else []
        return nodes + controls, None, bare[:2] + bare[2 + len(controls) :]
    plain = len(bare) >= 2 and all(word.kind in "wq" for word in bare[:2])
    at = rest.index(bare[0]) + 1 if bare else 0
    calls = at < len(rest) and rest[at].kind == "p" and rest[at].text in "(="
    if not plain or calls or bare[0].text.lower() in _LAW_WORDS:
        return nodes, None, rest
    return nodes + bare[:2], None, bare[2:]


_LAW_WORDS = frozenset((
    "value", "table", "laplace", "freq", "cur", "vol", "pwl", "vcvs", "vccs", "chebyshev", "opamp",
    "transformer", "delay",
))  # fmt: skip


def _transistor(kind: str, statement: Statement) -> _Arranged:
    """Q and M: three or more nodes before the model's name; numbers after it are an area or sizes."""
    words = _bare(statement.words)
    least = 3
    last = len(words)
    while last > least + 1 and (scaled_number(words[last - 1].text) is not None or _is_flag(words[last - 1])):
        last -= 1
    if last <= least:
        return words[:least], None, words[least:]
    return words[: last - 1], words[last - 1], words[last:]


def _is_flag(word: Word) -> bool:
    return word.kind == "e" or word.text.lower() == "off"


def _instance(kind: str, statement: Statement) -> _Arranged:
    """X, U and the like: any number of nodes, then the name; a `/` of its own may part them."""
    words = _bare(statement.words if statement.marker is None else statement.words[: statement.marker])
    for i, word in enumerate(words):
        if word.text == "/" and i == len(words) - 2:
            return words[:i], words[i + 1], []
    if not words or words[-1].text == "?":
        return words, None, []
    return words[:-1], words[-1], []


def _coupling(kind: str, statement: Statement) -> _Arranged:
    """K: inductors that are coupled have no nodes; a K that names none is some other part with nets."""
    words = _bare(statement.words)
    if len(words) >= 2 and words[0].text[:1] in "Ll" and words[1].text[:1] in "Ll":
        return [], None, words
    return _instance(kind, statement)


def _connector(kind: str, statement: Statement) -> _Arranged:
    """J and Z: three nodes and a model as a transistor; with another count a part with that many nets."""
    words = _bare(statement.words)
    if len(words) >= 4 and (
        len(words) == 4 or scaled_number(words[4].text) is not None or _is_flag(words[4])
    ):
        return words[:3], words[3], words[4:]
    return _instance(kind, statement)


def _event(kind: str, statement: Statement) -> _Arranged:
    """A: nets in vectors `[..]`, inverted by `~`, typed by `%vd`; the last word is the model."""
    nodes: list[Word] = []
    words = _bare(statement.words)
    for word in words[:-1]:
        text, start = word.text, word.start
        while text[:1] in ("[", "~"):
            text, start = text[1:], start + 1
        text = text.rstrip("]")
        if text and not text.startswith("%") and text.lower() != "null":
            nodes.append(Word(text, start, start + len(text)))
    return nodes, words[-1] if words else None, []


_ARRANGE: dict[str, Callable[[str, Statement], _Arranged]] = {
    "R": _passive, "C": _passive, "L": _passive, "S": _counted, "T": _counted, "O": _counted, "W": _counted,
    "E": _controlled, "G": _controlled, "B": _law, "F": _law, "H": _law, "Q": _transistor, "M": _transistor,
    "X": _instance, "U": _instance, "N": _instance, "P": _instance, "Y": _instance, "K": _coupling,
    "J": _connector, "Z": _connector, "A": _event,
}  # fmt: skip
