"""The boards that are written otherwise, samples and generated ones, and their text taken apart."""

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path
from random import Random
from typing import NamedTuple

from tests.faults.boards import draw_board
from tests.faults.makers import draw_part
from tests.faults.rc_boards import draw_timer

STATION = Path(__file__).resolve().parents[2] / "samples" / "fog-station"
MODELS = (STATION / "models.inc").read_text(encoding="utf-8")

LEADS = {"r": 2, "c": 2, "l": 2, "d": 2, "v": 2, "q": 3, "m": 4, "j": 2}
"""How many nets follow the name of an element, by its letter."""

ABOUT_NETS = frozenset({"supply", "signal", "load", "ramp"})
ABOUT_ELEMENTS = frozenset({"expect", "assume", "fit", "at"})


class Board(NamedTuple):
    """A board: its netlist, the part file that it needs beside the built-in ones, the intent beside it."""

    text: str
    parts: str = ""
    intent: str = ""


def sample(name: str) -> Board:
    """A board of the fog station."""
    intent = STATION / f"{name}.intent"
    return Board(
        (STATION / f"{name}.cir").read_text(encoding="utf-8"),
        intent=intent.read_text(encoding="utf-8") if intent.exists() else "",
    )


def generated(seed: int) -> Board:
    """A board made from the wanted answer, with a part of its own: every third one an RC timer."""
    rng = Random(seed)
    if seed % 3 == 2:
        timer = draw_timer(rng, f"ZT{seed:03d}")
        return Board(timer.text(), timer.toml)
    good = draw_board(rng, draw_part(rng, f"ZZ{seed:03d}"))
    return Board(good.text(), good.spec.toml())


@cache
def board(name: str) -> Board:
    """A board by its name: of a sample, or `made N`."""
    kind, _, seed = name.partition(" ")
    return generated(int(seed)) if kind == "made" else sample(kind)


SAMPLES = tuple(sorted(path.stem for path in STATION.glob("*.cir")))
MADE = tuple(f"made {seed}" for seed in (5000, 5001, 5002, 5003, 5005, 5007))
BOARDS = (*SAMPLES, *MADE)


class Card(NamedTuple):
    """One statement of a netlist, its continuation lines with it, and the line that it begins on.

    `kind`: `title`, `element`, `statement` (an `*@` line), `remark`, `dot`, `subcircuit` (all of it), `end`.
    """

    kind: str
    text: str
    line: int


def cards(text: str) -> list[Card]:
    """The netlist taken apart; joined with line ends it is the same text."""
    lines = text.rstrip("\n").split("\n")
    found: list[Card] = []
    inside = False
    for number, line in enumerate(lines, 1):
        last = found[-1] if found else None
        if last is not None and (inside or (line.startswith("+") and last.kind != "title")):
            found[-1] = last._replace(text=f"{last.text}\n{line}")
            inside = inside and not line.lower().startswith(".ends")
        else:
            kind = _kind(line, number)
            inside = kind == "subcircuit"
            found.append(Card(kind, line, number))
    return found


def _kind(line: str, number: int) -> str:
    if line.startswith("*@"):
        return "statement"
    if number == 1:
        return "title"
    if not line.strip() or line.startswith("*"):
        return "remark"
    if line.lower().startswith(".subckt"):
        return "subcircuit"
    if line.lower().rstrip() == ".end":
        return "end"
    return "dot" if line.startswith(".") else "element"


def text_of(found: Iterable[Card]) -> str:
    """The netlist of cards."""
    return "\n".join(card.text for card in found) + "\n"


class Words(NamedTuple):
    """An element's line: the places of its name and of its nets in its text."""

    name: tuple[int, int]
    nets: tuple[tuple[int, int], ...]


def words(card: Card) -> Words:
    """Where the name and the nets of an element stand."""
    body = card.text[: _end(card.text)]
    places = [match.span() for match in re.finditer(r"[^\s+]\S*|\+\S+", body)]
    letter = card.text[0].lower()
    if letter == "x":
        return Words(places[0], tuple(places[1:-1]))
    return Words(places[0], tuple(places[1 : 1 + LEADS[letter]]))


def _end(text: str) -> int:
    """Where an element's names end: at its parameters or at a remark."""
    found = re.search(r"\s[;$]\s|\s\+?\s*PARAMS:|\n", text)
    return found.start() if found else len(text)


def name_of(card: Card) -> str:
    """An element's name."""
    start, end = words(card).name
    return card.text[start:end]


def nets_of(card: Card) -> tuple[str, ...]:
    """An element's nets in order."""
    return tuple(card.text[start:end] for start, end in words(card).nets)


def renamed(found: Iterable[Card], nets: Mapping[str, str], elements: Mapping[str, str]) -> list[Card]:
    """The cards with nets and elements called otherwise, by their old names in lower case."""
    return [_renamed(card, nets, elements) for card in found]


def _renamed(card: Card, nets: Mapping[str, str], elements: Mapping[str, str]) -> Card:
    if card.kind == "statement":
        return card._replace(text=stated_otherwise(card.text, nets, elements))
    if card.kind == "dot" and card.text.lower().startswith(".global"):
        return card._replace(text=" ".join(nets.get(w.lower(), w) for w in card.text.split()))
    if card.kind != "element":
        return card
    at = words(card)
    text = card.text
    for (start, end), names in sorted([(at.name, elements), *((net, nets) for net in at.nets)], reverse=True):
        text = text[:start] + names.get(text[start:end].lower(), text[start:end]) + text[end:]
    return card._replace(text=text)


def stated_otherwise(text: str, nets: Mapping[str, str], elements: Mapping[str, str]) -> str:
    """Statements with nets and elements called otherwise; a name that is no plain word goes in quotes."""
    return "\n".join(_stated(line, nets, elements) for line in text.split("\n"))


def _stated(line: str, nets: Mapping[str, str], elements: Mapping[str, str]) -> str:
    said = line.split(" ")
    for at in range(1, len(said)):
        names = nets if said[at - 1] in ABOUT_NETS else elements if said[at - 1] in ABOUT_ELEMENTS else {}
        head, dot, rest = said[at].strip('"').partition(".")
        if head.lower() in names:
            said[at] = f'"{names[head.lower()]}{dot}{rest}"'
    return " ".join(said)


def elements(found: Iterable[Card]) -> list[Card]:
    """The cards that are elements."""
    return [card for card in found if card.kind == "element"]


def with_values(text: str, change: Callable[[str, str], str]) -> str:
    """The netlist with the values of resistors and capacitors written as `change(name, value)` says."""
    found = cards(text)
    for at, card in enumerate(found):
        if card.kind == "element" and card.text[0].lower() in "rc":
            end = words(card).nets[-1][1]
            value = re.compile(r"\s+(\S+)").match(card.text, end)
            if value is not None and value[1][0].isdigit():
                start, stop = value.span(1)
                new = change(name_of(card), value[1])
                found[at] = card._replace(text=card.text[:start] + new + card.text[stop:])
    return text_of(found)
