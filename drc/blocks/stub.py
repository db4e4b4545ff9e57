"""The part-file table of a part that no file describes yet, to be filled in."""

from drc.blocks.model import TIMING_FUNCTIONS, Block

_BARE = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-")


def part_file_stub(block: Block) -> str:
    """The TOML table to paste into a part file for a block's part.

    What is known is filled in; `?` is to be replaced, and is refused where it is not. Ratings are comments:
    what stays out is unknown, and is reported as unproven.
    """
    part = block.part
    choices = " ".join(TIMING_FUNCTIONS)
    function = "?" if part.function == "unknown" else part.function
    lines = [
        f"[part.{_key(part.name)}]",
        'title    = ""',
        'source   = ""                    # where these figures come from: document and revision',
        f"function = {_text(function)}".ljust(33) + f"# {choices}",
        f"pins     = [{', '.join(_text(role) for role in part.pins)}]",
    ]
    header = block.element.header
    if header and len(header) == len(part.pins):
        names: dict[str, list[str]] = {}
        for role, name in zip(part.pins, header, strict=True):
            names.setdefault(_text(role), []).append(_text(name))
        pairs = [f"{role} = [{', '.join(given)}]" for role, given in names.items()]
        lines.append(f"alias    = {{ {', '.join(pairs)} }}")
    lines += _ratings(part.pins, part.function)
    return "\n".join(lines) + "\n"


def _ratings(pins: tuple[str, ...], function: str) -> list[str]:
    """Comment lines for the ratings that a part with these pins has."""
    lines = ['# supply   = { rated = "?V .. ?V", limit = "?V" }', '# ambient  = "?degC .. ?degC"']
    if "rate" in pins:
        lines += [
            '# rate     = { voltage = "?V +/- ?%", current = "?uA .. ?uA", resistance = "?kohm .. ?kohm", '
            'capacitance = "?pF", law = "?" }',
            '# timing   = { period = "?us", at_current = "?uA", at_supply = "?V", error = "?%", '
            'tempco = "+/- ?ppm", supply_error = "?%/V" }',
        ]
    if "strap" in pins:
        lines += [
            '# strap    = { levels = ?, threshold_error = "?%", leakage = "?nA", '
            'source_resistance = "?kohm", read_after = "?ms", read = "?" }',
            "# codes    = [{ code = 0, prescale = ? }, { code = 1, prescale = ?, inverted = true }]",
        ]
    if "modulate" in pins:
        lines.append('# modulate = { full_scale = "?V .. ?V", duty = "?% .. ?%", error = "?points" }')
    if "trigger" in pins and function != "rc-timer":
        lines.append('# trigger  = { edge = "?", retriggerable = ?, recovery = "?s" }')
    if "signal" in pins:
        lines.append('# signal   = { edges = "?", restart = ? }')
    if function == "rc-timer":
        lines += [
            '# ladder   = { lower = "?", upper = "?", error = "?%", resistance = "?kohm +/- ?%" }',
            '# discharge = { resistance = "?ohm", current = "?mA" }',
        ]
    lines.append('# output   = { kind = "?", source = "?mA", sink = "?mA", resistance = "?ohm" }')
    lines.append('# startup  = "?ms"')
    return lines


def _key(name: str) -> str:
    """A name as a TOML key."""
    return name if name and set(name) <= _BARE else _text(name)


def _text(value: str) -> str:
    """A TOML string."""
    escaped = value.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\u{ord(c):04X}" for c in escaped) + '"'
