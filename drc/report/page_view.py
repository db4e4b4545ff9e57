"""From a review to what its page shows: chosen, ordered and put in words; the template only sets it out."""

from collections.abc import Iterable, Mapping, Sequence

from drc.facts.model import Fact, Input
from drc.judge.model import TallyEntry
from drc.outcome import BlockOutcome, BoardOutcome, Review, RuleText, Ruling
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.report.drawing_bars import bars
from drc.report.drawing_chains import chain_drawing, in_words
from drc.report.drawing_ladder import ladder
from drc.report.drawing_schematic import described, schematic
from drc.report.drawing_timing import timing
from drc.report.made_under import provenance
from drc.report.page_model import (
    BlockView,
    BoardView,
    Derived,
    Found,
    Matrix,
    PageView,
    Row,
    Source,
    Times,
    Wanted,
)
from drc.report.tally import COUNTED, counted_as, verdict_counts
from drc.report.text import counted, value_text
from drc.trouble import LEVELS, Place

_VERDICTS = ("fail", "at-risk", "unproven")

MARKS: Mapping[str, str] = {
    "fail": "\N{BALLOT X}", "at-risk": "\N{WHITE UP-POINTING TRIANGLE}", "unproven": "?",
    "pass": "\N{CHECK MARK}", "pass-on-assumption": "(\N{CHECK MARK})", "not-applicable": "\N{EN DASH}",
}  # fmt: skip
"""A sign beside each verdict's word; it never stands alone."""


def page_view(review: Review) -> PageView:
    """Everything that the page says, in the order it says it."""
    rules = {rule.name: rule for rule in review.rules}
    entries = tuple(entry for board in review.boards for entry in board.tally)
    return PageView(
        review.passed,
        _reasons(review),
        review.gate,
        _counts(entries),
        tuple(_board(board, f"b{number}", rules) for number, board in enumerate(review.boards, 1)),
        (*provenance(review, "review"), ("rules in force", str(len(review.rules)))),
        tuple((source.path, source.kind, source.sha256) for source in review.inputs),
    )


def _reasons(review: Review) -> str:
    """What the gate's verdict rests on."""
    rulings = [ruling for board in review.boards for ruling in board.rulings]
    new = [ruling for ruling in rulings if ruling.state == "new"]
    told = [counted(sum(r.finding.level == level for r in new), level) for level in reversed(LEVELS)]
    told += [
        f"{number} {state}"
        for state in ("known", "accepted")
        if (number := sum(ruling.state == state for ruling in rulings))
    ]
    unread = sum(board.error is not None for board in review.boards)
    return ", ".join(told + ([f"{counted(unread, 'board')} not read"] if unread else []))


def _counts(entries: Iterable[TallyEntry]) -> tuple[tuple[str, str, int], ...]:
    """(verdict, mark, how many) of every kind."""
    counts = verdict_counts(entries)
    return tuple((name, MARKS[name], counts[name]) for name in COUNTED)


def _board(board: BoardOutcome, anchor: str, rules: Mapping[str, RuleText]) -> BoardView:
    """One board."""
    ordered = sorted(board.rulings, key=_gravity)
    found = [_found(ruling, f"{anchor}-f{n}", rules) for n, ruling in enumerate(ordered, 1)]
    return BoardView(
        anchor,
        board.path,
        board.sha256,
        ", ".join(
            counted(number, what)
            for number, what in (
                (len(board.blocks), "block"),
                (board.elements, "element"),
                (board.nets, "net"),
            )
        ),
        board.error or "",
        "not read" if board.error is not None else _state(found),
        _counts(board.tally),
        tuple(found),
        tuple(_block(outcome, f"{anchor}-k{n}", found) for n, outcome in enumerate(board.blocks, 1)),
        chain_drawing(board, f"{anchor}-chains"),
        tuple(in_words(chain) for chain in board.chains),
        tuple(f"{block.path} ({block.part.name}): {block.alike}" for block in board.alike),
        _matrix(board),
    )


def _gravity(ruling: Ruling) -> tuple[bool, int, int, str, int]:
    """Open findings first, then by level, verdict and place."""
    finding = ruling.finding
    verdict = _VERDICTS.index(finding.verdict) if finding.verdict in _VERDICTS else len(_VERDICTS)
    place = finding.place
    return (ruling.state != "new", -LEVELS.index(finding.level), verdict, place.path, place.line)


def _state(found: Sequence[Found]) -> str:
    """What a reader must know first: how many findings of each level are open."""
    told = [
        counted(number, level)
        for level in reversed(LEVELS)
        if (number := sum(one.level == level and one.state == "new" for one in found))
    ]
    settled = sum(one.state != "new" for one in found)
    return ", ".join(told + ([f"{settled} settled"] if settled else [])) or "nothing found"


def _found(ruling: Ruling, anchor: str, rules: Mapping[str, RuleText]) -> Found:
    """One finding."""
    finding, terms = ruling.finding, ruling.acceptance
    rule = rules.get(finding.rule)
    accepted = ""
    if terms is not None:
        by = f" by {terms.by}" if terms.by else ""
        accepted = f"accepted{by}{f' until {terms.until}' if terms.until else ''}: {terms.because}"
    text = " ".join((finding.rule, finding.message, finding.subject, str(finding.place)))
    return Found(
        anchor,
        finding.level,
        finding.verdict,
        MARKS[finding.verdict],
        finding.rule,
        rule.title if rule else "",
        rule.because if rule else "",
        finding.message,
        str(finding.place),
        finding.subject,
        finding.block or "",
        ruling.state,
        accepted,
        tuple(_row(name, fact) for name, fact in finding.evidence.items()),
        _sources(entry for fact in finding.evidence.values() for entry in fact.inputs),
        finding.missing,
        tuple(
            (", ".join(f"{e.element}: {e.token.text} to {e.new}" for e in remedy.edits), remedy.why)
            for remedy in finding.remedies
        ),
        finding.advice,
        finding.excerpt,
        tuple(str(place) for place in finding.others),
        text.casefold(),
    )


def _row(name: str, fact: Fact) -> Row:
    return Row(name, value_text(fact), fact.law)


def _sources(inputs: Iterable[Input]) -> tuple[Source, ...]:
    """Inputs without repeats, in order."""
    return tuple(
        Source(entry.label, entry.value, entry.origin, _place(entry.place)) for entry in dict.fromkeys(inputs)
    )


def _place(place: Place | None) -> str:
    return "" if place is None else str(place)


def _block(outcome: BlockOutcome, anchor: str, found: Sequence[Found]) -> BlockView:
    """One block's section."""
    block, facts = outcome.block, outcome.facts
    own = tuple(one for one in found if one.block == block.path)
    return BlockView(
        anchor,
        block.path,
        block.part.name,
        block.part.title,
        block.part.function,
        block.found_by,
        str(block.place),
        _state(own),
        tuple((role, ", ".join(net.name for net in nets)) for role, nets in block.pins.items()),
        tuple(
            Wanted(e.text, str(e.place), value_text(e.wanted), value_text(e.actual)) for e in outcome.expected
        ),
        _times(facts),
        tuple(
            Row(_quantity(name), value_text(fact))
            for name, fact in facts.items()
            if _plain_time(name) and fact.span is None
        ),
        schematic(outcome, f"{anchor}-s"),
        described(outcome) if outcome.surroundings is not None else "",
        ladder(outcome, f"{anchor}-l"),
        tuple(Row(name.removeprefix("strap."), value_text(facts[name])) for name in _STRAP if name in facts),
        outcome.strap_draws.note if outcome.strap_draws is not None else "",
        timing(outcome, f"{anchor}-t"),
        bars(outcome, f"{anchor}-r"),
        _derived(facts),
        tuple(sorted({text for fact in facts.values() for text in fact.assumptions})),
        own,
        " ".join((block.path, block.part.name, block.part.function)).casefold(),
    )


_STRAP = ("strap.ratio", "strap.code", "strap.prescale", "strap.polarity", "strap.margin", "strap.misread")


def _plain_time(name: str) -> bool:
    """Whether a fact is a time by its extremes: `timing.period`, not `timing.period.rss`."""
    return name.startswith("timing.") and name.count(".") == 1


def _times(facts: Mapping[str, Fact]) -> tuple[Times, ...]:
    """Every known time, by each method."""
    rows = []
    for name, fact in facts.items():
        span = fact.span
        if not _plain_time(name) or span is None:
            continue
        ends = [_ends(facts[n].span if (n := name + suffix) in facts else None) for suffix in _METHODS]
        nominal = format_span(Span(span.middle, None, span.middle, span.unit))
        rows.append(Times(_quantity(name), nominal, *ends))
    return tuple(rows)


def _derived(facts: Mapping[str, Fact]) -> tuple[Derived, ...]:
    """Every fact with its derivation, one that is told already named instead of told again."""
    told: dict[tuple[Source, ...], str] = {}
    rows = []
    for name, fact in facts.items():
        sources = _sources(fact.inputs)
        rows.append(Derived(_row(name, fact), sources, told.get(sources, "") if len(sources) > 1 else ""))
        told.setdefault(sources, name)
    return tuple(rows)


def _quantity(name: str) -> str:
    """A time's name as words."""
    return name.removeprefix("timing.").replace("_", " ")


_METHODS = ("", ".rss", ".monte_carlo")


def _ends(span: Span | None) -> str:
    return "" if span is None else format_span(span._replace(nominal=None))


def _matrix(board: BoardOutcome) -> Matrix:
    """Rules by blocks, one on expectations a row a quantity; what is about no block is listed beneath."""
    columns = tuple(outcome.block.path for outcome in board.blocks)
    cells: dict[str, dict[str, str]] = {}
    others = []
    for entry in board.tally:
        word = counted_as(entry)
        block, _, what = entry.subject.partition(" ")
        if block in columns and not what.startswith("->"):
            cells.setdefault(f"{entry.rule}: {what}" if what else entry.rule, {})[block] = word
        else:
            others.append((entry.rule, entry.subject, word, MARKS[word], ", ".join(entry.missing)))
    idle = tuple(rule for rule, by in cells.items() if set(by.values()) == {"not-applicable"})
    rows = tuple(
        (rule, tuple((by[c], MARKS[by[c]]) if c in by else ("", "") for c in columns))
        for rule, by in cells.items()
        if rule not in idle
    )
    return Matrix(columns, rows, idle, tuple(others))
