"""The rule book: the built-in rules, and what house books add, turn, change, replace or switch off."""

from collections.abc import Callable, Mapping, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any

from drc.facts.catalogue import ENTRIES
from drc.facts.model import Entry
from drc.intent.wording import did_you_mean
from drc.judge.rule import Rule, RuleBook, Source, SwitchedOff, rule_of, wrong
from drc.resources import OWN, compiled, data_root
from drc.trouble import LEVELS, InputError, Level, Place, Trouble


def load_rules(
    paths: Sequence[Path] = (), built_in: bool = True, read: Callable[[Path], bytes] = Path.read_bytes
) -> RuleBook:
    """The built-in rules and those of house books (files, or folders of `.rule` files), checked.

    `read` gives the bytes of the house books.
    Raises InputError where a file can't be read or a rule is wrong, with one trouble a rule.
    """
    sources = (
        [_source(path, f"{OWN}rules/book/", Path.read_bytes) for path in built_in_files()] if built_in else []
    )
    for path in paths:
        files = sorted(path.glob("*.rule")) if path.is_dir() else [path]
        sources += [_source(file, "", read) for file in files]
    return read_rules(sources)


def built_in_files() -> list[Path]:
    """The files of the built-in rules, in order."""
    return sorted((data_root() / "rules" / "book").glob("*.rule"))


def read_rules(sources: Sequence[Source], entries: Sequence[Entry] = ENTRIES) -> RuleBook:
    """The rules of texts, in order; later texts may change what earlier ones say. Raises InputError."""
    known = {entry.name: entry for entry in entries}
    signature = "\n".join(
        f"{e.name} {e.subject} {e.kind if isinstance(e.kind, str) else e.kind.symbol}" for e in entries
    )
    key = "\0".join([signature, *(part for source in sources for part in source)])
    items: Any = compiled("rules", key, lambda: _checked(sources, known))
    rules: dict[str, Rule] = {}
    off: dict[str, SwitchedOff] = {}
    for number, item in items:
        _apply(item, sources[number], rules, off)
    in_force = tuple(rule for name, rule in rules.items() if name not in off)
    digests = tuple((s.path, sha256(s.text.encode()).hexdigest()) for s in sources)
    return RuleBook(in_force, off, digests)


def _source(path: Path, prefix: str, read: Callable[[Path], bytes]) -> Source:
    """A rule file's text. Raises InputError."""
    shown = prefix + path.name if prefix else path.as_posix()
    try:
        return Source(shown, read(path).decode("utf-8"))
    except OSError as error:
        reason = error.strerror or "cannot be read"
        raise InputError(
            Trouble("wrong-rule", "error", Place(shown), f"{reason}, expected a rule file")
        ) from None
    except UnicodeDecodeError:
        message = "the file is not UTF-8 text, expected a rule file"
        raise InputError(Trouble("wrong-rule", "error", Place(shown), message)) from None


def _checked(sources: Sequence[Source], entries: Mapping[str, Entry]) -> list[Any]:
    """Every item of every text, checked, as plain JSON with the number of its text."""
    from drc.judge.parse import parse_rules  # Costs the start of the grammar's engine: only for new texts.
    from drc.judge.reading import check_rule

    items: list[Any] = []
    troubles: list[Trouble] = []
    for number, source in enumerate(sources):
        try:
            parsed = parse_rules(source.text, source.path)
        except InputError as error:
            troubles += error.troubles
            continue
        for item in parsed:
            try:
                checked = check_rule(item, source, entries) if item["item"] in ("rule", "replace") else item
            except InputError as error:
                troubles += error.troubles
                continue
            items.append([number, checked])
    if troubles:
        raise InputError(*troubles)
    return items


def _apply(item: dict[str, Any], source: Source, rules: dict[str, Rule], off: dict[str, SwitchedOff]) -> None:
    """Puts one item into the book."""
    name, kind, at = item["name"], item["item"], item["at"]
    if kind == "rule":
        if name in rules:
            message = (
                f'found a second rule "{name}", the first stands at {rules[name].place}; '
                f'expected another name, or "replace {name}"'
            )
            raise InputError(
                wrong(source.path, at, message, source.text)._replace(others=(rules[name].place,))
            )
        rules[name] = rule_of(item)
        return
    if name not in rules:
        message = f'found "{name}", expected the name of a rule{did_you_mean(name, rules)}'
        raise InputError(wrong(source.path, at, message, source.text))
    if kind == "replace":
        rules[name] = rule_of(item)
        off.pop(name, None)
    elif kind == "turn":
        rules[name] = _turned(rules[name], item, source)
    elif kind == "level":
        rules[name] = _levelled(rules[name], item["aspect"], item["level"])
    else:
        off[name] = SwitchedOff(item["because"], Place(source.path, *at))


def _turned(rule: Rule, item: dict[str, Any], source: Source) -> Rule:
    """A rule with one knob at another value, in the knob's own unit."""
    from drc.judge.reading import constant

    knob = item["knob"]
    if knob not in rule.knobs:
        has = f"a knob of {rule.name}" if rule.knobs else f"nothing: {rule.name} has no knob"
        message = f'found "{knob}", expected {has}{did_you_mean(knob, rule.knobs)}'
        raise InputError(wrong(source.path, item["knob_at"], message, source.text))
    value, old = constant(item["value"], source), rule.knobs[knob]
    if value.unit.dimension != old.unit.dimension:
        wanted = old.unit.symbol or "no unit"
        message = (
            f"found a quantity in {value.unit.symbol or 'no unit'}, expected one in {wanted}, as {knob} has"
        )
        raise InputError(wrong(source.path, item["value"][1], message, source.text))
    return rule._replace(knobs={**rule.knobs, knob: value})


def _levelled(rule: Rule, aspect: str, level: Level) -> Rule:
    """A rule with another level for one verdict; at-risk never stays above fail."""
    if aspect == "unproven":
        return rule._replace(unproven=level)
    if rule.subject == "line":
        return rule._replace(line_level=level)
    if aspect == "at-risk":
        return rule._replace(requires=tuple(part._replace(at_risk=level) for part in rule.requires))
    return rule._replace(
        requires=tuple(
            part._replace(level=level, at_risk=min(part.at_risk, level, key=LEVELS.index))
            for part in rule.requires
        )
    )
