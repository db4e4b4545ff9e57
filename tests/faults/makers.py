"""Random part files: what a part is, drawn from a seeded generator, and the TOML that says so.

Nothing here imports the package under test: the values that a board must show are worked out from these.
"""

from random import Random
from typing import NamedTuple

FUNCTIONS = ("oscillator", "slow-oscillator", "pulse-modulator", "one-shot", "edge-delay")
INPUT = {
    "oscillator": "enable", "slow-oscillator": "reset", "pulse-modulator": "modulate",
    "one-shot": "trigger", "edge-delay": "signal",
}  # fmt: skip
FASTEST = {
    "oscillator": 1e-6, "slow-oscillator": 1e-3, "pulse-modulator": 2e-6,
    "one-shot": 5e-5, "edge-delay": 5e-5,
}  # fmt: skip


class Row(NamedTuple):
    """A row of a code table."""

    code: int
    prescale: int
    inverted: bool


class Spec(NamedTuple):
    """A single-resistor timing part. Volts, amperes, ohms, seconds; errors relative, tempco per kelvin."""

    name: str
    function: str
    pins: tuple[str, ...]
    levels: int
    rows: tuple[Row, ...]
    threshold_error: float
    leakage: float
    source_resistance: float
    read_after: float
    rate_volts: float
    least_ohm: float
    most_ohm: float
    period: float
    at_supply: float
    error: float
    tempco: float
    supply_error: float
    supply: tuple[float, float, float]
    drive: float
    output_ohm: float
    rate_farad: float

    def row(self, code: int) -> Row | None:
        """The row of a code, None if it is reserved."""
        return next((row for row in self.rows if row.code == code), None)

    def seconds(self, ohm: float, prescale: int, volts: float) -> float:
        """The nominal output time: the period scales with the timing resistor and drifts with the supply."""
        return (
            self.period * ohm / self.least_ohm * prescale * (1 + self.supply_error * (volts - self.at_supply))
        )

    def toml(self) -> str:
        """The part file."""
        amps = (self.rate_volts / self.most_ohm, self.rate_volts / self.least_ohm)
        codes = ", ".join(
            f"{{ code = {row.code}, prescale = {row.prescale}{', inverted = true' if row.inverted else ''} }}"
            for row in self.rows
        )
        lines = [
            f"[part.{self.name}]",
            'source = "drawn at random"',
            f'function = "{self.function}"',
            f"pins = {list(self.pins)}".replace("'", '"'),
            f'supply = {{ rated = "{self.supply[0]}V .. {self.supply[1]}V", limit = "{self.supply[2]}V" }}',
            'ambient = "-40degC .. 110degC"',
            f'rate = {{ voltage = "{self.rate_volts}V +/- 2%", current = "{amps[0]!r}A .. {amps[1]!r}A", '
            f'resistance = "{self.least_ohm!r}ohm .. {self.most_ohm!r}ohm", '
            f'capacitance = "{self.rate_farad!r}F", law = "ratio" }}',
            f'timing = {{ period = "{self.period!r}s", at_current = "{amps[1]!r}A", '
            f'at_supply = "{self.at_supply}V", error = "{100 * self.error!r}%", '
            f'tempco = "+/- {1e6 * self.tempco!r}ppm", supply_error = "{100 * self.supply_error!r}%/V", '
            'offset = "0ns .. 90ns" }',
            f'strap = {{ levels = {self.levels}, threshold_error = "{100 * self.threshold_error!r}%", '
            f'leakage = "{self.leakage!r}A", source_resistance = "{self.source_resistance!r}ohm", '
            f'read_after = "{self.read_after!r}s", read = "once" }}',
            f"codes = [ {codes} ]",
            f'output = {{ kind = "push-pull", source = "{self.drive!r}A", sink = "{self.drive!r}A", '
            f'resistance = "{self.output_ohm!r}ohm", disabled = "low" }}',
            'consumption = "50uA .. 200uA"',
            *_input_lines(self.function),
        ]
        return "\n".join(lines) + "\n"


def _input_lines(function: str) -> list[str]:
    """What the input of a function's own wants."""
    role = INPUT[function]
    levels = 'low = "0.3 supply", high = "0.7 supply", leakage = "50nA"'
    return {
        "oscillator": [f'input.enable = {{ {levels}, active = "high" }}'],
        "slow-oscillator": [f'input.reset = {{ {levels}, active = "high" }}', 'reset = { active = "high" }'],
        "pulse-modulator": [
            'modulate = { points = [["0.2V", "0%"], ["1.2V", "100%"]], error = "2points" }',
            'input.modulate = { leakage = "10nA" }',
        ],
        "one-shot": [
            f'input.{role} = {{ {levels}, width = "200ns" }}',
            'trigger = { edge = "rising", retriggerable = false, recovery = "0s", level = false }',
        ],
        "edge-delay": [
            f'input.{role} = {{ {levels}, width = "200ns" }}',
            'signal = { edges = "both", restart = true }',
        ],
    }[function]


def draw_part(rng: Random, name: str) -> Spec:
    """A plausible part: prescales grow within the resistor's range, some codes are inverted or reserved."""
    function = rng.choice(FUNCTIONS)
    levels = rng.choice((8, 10, 12, 16))
    least, reach = rng.choice((12e3, 18e3, 25e3, 40e3)), rng.choice((9, 13, 18))
    step = rng.choice([factor for factor in (2, 4, 5, 8, 10) if factor < reach])
    rows: list[Row] = []
    prescale = 1
    for code in rng.sample(range(levels), levels):
        if len(rows) >= 3 and rng.random() < 0.1:
            continue
        rows.append(Row(code, prescale, rng.random() < 0.3))
        if rng.random() < 0.8 and prescale * step < 5e7:
            prescale *= step
    roles = ["supply", "ground", "output", "strap", "rate", INPUT[function]]
    rng.shuffle(roles)
    lowest = rng.choice((1.9, 2.2, 2.6))
    highest = rng.choice((3.9, 5.3, 5.8))
    return Spec(
        name=name,
        function=function,
        pins=tuple(roles),
        levels=levels,
        rows=tuple(sorted(rows)),
        threshold_error=round(rng.uniform(0.04, 0.09) / levels, 5),
        leakage=rng.choice((2e-9, 5e-9, 12e-9)),
        source_resistance=rng.choice((250e3, 400e3)),
        read_after=rng.choice((0.2e-3, 0.5e-3)),
        rate_volts=rng.choice((0.45, 0.72, 1.05)),
        least_ohm=least,
        most_ohm=least * reach,
        period=FASTEST[function] * rng.choice((1.0, 1.5, 3.0)),
        at_supply=3.3,
        error=rng.choice((0.009, 0.014, 0.021)),
        tempco=rng.choice((30e-6, 60e-6, 90e-6)),
        supply_error=rng.choice((0.0008, 0.0015)),
        supply=(lowest, highest, round(highest + rng.choice((0.5, 0.9)), 2)),
        drive=rng.choice((6e-3, 9e-3, 15e-3)),
        output_ohm=rng.choice((18.0, 33.0)),
        rate_farad=rng.choice((15e-12, 30e-12)),
    )
