"""Random RC timers made from the wanted time, with part files of their own, and mistakes for them.

Nothing here imports the package under test. An astable's T = ln 2 (RA + 2 RB) C, a one-shot's t = ln 3 R C:
any text on the three-resistor-ladder timer.
"""

from collections.abc import Callable
from math import log
from random import Random
from typing import NamedTuple

from tests.faults.boards import ohms, preferred

ROLES = ("supply", "output", "discharge", "threshold", "control", "trigger", "reset", "ground")
STEPS = (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)


class Timer(NamedTuple):
    """An RC timer on its board: the lines by what they are, and the numbers that they were made from."""

    name: str
    toml: str
    astable: bool
    volts: float
    supply: tuple[float, float, float]
    upper: float
    lower: float
    farad: float
    seconds: float
    switch_ampere: float
    lines: dict[str, str]

    def text(self, **changed: str) -> str:
        """The netlist, with some of its lines changed; an empty one is left out."""
        return "\n".join(line for line in {**self.lines, **changed}.values() if line) + "\n"


def draw_timer(rng: Random, name: str) -> Timer:
    """A right RC timer board: wiring, capacitor and resistors first, values and statements from them."""
    pins = list(ROLES)
    rng.shuffle(pins)
    supply = rng.choice(((4.5, 15.0, 17.0), (2.5, 11.0, 13.0), (3.0, 16.0, 18.0)))
    volts = rng.choice([v for v in (3.3, 5.0, 9.0, 12.0) if supply[0] <= 0.96 * v and 1.04 * v <= supply[1]])
    strong, switch_ampere = rng.choice((True, False)), rng.choice((0.02, 0.05, 0.1))
    astable = rng.random() < 0.6
    farad = rng.choice(STEPS) * 10.0 ** rng.choice((-9, -8, -7))
    least = max(2e3, 1.5 * volts / switch_ampere)
    upper = rng.choice(preferred(least, 8 * least))
    lower = rng.choice(preferred(10e3, 120e3)) if astable else 0.0
    if not astable:
        upper = rng.choice(preferred(15e3, 300e3))
    seconds = log(2) * (upper + 2 * lower) * farad if astable else log(3) * upper * farad
    timer = Timer(name, "", astable, volts, supply, upper, lower, farad, seconds, switch_ampere, {})
    drive = rng.choice((0.06, 0.1) if strong else (0.004, 0.01))
    switch_ohm = rng.choice((12, 25, 40))
    return timer._replace(toml=_part_file(timer, pins, drive, switch_ohm), lines=_lines(timer, pins))


def _part_file(timer: Timer, pins: list[str], drive: float, switch_ohm: float) -> str:
    """The TOML of the timer's part."""
    name, supply, ampere = timer.name, timer.supply, timer.switch_ampere
    levels = 'low = "0.4V", high = "1.2V", leakage = "10nA"'
    return "\n".join(
        [
            f"[part.{name}]", 'source = "drawn at random"', 'function = "rc-timer"',
            f"pins = {pins}".replace("'", '"'),
            f'supply = {{ rated = "{supply[0]}V .. {supply[1]}V", limit = "{supply[2]}V" }}',
            'ambient = "-40degC .. 90degC"',
            'ladder = { lower = "1/3", upper = "2/3", error = "1%", resistance = "20kohm +/- 25%" }',
            f'discharge = {{ resistance = "{switch_ohm}ohm", current = "{ampere!r}A" }}',
            'timing = { at_supply = "5.0V", error = "1.2%", tempco = "+/- 60ppm", supply_error = "0.1%/V" }',
            f'output = {{ kind = "push-pull", source = "{drive!r}A", sink = "{drive!r}A", '
            'resistance = "30ohm" }',
            'input.threshold = { leakage = "3nA" }',
            'input.trigger = { leakage = "3nA", active = "low", limit = "supply" }',
            f'input.reset = {{ {levels}, active = "low", limit = "supply" }}',
            'reset = { active = "low" }',
            'trigger = { edge = "falling", retriggerable = false, recovery = "0s", level = true }',
            'consumption = "60uA .. 300uA"',
        ]
    ) + "\n"  # fmt: skip


def _lines(timer: Timer, pins: list[str]) -> dict[str, str]:
    """The lines of a right board."""
    astable, volts, farad, seconds = timer.astable, timer.volts, timer.farad, timer.seconds
    nets = dict.fromkeys(ROLES, "cap") | {
        "supply": "vcc", "output": "out", "control": "cv", "reset": "vcc", "ground": "0",
        "discharge": "dis" if astable else "cap", "trigger": "cap" if astable else "go",
    }  # fmt: skip
    quantity = "period" if astable else "pulse-width"
    return {
        "title": f"rc timer, {quantity} {seconds:.4g}s",
        "ambient": "*@ ambient 0degC .. 60degC",
        "tolerance": "*@ assume R* tolerance 1%, tempco 100ppm",
        "capacitors": "*@ assume C* tolerance 2%, tempco 60ppm",
        "supply": f"*@ supply vcc {0.97 * volts:.6g}V .. {1.03 * volts:.6g}V",
        "expect": f"*@ expect XU1 {quantity} {seconds:.6g}s +/- 14%",
        "signal": "" if astable else f"*@ signal go period {4 * seconds:.5g}s, low {0.2 * seconds:.5g}s",
        "source": f"V1 vcc 0 {volts}",
        "bypass": "C2 vcc 0 100n",
        "control": "C3 cv 0 10n",
        "upper": f"R1 vcc {'dis' if astable else 'cap'} {ohms(timer.upper)}",
        "lower": f"R2 dis cap {ohms(timer.lower)}" if astable else "",
        "timing": f"C1 cap 0 {farad * 1e9:.4g}n",
        "trigger": "" if astable else "R5 vcc go 10k",
        "load": "R4 out 0 22k",
        "block": "XU1 " + " ".join(nets[role] for role in pins) + f" {timer.name}",
        "extra": "",
    }


TIMING = "timing-outside-intent"
WRONG = frozenset({TIMING})


def _pin(timer: Timer, net: str, to: str) -> str:
    return timer.lines["block"].replace(f" {net} ", f" {to} ")


def _small_upper(timer: Timer) -> str | None:
    if not timer.astable or timer.volts / timer.switch_ampere < 150:
        return None
    return timer.text(upper=f"R1 vcc dis {0.7 * timer.volts / timer.switch_ampere:.4g}", expect="")


def _held(timer: Timer) -> str | None:
    if timer.astable:
        return None
    return timer.text(signal=f"*@ signal go period {9 * timer.seconds:.5g}s, low {1.3 * timer.seconds:.5g}s")


def _reset_floats(timer: Timer) -> str:
    nets = timer.lines["block"].split()
    roles = next(line for line in timer.toml.splitlines() if line.startswith("pins"))
    position = [role.strip(' "') for role in roles.partition("[")[2].rstrip("]").split(",")].index("reset")
    nets[1 + position] = "rst"
    return timer.text(block=" ".join(nets), extra="C9 rst 0 10n")


def _electrolytic(timer: Timer) -> str | None:
    if timer.astable:
        return None
    ohm = timer.volts / 3 / 8e-6
    return timer.text(timing="C1 cap 0 1u ELKO", upper=f"R1 vcc cap {ohm:.4g}", expect="", signal="")


def _fast(timer: Timer) -> str | None:
    if not timer.astable:
        return None
    return timer.text(
        timing="C1 cap 0 150p", upper=f"R1 vcc dis {ohms(timer.upper)}", lower="R2 dis cap 3k", expect=""
    )


RC_FAULTS: dict[str, tuple[Callable[[Timer], str | None], str, frozenset[str]]] = {
    "nothing on the control pin": (
        lambda timer: timer.text(control=""), "control-without-capacitor", frozenset()
    ),
    "control pin on ground": (
        lambda timer: timer.text(block=_pin(timer, "cv", "0")), "control-tied",
        WRONG | {"trigger-held", "rc-not-discharged"},
    ),
    "reset left open": (_reset_floats, "input-floating", WRONG | {"block-never-runs"}),
    "timing resistor on a lower rail": (
        lambda timer: timer.text(
            upper=timer.lines["upper"].replace("vcc", "vlow"), extra=f"V9 vlow 0 {0.8 * timer.volts:.4g}"
        ),
        "rc-charged-from-another-level", WRONG,
    ),
    "timing resistor on a rail below the threshold": (
        lambda timer: timer.text(
            upper=timer.lines["upper"].replace("vcc", "vlow"), extra=f"V9 vlow 0 {0.6 * timer.volts:.4g}"
        ),
        "rc-never-times", WRONG,
    ),
    "capacitor the wrong way round": (
        lambda timer: timer.text(timing=f"C1 0 cap {timer.farad * 1e9:.4g}n TANT"), "capacitor-reversed",
        WRONG | {"rc-electrolytic-leakage"},
    ),
    "electrolytic capacitor, little current": (
        _electrolytic, "rc-electrolytic-leakage", frozenset({"rc-discharge-surge"})
    ),
    "upper resistor too small": (_small_upper, "rc-discharge-overload", WRONG),
    "trigger held too long": (_held, "trigger-held", WRONG),
    "faster than the comparators": (_fast, "rc-too-fast", frozenset({"rc-capacitance-near-stray"})),
    "capacitor of twenty per cent": (
        lambda timer: timer.text(timing=f"{timer.lines['timing']} tol=20%"), "capacitor-too-loose", WRONG
    ),
    "no bypass": (lambda timer: timer.text(bypass=""), "supply-without-bypass", frozenset()),
    "supply over the rating": (
        lambda timer: timer.text(
            source=f"V1 vcc 0 {(timer.supply[1] + timer.supply[2]) / 2}", supply=""
        ),
        "supply-out-of-range", WRONG | {"rc-discharge-overload", "output-source-overload"},
    ),
    "output straight on ground": (
        lambda timer: timer.text(load="R4 out 0 0"), "output-tied-to-rail", frozenset()
    ),
}  # fmt: skip
