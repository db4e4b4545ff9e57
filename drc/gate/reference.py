"""The commands that tell what is known: parts, rules and facts."""

import sys
from collections.abc import Iterable, Sequence

from drc.blocks.parts import find_part
from drc.gate.output import page_width, print_page
from drc.gate.project import Request, open_reference
from drc.gate.refusal import refused
from drc.intent.wording import did_you_mean

Named = str | None


def parts(name: Named, files: Sequence[str], settings: Named) -> int:
    """Prints all parts, or one of them. InputError where there is none of that name."""
    from drc.report.reference import part_list, part_page  # not part of a review

    known, _ = open_reference(Request("", parts=files, settings=settings, judged=False))
    width = page_width(sys.stdout)
    if name is None:
        print_page(part_list((known.by_name[key] for key in known.by_name), width), sys.stdout)
        return 0
    part = find_part(known, name)
    if part is None:
        raise _nothing("part", name, known.by_name)
    print_page(part_page(part, width), sys.stdout)
    return 0


def rules(name: Named, files: Sequence[str], settings: Named) -> int:
    """Prints all rules, or one with its cases reviewed. InputError where there is none of that name."""
    from drc.gate.twins import shown_by  # not part of a review
    from drc.report.reference import rule_list, rule_page

    known, book = open_reference(Request("", rules=files, settings=settings))
    width = page_width(sys.stdout)
    if name is None:
        print_page(rule_list(book, width), sys.stdout)
        return 0
    found = [rule for rule in book.rules if rule.name == name]
    if not found:
        raise _nothing("rule", name, (rule.name for rule in book.rules))
    print_page(rule_page(found[0], width, shown_by(found[0], book, known)), sys.stdout)
    return 0


def facts() -> int:
    """Prints the rule language and the catalogue of facts."""
    from drc.facts.catalogue import ENTRIES  # not part of a review
    from drc.report.reference import fact_list, language_page

    print_page(language_page(), sys.stdout)
    print_page(fact_list(ENTRIES, page_width(sys.stdout)), sys.stdout)
    return 0


def _nothing(kind: str, name: str, known: Iterable[str]) -> Exception:
    hint = did_you_mean(name, known) or f"; `tickproof {kind}s` lists all"
    return refused("", f'found "{name}", expected the name of a {kind}{hint}')
