"""Part files as TOML to one merged table a part: duplicates, `replaces`, `like`, and names that tie.

A name is a part's own, or a pattern with `*` in it; letter case is ignored throughout.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from drc.blocks.refusal import At, Owner, Source, Words, excerpt, file_trouble, key_place, nearest, shown
from drc.bounded import tables_of
from drc.trouble import Place, Trouble

_TOML_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_DEEPEST = 16
_LONGEST = 100
_EITHER = ({"points"}, {"full_scale", "duty"}), ({"output"}, {"feedback"}), ({"levels"}, {"thresholds"})
"""Keys that say the same thing in two ways: the child's way drops the parent's."""


LONGEST_LIKE = 32
"""The most parts that may stand in a row, each like the next."""


class Raw(NamedTuple):
    """A part as its file has it: the table as read, and the definition that it replaces."""

    name: str
    table: Mapping[str, Any]
    source: Source
    replaced: "Raw | None" = None

    def at(self, sink: list[Trouble]) -> At:
        """The place of the whole part."""
        owner = Owner(self.name, self.source)
        return At(lambda keys: owner, sink)


def read_raw(sources: Sequence[Source], sink: list[Trouble]) -> dict[str, Raw]:
    """Every part that the files define, by case-folded name, in the order of first definition."""
    found: dict[str, Raw] = {}
    for source in sources:
        for name, table in _tables(source, sink):
            raw = Raw(name, table, source)
            at = raw.at(sink)
            if not isinstance(table, dict):
                at.refuse(table, "a table")
                continue
            if not name.strip() or name != name.strip() or len(name) > _LONGEST:
                at.refuse(name, f"a part name of 1 to {_LONGEST} characters without blanks around it")
                continue
            earlier = found.get(name.casefold())
            if _may_stand(raw, earlier, at):
                found[name.casefold()] = raw._replace(replaced=earlier)
    return found


def _tables(source: Source, sink: list[Trouble]) -> list[tuple[str, Any]]:
    """The (name, table) pairs of one file; anything beside `part` is refused."""
    try:
        top = tables_of(source.text.replace("\r\n", "\n"))
    except ValueError as error:  # TOMLDecodeError, or a number too long for Python
        sink.append(_syntax(source, str(error)))
        return []
    except RecursionError:
        sink.append(_syntax(source, "tables or lists nested too deeply (at line 1, column 1)"))
        return []
    for key, value in top.items():
        if key != "part":
            hint = nearest(key, ("part",))
            message = f'found the table "{key}", expected only tables such as [part.NAME]{hint}'
            sink.append(file_trouble(source, (key,), message))
        elif not isinstance(value, dict):
            message = f"key part: found {shown(value)}, expected tables such as [part.NAME]"
            sink.append(file_trouble(source, ("part",), message))
    parts = top.get("part", {})
    return list(parts.items()) if isinstance(parts, dict) else []


def _syntax(source: Source, message: str) -> Trouble:
    """A TOML error at its line and column."""
    match = _TOML_PLACE.search(message)
    line, column = (int(match[1]), int(match[2])) if match and match[1] else (source.text.count("\n") + 1, 1)
    text = _TOML_PLACE.sub("", message)
    text = text[:1].lower() + text[1:]
    place, told = Place(source.path, line, column), f"found text that is no TOML: {text}"
    return Trouble("part-file", "error", place, told, excerpt(source.text, line))


def _may_stand(raw: Raw, earlier: Raw | None, at: At) -> bool:
    """Whether a definition may take its name; refuses a second one that does not say what it replaces."""
    replaces = raw.table.get("replaces")
    if replaces is None:
        if earlier is None:
            return True
        place = key_place(earlier.source, ("part", earlier.name))
        at.refuse(Words(f"a part already defined at {place}"), f'a new name, or replaces = "{raw.name}"')
        return False
    if not isinstance(replaces, str) or replaces.casefold() != raw.name.casefold():
        at.below("replaces").refuse(replaces, f'the part\'s own name, "{raw.name}"')
        return False
    if earlier is None:
        at.below("replaces").refuse(
            replaces, "a part defined before this one, in this file or an earlier one"
        )
        return False
    return True


def merged(raw: Raw, raws: Mapping[str, Raw], sink: list[Trouble]) -> tuple[dict[str, Any], tuple[Raw, ...]]:
    """A part's table laid over the tables it is `like`, and the definitions it came from, nearest first."""
    chain = [raw]
    while "like" in chain[-1].table:
        last = chain[-1]
        parent = _parent(last, raws, last.at(sink))
        if parent is None:
            break
        start = next((i for i, raw in enumerate(chain) if raw is parent), None)
        if len(chain) == LONGEST_LIKE:
            last.at(sink).below("like").refuse(
                last.table["like"], f"at most {LONGEST_LIKE} parts, each like the next"
            )
            break
        if start is not None:
            names = " is like ".join(r.name for r in (*chain[start:], parent))
            last.at(sink).below("like").refuse(last.table["like"], f"no circle: {names}")
            break
        chain.append(parent)
    table: dict[str, Any] = {}
    for step in reversed(chain):
        table = _laid_over(table, {k: v for k, v in step.table.items() if k not in {"like", "replaces"}})
    return table, tuple(chain)


def _parent(raw: Raw, raws: Mapping[str, Raw], at: At) -> Raw | None:
    """The definition that `like` names; its own name means the definition that this one replaces."""
    like = raw.table["like"]
    if not isinstance(like, str):
        at.below("like").refuse(like, "the name of a part, in quotes")
        return None
    if like.casefold() == raw.name.casefold() and raw.replaced is not None:
        return raw.replaced
    found = raws.get(like.casefold())
    if found is None:
        at.below("like").refuse(
            like, "a part of these files" + nearest(like, (r.name for r in raws.values()))
        )
    return found


def _laid_over(base: Mapping[str, Any], over: Mapping[str, Any], depth: int = 0) -> dict[str, Any]:
    """Two tables as one, table by table; lists and plain values are replaced whole.

    Below any depth that a part has, what lies over is taken whole: its keys are refused later.
    """
    result = dict(base)
    for one, other in _EITHER:
        for mine, theirs in ((one, other), (other, one)):
            if mine & over.keys():
                for key in theirs - mine:
                    result.pop(key, None)
    for key, value in over.items():
        below = result.get(key)
        if isinstance(below, dict) and isinstance(value, dict) and depth < _DEEPEST:
            result[key] = _laid_over(below, value, depth + 1)
        else:
            result[key] = value
    return result


def owner_of(chain: Sequence[Raw], keys: Sequence[str]) -> Owner:
    """Whose definition in a chain sets these keys, as far down as any does; the nearest one wins."""
    depths = [_depth(raw.table, keys) for raw in chain]
    raw = chain[depths.index(max(depths))]
    return Owner(raw.name, raw.source)


def _depth(table: object, keys: Iterable[str]) -> int:
    """How many of these keys, one below the other, a table holds."""
    depth = 0
    for key in keys:
        if not isinstance(table, dict) or key not in table:
            break
        table = table[key]
        depth += 1
    return depth


def refuse_ties(raws: Iterable[Raw], sink: list[Trouble]) -> None:
    """Refuse two patterns with equal literal prefixes that some name could match both of."""
    by_prefix: dict[str, list[Raw]] = {}
    for raw in raws:
        if "*" not in raw.name:
            continue
        same = by_prefix.setdefault(raw.name.casefold().partition("*")[0], [])
        for earlier in same:
            if _overlap(raw.name.casefold(), earlier.name.casefold()):
                place = key_place(earlier.source, ("part", earlier.name))
                raw.at(sink).refuse(
                    Words(f"a pattern that ties with {earlier.name} ({place})"),
                    "patterns that no name matches both of, or a longer text before the first *",
                )
        same.append(raw)


def _overlap(one: str, other: str) -> bool:
    """Whether some name matches both patterns, `*` being any run of characters."""
    seen: set[tuple[int, int]] = set()
    stack = [(0, 0)]
    while stack:
        state = stack.pop()
        if state in seen:
            continue
        seen.add(state)
        i, j = state
        if i == len(one) and j == len(other):
            return True
        a, b = one[i : i + 1], other[j : j + 1]
        if a == "*":
            stack.append((i + 1, j))
            if b:
                stack.append((i, j + 1))
        if b == "*":
            stack.append((i, j + 1))
            if a:
                stack.append((i + 1, j))
        if a and a == b and a != "*":
            stack.append((i + 1, j + 1))
    return False
