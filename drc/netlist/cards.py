"""Which words of an element line are nodes, part and value, letter by letter."""

from collections.abc import Callable
from typing import NamedTuple

from drc.netlist.words import Pair, Statement, Word
from drc.quantity.notation import read_value, scaled_number

NODE_COUNT = {"R": 2, "C": 2, "L": 2, "V": 2, "I": 2, "D": 2, "B": 2, "F": 2, "H": 2, "W": 2,
              "E": 4, "G": 4, "S": 4, "T": 4, "O": 4, "J": 3, "Z": 3}  # fmt: skip
"""How many nodes a letter has where the count is fixed (SPICE user's guide, element lines)."""

VALUE_KINDS = "RCL"


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
    kind = statement.head.text[0].upper()
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
    """A fixed count of nodes; the part follows for those that name one."""
    count = NODE_COUNT.get(kind, 2)
    words = list(statement.words)
    nodes: list[Word] = []
    while words and len(nodes) < count and (words[0].kind != "e"):
        word = words.pop(0)
        if word.kind != "p":
            nodes.append(word)
        elif word.text == "=":
            break
    part = None
    if kind in "DJZSO" and words and words[0].kind == "w":
        part = words.pop(0)
    return nodes, part, words


def _passive(kind: str, statement: Statement) -> _Arranged:
    """R, C, L: two nodes, then a value, a model's name, or both in either order."""
    nodes, _, tail = _fixed(kind, statement)
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


def _controlled(kind: str, statement: Statement) -> _Arranged:
    """E and G: two nodes, and two or more controlling ones; a behavioural form keeps its text as tail."""
    words = list(statement.words)
    bare = _bare(statement.words)
    keyword = bare[2].text.lower() if len(bare) > 2 else ""
    if keyword == "poly" and len(bare) > 3:
        count = scaled_number(bare[3].text)
        controls = bare[4 : 4 + 2 * int(count)] if count is not None and 0 < count < 100 else []
        return bare[:2] + controls, None, bare[2:4] + bare[4 + len(controls) :]
    behaves = keyword in (
        "value",
        "table",
        "laplace",
        "freq",
        "cur",
        "vol",
        "pwl",
        "vcvs",
        "vccs",
        "chebyshev",
    )
    if behaves or len(bare) < 4 or any(word.kind == "e" for word in bare[2:4]):
        rest = words[words.index(bare[1]) + 1 :] if len(bare) > 1 else []
        return bare[:2], None, rest
    return bare[:4], None, bare[4:]


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
    "R": _passive, "C": _passive, "L": _passive, "E": _controlled, "G": _controlled,
    "Q": _transistor, "M": _transistor, "X": _instance, "U": _instance, "N": _instance,
    "P": _instance, "Y": _instance, "K": _coupling, "J": _connector, "Z": _connector, "A": _event,
}  # fmt: skip
