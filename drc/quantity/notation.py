"""How values are written on netlist lines: scale suffixes, letter as decimal point, ratings, not fitted.

The scale factors are those of the SPICE family (T G MEG K MIL M U N P F, letter case ignored, letters
after them ignored); the letter as decimal point and the tolerance letters are those of IEC 60062.
"""

import re
from typing import Literal, NamedTuple

MChoice = Literal["report", "milli", "mega"]
"""What a capital M on a resistor means; `report` reads it by the rule of the language and says so."""

_EXPONENTS = {
    "t": 12,
    "g": 9,
    "meg": 6,
    "k": 3,
    "m": -3,
    "u": -6,
    "µ": -6,
    "μ": -6,
    "n": -9,
    "p": -12,
    "f": -15,
}

POINT_LETTERS = {
    "R": {"r": 0, "k": 3, "m": 6, "g": 9, "l": -3, "ω": 0},
    "C": {"p": -12, "n": -9, "u": -6, "µ": -6, "μ": -6, "m": -3, "f": 0},
    "L": {"p": -12, "n": -9, "u": -6, "µ": -6, "μ": -6, "m": -3, "h": 0},
}
"""Decimal exponents of the letters that may stand for the decimal point, by kind of element (IEC 60062)."""

TOLERANCE_LETTERS = {
    "A": 0.0005, "B": 0.001, "C": 0.0025, "D": 0.005, "F": 0.01, "G": 0.02, "J": 0.05, "K": 0.1, "M": 0.2,
}  # fmt: skip
"""Relative tolerance by letter (IEC 60062; values second-hand from published code tables)."""

NOT_FITTED = frozenset({"dnp", "dnf", "nf", "dni", "nofit", "no-fit", "not-fitted", "unfitted", "nc", "n.f."})
"""Words that stand for a part that is drawn and not assembled (common practice, no source)."""

_OHM_SIGN = "\u2126"
"""The ohm sign as a code point of its own, beside the capital omega."""

_NUMBER = r"[+-]?(?:\d++\.?\d*+|\.\d+)(?:[eE][+-]?\d+)?"
"""Digits, and letters behind them, are taken whole: a million before a sign that fits nowhere would be split
in every way."""

_PLAIN = re.compile(rf"({_NUMBER})((?:[^\W\d_]++/?[^\W\d_]*+)?)\Z")
_POINTED = re.compile(r"(\d*)([RrKkMmGgLlpPnNuUµμfFhHΩω])(\d+)([A-Za-z]?)(?:[oO][hH][mM][sS]?|Ω)?\Z")
_ZERO = re.compile(r"(\d+)[RrΩ]\Z")
_DECIMAL_COMMA = re.compile(r"((?<!\d)[+-]?\d++),(\d+)(?=[^\d,]|\Z)")
_BETWEEN = re.compile(r"\s*(?:/|;|_|\|)\s*|,\s+|,(?=\D)|\s+")
_PERCENT = re.compile(r"(?:\+/?-|±)?(\d+(?:\.\d*)?|\.\d+)\s*%\Z")
_RATING = re.compile(r"\d+(?:[.,]\d+)?\s*[kmµμu]?(?:V|W|A|VDC|VAC|v|w)(?:dc|ac|DC|AC)?\Z")
_TAIL_UNITS = re.compile(r"(?:ohms?|Ω|f|h|v|a|s|hz|farads?|henry|volts?|amps?|sec)?\Z", re.IGNORECASE)


class Notation(NamedTuple):
    """A value as written. `value` is SI, None where the text is no value: then `because` says why.

    `tolerance` is relative, (low, high); `both_m` marks a capital M that could be milli or mega;
    `pointed` marks a letter standing for the decimal point.
    """

    value: float | None
    because: str = ""
    tolerance: tuple[float, float] | None = None
    fitted: bool = True
    rating: str = ""
    both_m: bool = False
    pointed: bool = False


def scaled_number(text: str) -> float | None:
    """A number of the SPICE family: `1k`, `1MEGHz`, `2.2uF`, `1e3Ohm`; None if it does not begin as one.

    Letters that are no scale factor are ignored, and so is what follows a scale factor; digits after
    letters make it no number. Source: SPICE user's guide, "Input format".
    """
    match = _PLAIN.match(text)
    if match is None:
        return None
    return _scale(match.group(1), match.group(2))


def _scale(number: str, letters: str) -> float:
    """The number times the scale factor that the letters begin with, rounded once."""
    low = letters.lower()
    if low.startswith("mil") and not low.startswith("milli"):
        return float(number) * 25.4e-6
    suffix = "meg" if low.startswith("meg") else low[:1]
    exponent = _EXPONENTS.get(suffix)
    if exponent is None:
        return float(number)
    mantissa, _, power = number.lower().partition("e")
    return float(f"{mantissa}e{int(power or 0) + exponent}")


def percent(text: str) -> tuple[float, float] | None:
    """A relative tolerance written in percent (`1%`, `+/-5%`), as (low, high); None if it is none."""
    match = _PERCENT.match(text.strip())
    if match is None:
        return None
    share = float(f"{match.group(1)}e-2")
    return (-share, share)


def pointed_number(text: str, kind: str) -> Notation | None:
    """A value with a letter as decimal point (`4k7`, `2R2`, `R47`, `0R`), for kind R, C or L (IEC 60062)."""
    letters = POINT_LETTERS.get(kind)
    if letters is None:
        return None
    zero = _ZERO.match(text)
    if zero is not None and kind == "R":
        return Notation(float(zero.group(1)))
    match = _POINTED.match(text)
    if match is None:
        return None
    before, letter, after, mark = match.groups()
    exponent = letters.get(letter.lower())
    if exponent is None or (not before and letter not in "RrL"):
        return None
    if kind == "R" and letter.lower() in "pnuµμ":
        return None
    tolerance = _tolerance_mark(mark, kind)
    if mark and tolerance is None and not _TAIL_UNITS.match(mark):
        return None
    both = kind == "R" and letter == "M"
    value = float(f"{before or '0'}.{after}e{exponent}")
    return Notation(value, tolerance=tolerance, pointed=True, both_m=both)


def _tolerance_mark(mark: str, kind: str) -> tuple[float, float] | None:
    """The tolerance of a trailing letter where it is unambiguous: F and C on a capacitor may be a unit."""
    if not mark or not mark.isupper() or (kind == "C" and mark in "ABCDF"):
        return None
    share = TOLERANCE_LETTERS.get(mark)
    return None if share is None else (-share, share)


def read_value(text: str, kind: str, m_means: MChoice = "report") -> Notation:
    """What one piece of text on an element line says of the value of an R, C or L element.

    Takes scale suffixes, IEC 60062, a decimal comma, a rating or tolerance after a slash or comma,
    and the words for a part that is not fitted. Anything else is no value, and says so.
    """
    body = text.strip().strip('"').replace("+/-", "±").replace(_OHM_SIGN, "Ω")
    if not body:
        return Notation(None, "no value is given")
    if body.lower() in NOT_FITTED:
        return Notation(None, "not fitted", fitted=False)
    pieces = [p for p in _BETWEEN.split(_DECIMAL_COMMA.sub(r"\1.\2", body)) if p]
    if len(pieces) > 1 and scaled_number(pieces[0]) is not None and _is_unit(pieces[1]):
        pieces[:2] = [pieces[0] + pieces[1]]
    found = _first_value(pieces[0], kind, m_means) if pieces else Notation(None)
    rest = pieces[1:]
    if pieces and pieces[0].lower() in NOT_FITTED and len(pieces) > 1:
        found, rest = _first_value(pieces[1], kind, m_means)._replace(fitted=False), pieces[2:]
    if found.value is None:
        return Notation(None, f"'{body}' is no value", fitted=found.fitted)
    return _with_extras(found, rest, body)


def _is_unit(piece: str) -> bool:
    """Whether a piece after a space is a scale factor with or without a unit, as in `4.7 uF`."""
    return (
        re.fullmatch(r"(?:[TGKMkmuµμnpf]|meg|Meg|MEG)?(?:ohms?|Ohms?|OHMS?|Ω|F|H|V|A|R)?", piece) is not None
    )


def _first_value(piece: str, kind: str, m_means: MChoice) -> Notation:
    """The value of the leading piece: IEC 60062 first, then the scale suffixes."""
    pointed = pointed_number(piece, kind)
    if pointed is not None:
        return _settle_m(pointed, m_means)
    match = _PLAIN.match(piece.replace("Ω", "ohm").replace("±", ""))
    if match is None:
        return Notation(None)
    number, letters = match.groups()
    value = _scale(number, letters)
    mega = kind == "R" and letters[:1] == "M" and letters[:3].lower() not in ("meg", "mil")
    if not mega:
        return Notation(value)
    if m_means == "mega":
        return Notation(float(number) * 1e6)
    return Notation(value, both_m=m_means == "report")


def _settle_m(found: Notation, m_means: MChoice) -> Notation:
    """A letter as decimal point is always mega; only the plain reading of the line would be milli."""
    return found if m_means == "report" else found._replace(both_m=False)


def _with_extras(found: Notation, rest: list[str], body: str) -> Notation:
    """Adds what the pieces after the value say: a tolerance, a rating, not fitted; else it is no value."""
    rating, tolerance, fitted = found.rating, found.tolerance, found.fitted
    for piece in rest:
        share = percent(piece)
        if share is not None:
            tolerance = share
        elif piece.lower() in NOT_FITTED:
            fitted = False
        elif _RATING.match(piece) or re.fullmatch(r"[A-Za-z0-9.+-]{1,12}", piece):
            rating = f"{rating} {piece}".strip()
        else:
            return Notation(None, f"'{body}' is no value", fitted=fitted)
    return found._replace(tolerance=tolerance, rating=rating, fitted=fitted)
