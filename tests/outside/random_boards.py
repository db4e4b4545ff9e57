"""Random boards as netlist text, for comparing our solution with a circuit simulator's."""

import numpy as np


class Draft:
    """Netlist lines being gathered; every number is written to 17 digits, so that all readers agree on it."""

    def __init__(self, rng: np.random.Generator, title: str) -> None:
        self.rng = rng
        self.lines = [title]
        self.resistors = 0

    def add(self, name: str, *words: str | float) -> None:
        """One element line."""
        self.lines.append(" ".join([name, *(w if isinstance(w, str) else f"{w:.17g}" for w in words)]))

    def resistor(self, a: str, b: str, low: float, high: float) -> None:
        """A resistor of a random value between two powers of ten."""
        self.resistors += 1
        self.add(f"R{self.resistors}", a, b, float(10 ** self.rng.uniform(low, high)))

    def tree(self, count: int, bridges: int, low: float, high: float) -> None:
        """Resistors of a random tree over ground and n1 .. n(count - 1), with bridges across it."""
        names = ["0", *(f"n{k}" for k in range(1, count))]
        for k in range(1, count):
            self.resistor(names[int(self.rng.integers(0, k))], names[k], low, high)
        for _ in range(bridges):
            a, b = self.rng.choice(count, 2, replace=False)
            self.resistor(names[a], names[b], low, high)

    def text(self) -> str:
        """The whole file."""
        return "\n".join([*self.lines, ".end", ""])


def linear_board(rng: np.random.Generator, title: str) -> str:
    """Straps, bridges and steering: up to forty resistors over up to ten decades, one to three sources.

    Some have a current source, some a battery between two nodes, some a divider drawn as a subcircuit.
    """
    draft = Draft(rng, title)
    count = int(rng.integers(3, 25))
    high = float(rng.choice([3.0, 6.0, 10.0]))
    draft.tree(count, int(rng.integers(0, 16)), 0.0, high)
    held = rng.choice(np.arange(1, count), int(rng.integers(1, min(4, count))), replace=False)
    for k in held:
        draft.add(f"V{k}", f"n{k}", "0", float(rng.uniform(-5, 15)))
    free = sorted(set(range(1, count)) - set(held.tolist()))
    if free and high < 7 and rng.random() < 0.4:
        draft.add("I1", "0", f"n{free[0]}", float(rng.uniform(-1e-6, 1e-6)))
    if free and rng.random() < 0.3:
        draft.add("VB", "lifted", f"n{free[-1]}", float(rng.uniform(0.5, 3)))
        draft.resistor("lifted", "0", 2.0, 5.0)
    if free and rng.random() < 0.3:
        draft.lines += [".subckt strap top tap bottom", "RU top tap 10k", "RL tap bottom 22k", ".ends"]
        draft.add("X1", f"n{held[0]}", f"n{free[0]}", "0", "strap")
    return draft.text()


def loaded_board(rng: np.random.Generator, title: str) -> str:
    """A supply, a resistive network, and one to four diodes, half of them LEDs, as loads behind resistors."""
    draft = Draft(rng, title)
    count = int(rng.integers(3, 8))
    draft.tree(count, int(rng.integers(0, 4)), 1.0, 3.5)
    draft.add("V1", "n1", "0", float(rng.uniform(3, 12)))
    for k in range(int(rng.integers(1, 5))):
        ohm = float(10 ** rng.uniform(1.5, 3.5))
        draft.add(f"RL{k}", f"n{rng.integers(1, count)}", f"l{k}", ohm)
        # A silicon junction, or an LED's larger emission coefficient and smaller saturation current.
        saturation, emission = (1e-20, 2.0) if rng.random() < 0.5 else (1e-14, 1.0)
        ends = (f"l{k}", "0") if rng.random() < 0.8 else ("0", f"l{k}")
        draft.add(f"D{k}", *ends, f"MD{k}")
        series = float(rng.uniform(0.1, 5))
        draft.lines.append(f".model MD{k} D(IS={saturation:.17g} N={emission:.17g} RS={series:.17g})")
    return draft.text()
