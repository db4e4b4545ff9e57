"""The nets of an old part brought to the pins of the part in its place, role by role."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from drc.blocks.model import Block, Part
from drc.blocks.pins import order_of
from drc.circuit.model import Net, Token
from drc.facts.book import Book
from drc.judge.model import Edit
from drc.netlist.source import decode
from drc.repair.trial import Bench

_HOLDS: Mapping[str, bool] = {"enable": True, "reset": False}
"""Inputs that let a block run or hold it, and whether their active level lets it run."""


class Placed(NamedTuple):
    """The edits of a block's line, what they are for, and what cannot be brought over by wiring."""

    edits: tuple[Edit, ...] = ()
    why: str = ""
    lacking: tuple[str, ...] = ()


class Wires(NamedTuple):
    """A part's roles by position, and the words that stand on a line at these positions."""

    part: Part
    roles: tuple[str, ...]
    words: tuple[str, ...]

    def word(self, role: str, number: int = 0) -> str | None:
        """The word at the pin of a role, where it repeats at the one of that number or the last."""
        own = [word for each, word in zip(self.roles, self.words, strict=False) if each == role]
        return own[min(number, len(own) - 1)] if own else None


def wires(block: Block) -> Wires:
    """How a block's line is written. Without roles where the line has another number of nodes."""
    order = order_of(block.element, block.part, block.package)
    return Wires(block.part, order.roles, tuple(token.text for token in block.element.pin_tokens))


def redrawn(block: Block, old: Block) -> bool:
    """Whether other nets are on the block than the old one had: drawn anew by somebody, it is left alone."""
    before, now = wires(old).words, wires(block).words
    return sorted(word.lower() for word in before) != sorted(word.lower() for word in now)


def placed(bench: Bench, book: Book, block: Block, old: Block) -> Placed:
    """The line of a block rewritten so that each net is on the pin that does what the old one did."""
    was, now = wires(old), wires(block)
    if not now.words and _crossed(block, old):
        reason = (
            f"{block.path}: its pins are not on the old nets, and its file does not name nets on its line"
        )
        return Placed(lacking=(reason,))
    if block.unit is not None or old.unit is not None or not now.words or redrawn(block, old):
        return Placed()
    roles = now.roles or block.part.pins
    reason = _other_work(was, block)
    if reason:
        return Placed(lacking=(reason,))
    nets = _new_nets(book, block, was)
    found = [nets.get(role) or _word(book, block, was, roles, at) for at, role in enumerate(roles)]
    lacking = tuple(each.because for each in found if isinstance(each, Lacking))
    if lacking:
        return Placed(lacking=lacking)
    words = [each for each in found if isinstance(each, str)]
    edits = rewritten(bench, block, words)
    if not edits:
        return Placed()
    idle = _idle(block, was, words)
    why = f"the nets of {block.path} on the pins of {block.part.name}"
    why += f"; {', '.join(idle)} no longer time it and may be taken off" if idle else ""
    return Placed(edits, why)


def _other_work(was: Wires, block: Block) -> str:
    """Why an RC timer and a block that counts cannot stand in for each other; empty if they can."""
    new, old = block.part, was.part
    if "rc-timer" not in (new.function, old.function) or new.function == old.function:
        return ""
    other = old if new.function == "rc-timer" else new
    words = {role: (was.word(role) or "").lower() for role in ("threshold", "trigger")}
    cycles = old.function != "rc-timer" or words["threshold"] == words["trigger"]
    if other.function in ("oscillator", "slow-oscillator") and cycles:
        return ""
    if other.function == "one-shot" and (old.function != "rc-timer" or not cycles):
        return ""
    if other is old:
        return f"{new.name}, an RC timer, does not do the work of {old.name}, of kind {old.function}"
    return (
        f"{old.name} ran as {'an astable' if cycles else 'a one-shot'}, {new.name} is of kind {new.function}"
    )


def _new_nets(book: Book, block: Block, was: Wires) -> dict[str, str]:
    """Nets of a pin that only one of the two kinds has: strap and rate, or those of an RC timer's ladder."""
    if (block.part.function == "rc-timer") == (was.part.function == "rc-timer"):
        return {}
    if block.part.function != "rc-timer":
        return {role: fresh(book, block, role) for role in ("strap", "rate")}
    node, trigger = fresh(book, block, "cap"), was.word("trigger")
    return {
        "threshold": node,
        "trigger": trigger or node,
        "discharge": node if trigger else fresh(book, block, "dis"),
        "control": fresh(book, block, "ctl"),
    }


def _idle(block: Block, was: Wires, words: Sequence[str]) -> list[str]:
    """The resistors and capacitors on nets that the block is no longer on."""
    kept = {word.lower() for word in words}
    unconnected = {word.lower() for role, word in zip(was.roles, was.words, strict=False) if role == "nc"}
    nets = [net for word, net in _nets(block).items() if word not in kept | unconnected]
    found = [pin.element.path for net in nets for pin in net.pins() if pin.element.kind in "RC"]
    return sorted(dict.fromkeys(found))


def _crossed(block: Block, old: Block) -> bool:
    """Whether a role that both parts have is on another net than it was."""
    names = {role: _names(nets) for role, nets in old.pins.items() if role != "nc"}
    return any(names.get(role, now) != now for role, nets in block.pins.items() if (now := _names(nets)))


def _names(nets: Sequence[Net]) -> list[str]:
    return [net.name.lower() for net in nets]


class Lacking(NamedTuple):
    """Why a pin has no net to go to."""

    because: str


def _word(book: Book, block: Block, was: Wires, roles: tuple[str, ...], position: int) -> str | Lacking:
    """The word for the pin at a position."""
    role = roles[position]
    if role in _HOLDS:
        return _holding(book, block, was, role)
    same = was.word(role, roles[:position].count(role))
    if same is not None:
        return same
    if role == "nc":
        return fresh(book, block, f"nc{position + 1}")
    if role.startswith("supply"):
        return was.word("supply") or Lacking(f"{block.part.name} needs a {role} pin")
    return Lacking(f"{block.path}: {block.part.name} has a {role} pin, and {was.part.name} has none")


def fresh(book: Book, block: Block, what: str) -> str:
    """The name of a net that the board does not have, in the scope of a block."""
    scope, _, name = block.element.path.rpartition(".")
    for number in ("", *map(str, range(2, 100))):
        word = f"{name}_{what}{number}"
        if book.board.circuit.net(f"{scope}.{word}" if scope else word) is None:
            return word
    return f"{name}_{what}_x"


def _holding(book: Book, block: Block, was: Wires, role: str) -> str | Lacking:
    """The word for an enable or reset pin: the net that did the old part's, if the level is the right one."""
    rails = {"high": was.word("supply"), "low": was.word("ground")}
    level = runs_at(block.part, role)
    source = next((each for each in (role, *_HOLDS) if was.word(each) is not None), None)
    if source is None:
        return rails[level] or Lacking(f"{block.path}: nothing to tie its {role} pin to")
    word, before = was.word(source), runs_at(was.part, source)
    if word is not None and level == before:
        return word
    tied = word in rails.values() or _only_pulled(block, was, str(word))
    if tied:
        return rails[level] or Lacking(f"{block.path}: nothing to tie its {role} pin to")
    return Lacking(
        f"{block.path}: {word} lets {was.part.name} run while {before}, and {block.part.name} runs while "
        f"{level}: what drives {word} has to be inverted"
    )


def runs_at(part: Part, role: str) -> str:
    """The level of an enable or reset pin at which a block runs."""
    pin = part.inputs.get(role)
    active = (pin.active if pin else None) or (part.reset_active if role == "reset" else None) or "high"
    return active if _HOLDS[role] else {"high": "low", "low": "high"}[active]


def _only_pulled(block: Block, was: Wires, word: str) -> bool:
    """Whether nothing is on a net of the block's line but resistors to the rails of the block."""
    nets = _nets(block)
    net = nets.get(word.lower())
    rails = [nets.get(rail.lower()) for role in ("supply", "ground") if (rail := was.word(role)) is not None]
    if net is None:
        return False
    others = [pin.element for pin in net.pins() if pin.element.path != block.element.path]
    return all(each.kind == "R" and _other(each.nets, net) in rails for each in others)


def _nets(block: Block) -> dict[str, Net]:
    """The nets on a block's line by the words that name them there, in lower case."""
    words = (token.text.lower() for token in block.element.pin_tokens)
    return dict(zip(words, block.element.nets, strict=False))


def _other(nets: Sequence[Net], net: Net) -> Net | None:
    return next((each for each in nets if each != net), None)


def rewritten(bench: Bench, block: Block, words: Sequence[str]) -> tuple[Edit, ...]:
    """The edits that put these words where a block's nodes stand: word by word, or all of them at once."""
    tokens, name = block.element.pin_tokens, block.element.path
    if len(tokens) == len(words):
        pairs = zip(tokens, words, strict=True)
        return tuple(Edit(name, token, word) for token, word in pairs if token.text != word)
    first, last = tokens[0], tokens[-1]
    text = decode(bench.reading.source(bench.root / first.path), first.path).text[first.start : last.end]
    return (Edit(name, Token(first.path, first.start, last.end, text), " ".join(words)),)
