"""Random good boards, made from the answer they must give, and the mistakes that can be planted in them.

Nothing here imports the package under test. E96 values: round(100 * 10^(i/96)), IEC 60063.
"""

from collections.abc import Callable
from random import Random
from typing import NamedTuple

from tests.faults.makers import INPUT, Row, Spec

E96 = [round(100 * 10 ** (i / 96)) for i in range(96)]
AMBIENT = (-20, 70)
TOLERANCE, TEMPCO = 0.01, 100e-6
QUANTITY = {
    "oscillator": "period", "slow-oscillator": "period", "pulse-modulator": "period",
    "one-shot": "pulse-width", "edge-delay": "delay",
}  # fmt: skip


def preferred(low: float, high: float) -> list[float]:
    """The E96 values from low to high, ohm."""
    return [v * 10.0**e for e in range(6) for v in E96 if low <= v * 10.0**e <= high]


def ohms(value: float) -> str:
    """A resistance as a netlist writes it."""
    return f"{value / 1e3:.6g}k"


class Good(NamedTuple):
    """A board that is right: its lines by what they are, and the numbers that it was made from."""

    spec: Spec
    row: Row
    upper: float
    lower: float
    timing: float
    volts: float
    seconds: float
    width: float
    lines: dict[str, str]

    def text(self, **changed: str) -> str:
        """The netlist, with some of its lines changed; an empty one is left out."""
        return "\n".join(line for line in {**self.lines, **changed}.values() if line) + "\n"


def strap_pair(rng: Random, spec: Spec, code: int) -> tuple[float, float]:
    """Two E96 values whose ratio lies in the middle of a code, to a fiftieth of a step."""
    centre = (code + 0.5) / spec.levels
    while True:
        upper = rng.choice(preferred(10e3, 300e3))
        wanted = upper * centre / (1 - centre)
        lower = min(preferred(1e3, 900e3), key=lambda value: abs(value - wanted))
        ratio = lower / (upper + lower)
        stiff = upper * lower / (upper + lower) < 0.5 * spec.source_resistance
        if abs(ratio - centre) * spec.levels < 0.02 and stiff:
            return upper, lower


def draw_board(rng: Random, spec: Spec) -> Good:
    """A right board for a part: code, timing resistor and supply first, values and statements from them."""
    row = rng.choice(spec.rows)
    upper, lower = strap_pair(rng, spec, row.code)
    timing = rng.choice(preferred(spec.least_ohm, spec.most_ohm))
    fits = [v for v in (2.5, 2.8, 3.0, 3.3, 5.0) if spec.supply[0] <= 0.97 * v and 1.03 * v <= spec.supply[1]]
    volts = rng.choice(fits)
    seconds = spec.seconds(timing, row.prescale, volts)
    warmest = max(abs(end - 25) for end in AMBIENT)
    drift = spec.supply_error * 0.03 * volts
    spread = TOLERANCE + spec.error + (TEMPCO + spec.tempco) * warmest + drift + 100e-9 / seconds
    width = 1.15 * spread + 0.003
    least = volts * 1.03 / spec.drive
    load = rng.choice(preferred(1.3 * least, 20 * least))
    net = {
        "supply": "vdd", "ground": "0", "output": "out", "strap": "cfg", "rate": "rt",
        "enable": "vdd", "reset": "0", "modulate": "mod", "trigger": "trg", "signal": "sig",
    }  # fmt: skip
    polarity = "inverted" if row.inverted else "normal"
    inputs = net[INPUT[spec.function]]
    lines = {
        "title": f"{spec.function} for {QUANTITY[spec.function]} {seconds:.5g}s",
        "ambient": f"*@ ambient {AMBIENT[0]}degC .. {AMBIENT[1]}degC",
        "tolerance": "*@ assume R* tolerance 1%, tempco 100ppm",
        "supply": f"*@ supply vdd {0.97 * volts:.6g}V .. {1.03 * volts:.6g}V",
        "expect": f"*@ expect XU1 {QUANTITY[spec.function]} {seconds:.9g}s +/- {100 * width:.4g}%",
        "prescale": f"*@ expect XU1 prescale {row.prescale}" if rng.random() < 0.5 else "",
        "polarity": f"*@ expect XU1 polarity {polarity}" if rng.random() < 0.5 else "",
        "signal": "",
        "source": f"V1 vdd 0 {volts}",
        "bulk": "C1 vdd 0 4.7u",
        "bypass": "C2 vdd 0 100n",
        "upper": f"R1 vdd cfg {ohms(upper)}",
        "lower": f"R2 cfg 0 {ohms(lower)}",
        "timing": f"R3 rt 0 {ohms(timing)}",
        "load": f"R4 out 0 {ohms(load)}",
        "input": f"R5 {inputs} 0 47k\nJ1 {inputs} PLUG" if inputs in ("trg", "sig") else "",
        "modulate": "R6 vdd mod 100k\nR7 mod 0 22.1k" if inputs == "mod" else "",
        "block": "XU1 " + " ".join(net[role] for role in spec.pins) + f" {spec.name}",
        "extra": "",
    }
    return Good(spec, row, upper, lower, timing, volts, seconds, width, lines)


class Fault(NamedTuple):
    """A mistake: the board with it (None where this board can't have it), the rule that is about it, and
    the rules that may speak beside it, because the mistake has that consequence too."""

    plant: Callable[[Good], str | None]
    rule: str
    consequences: frozenset[str] = frozenset()


TIMING, STRAP = "timing-outside-intent", "strap-outside-intent"
BOTH = frozenset({TIMING, STRAP})
SCALE = "modulate-outside-full-scale"


def _exchanged(good: Good) -> str | None:
    mirror = good.spec.row(good.spec.levels - 1 - good.row.code)
    if mirror is None or mirror.prescale == good.row.prescale:
        return None
    return good.text(upper=f"R1 vdd cfg {ohms(good.lower)}", lower=f"R2 cfg 0 {ohms(good.upper)}")


def _decade(good: Good, factor: float) -> str | None:
    ohm = good.timing * factor
    inside = good.spec.least_ohm <= ohm <= good.spec.most_ohm
    return good.text(timing=f"R3 rt 0 {ohms(ohm)}") if inside else None


def _far_decade(good: Good) -> str | None:
    ohm = good.timing * 10
    return good.text(timing=f"R3 rt 0 {ohms(ohm)}") if ohm > good.spec.most_ohm else None


def _other_rail(good: Good) -> str | None:
    return good.text(upper=f"R1 vref cfg {ohms(good.upper)}", extra=f"V2 vref 0 {0.82 * good.volts:.4g}")


def _on_threshold(good: Good) -> str | None:
    if good.row.code == 0:
        return None
    at = (good.row.code + 0.02) / good.spec.levels
    return good.text(lower=f"R2 cfg 0 {ohms(good.upper * at / (1 - at))}")


def _reserved(good: Good) -> str | None:
    for code in range(1, good.spec.levels - 1):
        if good.spec.row(code) is None:
            centre = (code + 0.5) / good.spec.levels
            return good.text(lower=f"R2 cfg 0 {ohms(good.upper * centre / (1 - centre))}")
    return None


def _slow_strap(good: Good) -> str | None:
    if good.row.code == 0:
        return None
    parallel = good.upper * good.lower / (good.upper + good.lower)
    return good.text(extra=f"C9 cfg 0 {3e9 * good.spec.read_after / parallel:.4g}n")


def _weak_strap(good: Good) -> str | None:
    parallel = good.upper * good.lower / (good.upper + good.lower)
    factor = 1.1 * good.spec.source_resistance / parallel
    return good.text(
        upper=f"R1 vdd cfg {ohms(good.upper * factor)}", lower=f"R2 cfg 0 {ohms(good.lower * factor)}"
    )


def _fed(good: Good, volts: float) -> str:
    return good.text(
        source=f"V1 vdd 0 {volts:.5g}",
        supply=f"*@ supply vdd {0.999 * volts:.6g}V .. {1.001 * volts:.6g}V",
        load="R4 out 0 100k",
    )


def _loaded(good: Good, net: str) -> str:
    ohm = 0.85 * good.volts / good.spec.drive - good.spec.output_ohm
    return good.text(load=f"R4 out {net} {ohm:.4g}")


def _signalled(good: Good, function: str, statement: str) -> str | None:
    if good.spec.function != function:
        return None
    net = "trg" if function == "one-shot" else "sig"
    return good.text(signal=f"*@ signal {net} {statement}")


def _held(good: Good) -> str | None:
    if good.spec.function not in ("oscillator", "slow-oscillator"):
        return None
    role, net = ("enable", "0") if good.spec.function == "oscillator" else ("reset", "vdd")
    nets = good.lines["block"].split()
    nets[1 + good.spec.pins.index(role)] = net
    return good.text(block=" ".join(nets))


def _on(good: Good, role: str, net: str) -> str:
    nets = good.lines["block"].split()
    nets[1 + good.spec.pins.index(role)] = net
    return good.text(block=" ".join(nets))


FAULTS: dict[str, Fault] = {
    "strap resistors exchanged": Fault(_exchanged, TIMING, frozenset({STRAP, "strap-code-reserved"})),
    "timing resistor a decade up, still in range": Fault(lambda good: _decade(good, 10), TIMING),
    "timing resistor a decade down, still in range": Fault(lambda good: _decade(good, 0.1), TIMING),
    "timing resistor out of range": Fault(_far_decade, "rate-resistance-out-of-range", frozenset({TIMING})),
    "timing resistor to a net of its own": Fault(
        lambda good: good.text(timing=f"R3 lost 0 {ohms(good.timing)}"), "rate-open", frozenset({TIMING})
    ),
    "timing resistor bridged": Fault(
        lambda good: good.text(timing="R3 rt 0 0"), "rate-shorted", frozenset({TIMING})
    ),
    "capacitor on the rate pin": Fault(
        lambda good: good.text(extra=f"C9 rt 0 {1.3e12 * good.spec.rate_farad:.4g}p"), "rate-capacitance"
    ),
    "strap resistors left out": Fault(lambda good: good.text(upper="", lower=""), "strap-open", BOTH),
    "strap from another rail": Fault(_other_rail, "strap-not-ratiometric", BOTH | {"strap-code-reserved"}),
    "strap on a threshold": Fault(_on_threshold, "strap-near-threshold", BOTH | {"strap-misread"}),
    "strap on a reserved code": Fault(_reserved, "strap-code-reserved", BOTH),
    "capacitor on the strap": Fault(_slow_strap, "strap-settles-late"),
    "strap too weak": Fault(_weak_strap, "strap-source-resistance", frozenset({"strap-near-threshold"})),
    "supply over the rating": Fault(
        lambda good: _fed(good, (good.spec.supply[1] + good.spec.supply[2]) / 2),
        "supply-out-of-range", frozenset({TIMING, SCALE}),
    ),
    "supply over the limit": Fault(
        lambda good: _fed(good, 1.1 * good.spec.supply[2]), "supply-over-limit", frozenset({TIMING, SCALE})
    ),
    "supply not stated": Fault(
        lambda good: good.text(supply="", source=""), "supply-over-limit", BOTH | {"strap-open"}
    ),
    "ground pin open": Fault(
        lambda good: _on(good, "ground", "lost"),
        "ground-unconnected", BOTH | {"supply-over-limit", "strap-open"},
    ),
    "too hot": Fault(
        lambda good: good.text(ambient="*@ ambient -20degC .. 118degC"), "ambient-out-of-range", BOTH
    ),
    "load to ground too heavy": Fault(lambda good: _loaded(good, "0"), "output-source-overload"),
    "load to supply too heavy": Fault(lambda good: _loaded(good, "vdd"), "output-sink-overload"),
    "another prescale wanted": Fault(
        lambda good: good.text(prescale=f"*@ expect XU1 prescale {good.row.prescale + 1}"), STRAP
    ),
    "another polarity wanted": Fault(
        lambda good: good.text(
            polarity=f"*@ expect XU1 polarity {'normal' if good.row.inverted else 'inverted'}"
        ),
        STRAP,
    ),
    "held by enable or reset": Fault(_held, "block-never-runs", frozenset({TIMING})),
    "triggered before it is over": Fault(
        lambda good: _signalled(good, "one-shot", f"period {0.8 * good.seconds:.6g}s"),
        "one-shot-misses-triggers",
    ),
    "pulse shorter than the bounce": Fault(
        lambda good: _signalled(good, "one-shot", f"bounce {1.2 * good.seconds:.6g}s"),
        "pulse-shorter-than-bounce",
    ),
    "trigger too narrow": Fault(
        lambda good: _signalled(good, "one-shot", f"period {9 * good.seconds:.6g}s, high 150ns"),
        "input-pulse-too-short",
    ),
    "delay shorter than the bounce": Fault(
        lambda good: _signalled(good, "edge-delay", f"bounce {1.2 * good.seconds:.6g}s"),
        "delay-shorter-than-bounce",
    ),
    "pulses shorter than the delay": Fault(
        lambda good: _signalled(
            good, "edge-delay", f"period {9 * good.seconds:.6g}s, high {0.8 * good.seconds:.6g}s"
        ),
        "delay-swallows-pulses",
    ),
    "statement about a block that is gone": Fault(
        lambda good: good.text(extra="*@ expect XU9 period 1s +/- 5%"), "statement-matches-nothing"
    ),
    "line that is none": Fault(lambda good: good.text(extra="22k out 0"), "unreadable-line", BOTH | {
        "output-source-overload", "output-sink-overload"}),
    "name used twice": Fault(lambda good: good.text(extra="C2 vdd 0 1u"), "duplicate-name"),
}  # fmt: skip
