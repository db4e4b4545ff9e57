"""Which block acts on which, drawn as text: one line a pair, and beneath it what is handed on."""

from collections.abc import Callable, Mapping, Sequence

from drc.outcome import BlockOutcome, BoardOutcome, ChainOutcome
from drc.quantity.text import format_value
from drc.report.brief import TIMES
from drc.report.text import Piece, Row, harmless, row, wrapped

HANDED_ON = (("every", "pair.period"), ("high", "pair.high"), ("low", "pair.low"), ("bounce", "pair.bounce"))
"""What is told of the pulses that arrive, nominal values."""

_INDENT = 6


def chains(boards: Sequence[BoardOutcome], width: int, shown: Callable[[str], str]) -> list[Row]:
    """The chains of each board as `XU1 HA20 6 s -> trigger -> XU2 HA40 600 ms`, what arrives beneath."""
    rows: list[Row] = []
    for board in boards:
        rows.append(row(Piece(harmless(shown(board.path)), "heading")))
        if board.error is not None:
            rows.append(row("  ", Piece("not read", "error"), f"  {harmless(board.error)}"))
        elif not board.chains:
            rows.append(row("  ", Piece("no chain: no block acts on another", "quiet")))
        else:
            blocks = {outcome.block.path: outcome for outcome in board.blocks}
            for chain in board.chains:
                rows += _pair(chain, blocks, width)
        rows.append(())
    return rows[:-1]


def _pair(chain: ChainOutcome, blocks: Mapping[str, BlockOutcome], width: int) -> list[Row]:
    """The line of a pair, and those beneath it."""
    ends = (_block(chain.driver, blocks), _block(chain.driven, blocks))
    head, *rest = wrapped(f"{ends[0]} -> {chain.role} -> {ends[1]}", width - 2)
    rows = [row("  ", head), *(row("    ", line) for line in rest)]
    for note in (_way(chain), _pulses(chain), _loop(chain)):
        if note:
            lines = wrapped(note, width - _INDENT)
            rows += [row(" " * _INDENT, Piece(line, "quiet")) for line in lines]
    return rows


def _block(path: str, blocks: Mapping[str, BlockOutcome]) -> str:
    """A block by path, part, and the first of its times that is known."""
    outcome = blocks[path]
    words = [path, outcome.block.part.name]
    for name in TIMES[outcome.block.part.function]:
        fact = outcome.facts.get(f"timing.{name}")
        if fact is not None and fact.span is not None:
            words.append(format_value(fact.span.middle, fact.span.unit))
            break
    return harmless(" ".join(words))


def _way(chain: ChainOutcome) -> str:
    """The elements between, and what they make of the level; nothing where the way is direct."""
    if not chain.through:
        return ""
    sense = {True: ", inverted", False: "", None: ", inverted or not"}[chain.inverted]
    return harmless(f"through {', '.join(chain.through)}") + sense


def _pulses(chain: ChainOutcome) -> str:
    """What arrives, as far as it is known."""
    told = []
    for word, name in HANDED_ON:
        span = chain.facts[name].span if name in chain.facts else None
        if span is not None:
            told.append(f"{word} {format_value(span.middle, span.unit)}")
    return ", ".join(told)


def _loop(chain: ChainOutcome) -> str:
    """The loop that the pair is part of."""
    return harmless(f"in a loop: {', '.join(chain.loop)}") if chain.loop else ""
