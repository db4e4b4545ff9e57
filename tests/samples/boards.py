"""The fog station's boards: which are right, what each mistaken one is about, what each block should do."""

from pathlib import Path

STATION = Path(__file__).resolve().parents[2] / "samples" / "fog-station"

SUFFIXES = (".cir", ".edn")

CLEAN = ("bilge", "dimmer", "door", "horn", "lamp", "relay", "siren")


def board_file(folder: Path, name: str) -> Path:
    """The netlist of a board, whatever its suffix."""
    (found,) = (folder / f"{name}{suffix}" for suffix in SUFFIXES if (folder / f"{name}{suffix}").exists())
    return found


MISTAKES: dict[str, frozenset[str]] = {
    "buoy": frozenset({"supply-over-limit"}),
    "gong": frozenset({"strap-near-threshold"}),
    "heater": frozenset({"strap-not-ratiometric", "timing-outside-intent"}),
    "panel": frozenset({"output-source-overload"}),
    "radio": frozenset({"timing-outside-intent"}),
    "sampler": frozenset({"timing-outside-intent"}),
}
"""By board: the rules that must speak at error or warning level, and no other may."""

K = 1e3
OSC_AT_5V = 1 + 0.12e-2 * (5 - 3.3)
SHOT_AT_5V = 1 + 0.15e-2 * (5 - 3.3)

NOMINAL: dict[tuple[str, str, str], float] = {
    ("lamp", "XU1", "timing.period"): 0.5e-3 * (240 * K / (20 * K)) * 1000 * OSC_AT_5V,
    ("lamp", "XU2", "timing.pulse_width"): 1e-6 * (121 * K / (20 * K)) * 100_000 * SHOT_AT_5V,
    ("horn", "XU1", "timing.period"): 0.5e-3 * (121 * K / (20 * K)) * 10_000 * OSC_AT_5V,
    ("horn", "XU2", "timing.pulse_width"): 1e-6 * (49.9 * K / (20 * K)) * 1_000_000 * SHOT_AT_5V,
    ("horn", "XU3", "timing.frequency"): 1 / (0.25e-6 * (191 * K / (20 * K)) * 1000 * OSC_AT_5V),
    ("door", "XDLY", "timing.delay"): 0.8e-6 * (61.9 * K / (20 * K)) * 10_000,
    ("dimmer", "XU2", "timing.frequency"): 1 / (0.5e-6 * (158 * K / (20 * K)) * 500),
    ("dimmer", "XU2", "timing.duty"): 100 * (3.3 * 10 / (54.9 + 10) - 0.15) / (1.35 - 0.15),
    ("siren", "U1", "timing.frequency"): 1 / (0.25e-6 * (133 * K / (20 * K)) * 200 * OSC_AT_5V),
    ("relay", "XU1", "timing.pulse_width"): 1e-6 * (240 * K / (20 * K)) * 1_000_000 * SHOT_AT_5V,
    ("radio", "XU1", "timing.period"): 0.5e-3 * (71.5 * K / (20 * K)) * 1000 * (1 + 0.12e-2 * (3.15 - 3.3)),
    ("sampler", "XU1", "timing.delay_rising"): 0.8e-6 * (301 * K / (20 * K)) * 100,
    ("heater", "XU1", "timing.frequency"): 1 / (0.5e-6 * (158 * K / (20 * K)) * 500 * SHOT_AT_5V),
    ("panel", "XU1", "timing.period"): 0.5e-3 * (80.6 * K / (20 * K)) * 1000 * OSC_AT_5V,
    ("gong", "XU1", "timing.frequency"): 1 / (0.25e-6 * (270 * K / (20 * K)) * 1000 * OSC_AT_5V),
    ("bilge", "XU1", "timing.pulse_width"): 1.0986123 * 976 * K * 4.7e-6 * (1 + 0.15e-2 * (9 - 5)),
}
"""Nominal values by board, block and fact, in SI units (duty in points), worked out by hand from the
resistors on the drawing and the part's figures: period at 30 uA (20 kohm) times resistance times prescale,
times the part's drift from the supply its period is stated at; for the RC timer ln 3 times R times C (any
electronics text). The parts' own switching times are left out."""
