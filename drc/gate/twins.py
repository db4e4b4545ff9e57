"""A rule's twin boards, really reviewed, as an explanation shows them."""

from drc.blocks.find import find_blocks
from drc.blocks.model import Parts
from drc.facts.catalogue import open_book
from drc.intent.read import read_annotations
from drc.judge.assess import assess
from drc.judge.rule import Rule, RuleBook, TwinCase
from drc.netlist.read import read_text


def shown_by(rule: Rule, book: RuleBook, parts: Parts) -> list[tuple[str, str]]:
    """Each case of a rule as (label, text): the broken board, what is found, the edit, what then holds."""
    lines = []
    for case in rule.cases:
        lines.append(("breaks", _title(case)))
        lines += [("", line) for line in case.board.split("\n")[1:] if line.strip()]
        lines.append(("gives", _verdict(rule, case.board, book, parts)))
        lines.append(("edit", f"{case.old} to {case.new}"))
        lines.append(("gives", _verdict(rule, case.mended, book, parts)))
    return lines


def _title(case: TwinCase) -> str:
    """The board's title, and the case's label where it has one."""
    title = case.board.split("\n", 1)[0].strip()
    return f"{title} ({case.label})" if case.label else title


def _verdict(rule: Rule, board: str, book: RuleBook, parts: Parts) -> str:
    """What the rule makes of a board: its findings, or its verdict where there is none."""
    circuit = read_text(board, "case.cir")
    intent = read_annotations(circuit.annotations)
    judged = assess(open_book(find_blocks(circuit, parts), intent), book)
    found = [f"{f.verdict}, {f.level}: {f.message}" for f in judged.findings if f.rule == rule.name]
    verdicts = dict.fromkeys(entry.verdict for entry in judged.tally if entry.rule == rule.name)
    return "; ".join(found or verdicts or ["nothing to report"])
