"""The time that resistors and capacitors on a way cost, against the exact response of the ladder.

Source of the reference: state equations of a linear circuit, dv/dt = A v + b u, solved by eigenvalues of A
(any text on linear systems).
"""

import numpy as np
import pytest

from tests.facts.chain_boards import block, chained, pair_span


def exact_time(ohms: list[float], farads: list[float], level: float) -> float:
    """Time in s at which the last capacitor of an RC ladder reaches `level` of a step."""
    n = len(ohms)
    rates = np.zeros((n, n))
    for k in range(n):
        rates[k, k] -= 1 / (ohms[k] * farads[k])
        if k:
            rates[k, k - 1] += 1 / (ohms[k] * farads[k])
        if k + 1 < n:
            rates[k, k] -= 1 / (ohms[k + 1] * farads[k])
            rates[k, k + 1] += 1 / (ohms[k + 1] * farads[k])
    poles, vectors = np.linalg.eig(rates)
    weights = np.linalg.solve(vectors, -np.ones(n))

    def reached(time: float) -> float:
        return float(np.real(1 + vectors[-1] @ (weights * np.exp(poles * time))))

    early, late = 0.0, 100 * sum(ohms) * sum(farads)
    for _ in range(200):
        middle = (early + late) / 2
        early, late = (early, middle) if reached(middle) > level else (middle, late)
    return late


@pytest.mark.parametrize(
    ("ohms", "farads", "within"),
    [
        ([10e3], [1e-9], 1e-6),
        ([1e3, 1e3], [1e-9, 1e-9], 0.03),
        ([1e3, 10e3], [10e-9, 1e-9], 0.03),
        ([1e3, 2e3, 3e3], [1e-9, 1e-9, 1e-9], 0.05),
    ],
)
def test_settling_is_near_the_exact_response(ohms: list[float], farads: list[float], within: float) -> None:
    """One section is exact; of several the sum of R C is within a few percent at 0.7 of the step."""
    nets = ["tick", *(f"n{k}" for k in range(1, len(ohms))), "t"]
    way = "".join(
        f"R{k} {nets[k]} {nets[k + 1]} {ohm:g} 0%\nC{k} {nets[k + 1]} 0 {farad:g} 0%\n"
        for k, (ohm, farad) in enumerate(zip(ohms, farads, strict=True))
    )
    board = chained(block("U1", "TO1", "tick", "vdd") + block("U2", "TS1", "out", "t") + way)
    found = pair_span(board, "pair.settling").nominal
    exact = exact_time(ohms, farads, 0.7)
    assert found == pytest.approx(exact, rel=within)
