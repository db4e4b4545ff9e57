"""Rules in words, and the rule language in one page."""

import re

from drc.facts.model import Entry
from drc.judge.rule import Require, Rule, Tree
from drc.quantity.span import exact
from drc.quantity.text import format_span
from drc.quantity.unit import Dimension, Unit, unit_of

_LOOSEST_FIRST = (
    ("or",), ("and",), ("not",), ("compare", "within", "is", "is_not", "one_of"),
    ("from_to", "around", "around_relative"), ("plus", "minus"), ("times", "over"), ("negative",),
)  # fmt: skip
_TIGHTNESS = {kind: level for level, kinds in enumerate(_LOOSEST_FIRST) for kind in kinds}
_CHAINED = {"or", "and", "plus", "minus", "times", "over"}
"""What may follow itself without brackets, from the left."""

_BARE = re.compile(r"[a-z][a-z0-9_]*(?:-[a-z0-9_]+)*")
_SIGNS = {
    "or": "or", "and": "and", "within": "within", "is": "is", "is_not": "is not", "from_to": "..",
    "around": "+/-", "around_relative": "+/-", "plus": "+", "minus": "-", "times": "*", "over": "/",
}  # fmt: skip


def describe_rule(rule: Rule) -> list[tuple[str, str]]:
    """A rule as (label, text) lines, in the order a reader asks: what, for what, when, how judged, why."""
    lines = [("rule", rule.name), ("title", rule.title), ("for", subject_text(rule))]
    lines += [("where", written(tree)) for tree in rule.wheres]
    lines += [(f"knob {name}", format_span(span)) for name, span in rule.knobs.items()]
    lines += [("require", require_text(require)) for require in rule.requires]
    if rule.subject == "line":
        lines.append(("level", rule.line_level or "as the trouble itself has it"))
    else:
        lines.append(("unproven", rule.unproven))
    lines += [("advice", rule.advice), ("remedies", ", ".join(rule.remedies)), ("because", rule.because)]
    lines += [("source", rule.source), ("defined at", str(rule.place))]
    return [line for line in lines if line[1]]


def subject_text(rule: Rule) -> str:
    """What a rule speaks of, as its `for` clause has it."""
    text: str = rule.subject
    if rule.statement:
        text += f" {rule.statement}"
    if rule.functions:
        text += f" of {', '.join(rule.functions)}"
    return text + (f" with {', '.join(rule.roles)}" if rule.roles else "")


def require_text(require: Require) -> str:
    """A require as it could be written."""
    guard = "" if require.guard is None else f" when {written(require.guard)}"
    return f"{written(require.condition)}{guard} else {require.level} at-risk {require.at_risk}"


def written(tree: Tree) -> str:
    """A checked expression as it could be written, lets put in place."""
    kind = tree[0]
    if kind == "quantity":
        return format_span(exact(tree[2], unit_of(Dimension(*tree[3]))))
    if kind in ("fact", "knob"):
        return str(tree[2])
    if kind == "word":
        return _word(tree[2])
    if kind in ("known", "stated"):
        return f"{kind} {tree[2]}"
    if kind == "call":
        return f"{tree[2]}({', '.join(written(part) for part in tree[3:])})"
    own = _TIGHTNESS[kind]
    if kind in ("not", "negative"):
        return f"{'not ' if kind == 'not' else '-'}{_inside(tree[2], own)}"
    if kind == "compare":
        return f"{_inside(tree[3], own + 1)} {tree[2]} {_inside(tree[4], own + 1)}"
    left = _inside(tree[2], own if kind in _CHAINED else own + 1)
    if kind == "one_of":
        return f"{left} is one of ({', '.join(_inside(part, own + 1) for part in tree[3:])})"
    right = _percent(tree[3]) if kind == "around_relative" else _inside(tree[3], own + 1)
    return f"{left} {_SIGNS[kind]} {right}"


def _inside(tree: Tree, tightness: int) -> str:
    """A part of an expression, in brackets where it binds less tightly than its surroundings."""
    text = written(tree)
    return f"({text})" if _TIGHTNESS.get(tree[0], tightness) < tightness else text


def _word(text: str) -> str:
    """A name, in quotes where it could not be read without."""
    if _BARE.fullmatch(text):
        return text
    escaped = re.sub(r'(["\\])', r"\\\1", text)
    return f'"{escaped}"'


def _percent(tree: Tree) -> str:
    """A literal ratio as the percentage that it was written as."""
    return f"{format_span(exact(100 * tree[2]))}%"


def kind_text(entry: Entry) -> str:
    """The unit of a fact's value, or what else it is."""
    if isinstance(entry.kind, Unit):
        return entry.kind.symbol or "number"
    return {"name": "name", "truth": "yes or no", "any": "as expected"}[entry.kind]


LANGUAGE = """The rule language

  rule NAME
      title    "what holds when all is well"
      for      block [of FUNCTION, ...] [with ROLE, ...]
               | statement [KIND] | pair | net | part | board
               | line [else LEVEL]
      where    CONDITION          false: does not apply; unknown: unproven
      knob     NAME = QUANTITY    a house book may turn it
      let      NAME = EXPRESSION
      require  CONDITION [when CONDITION] else LEVEL [at-risk LEVEL]
      unproven LEVEL              warning, if not given
      say      [at-risk | unproven] "text with {FACT}, {low FACT}, {block}"
      advice   "what to do"
      remedy   NAME, ...
      because  "..."              every rule says why
      source   "..."              and where that is written
      breaks   [fail | at-risk | unproven] ["label"]
          | a board that breaks it, a line each
      edit     "text in the board" to "text that mends it"

A level is error, warning or note. Conditions, from the loosest binding to
the tightest:

  a or b
  a and b
  not a
  x < y   x <= y   x > y   x >= y   x is y   x is not y   x is one of (a, b)
  x within LOW .. HIGH   x within Q +/- W
  x + y   x - y
  x * y   x / y
  -x
  10 kohm   FACT   KNOB   LET   "name"   known FACT   stated FACT
  abs(x)   min(x, y)   max(x, y)   low(x)   nominal(x)   high(x)

Minus needs blanks round it, since names hold hyphens. Quantities have units:
volts never meet ohms, and steps and points (of duty) are units of their own.
A condition is judged at nominal and over the span. Nominal false fails;
unknown is unproven; nominal true but not always is at-risk; else it passes.
Where a fact comes as labelled cases, the condition must hold in each. known
and stated are never unknown themselves; a stated fact rests on no assumption.
The facts of a pair's two blocks have upstream. or downstream. before them.

A house book may also hold

  turn NAME KNOB = QUANTITY
  level NAME [at-risk | unproven] LEVEL
  off NAME because "..."
  replace NAME ... (the clauses of a rule)"""
