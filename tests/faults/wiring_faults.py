"""Mistakes of wiring that can be planted in a good board: feeds, inputs, loads, and the rate pin."""

from tests.faults.boards import BOTH, TIMING, Fault, Good, ohms
from tests.faults.makers import INPUT

SWITCH = ".model QSW NPN(BF=120)"


def _role(good: Good) -> str:
    return INPUT[good.spec.function]


def _rewired(good: Good, role: str, net: str, **changed: str) -> str:
    nets = good.lines["block"].split()
    nets[1 + good.spec.pins.index(role)] = net
    return good.text(block=" ".join(nets), **changed)


def _only(good: Good, function: str, **changed: str) -> str | None:
    return good.text(**changed) if good.spec.function == function else None


def _floating(good: Good) -> str | None:
    if _role(good) in ("enable", "reset"):
        return _rewired(good, _role(good), "ctl", extra="C9 ctl 0 1n")
    return good.text(input="", modulate="")


def _between(good: Good) -> str | None:
    if _role(good) == "modulate":
        return None
    pair = "R8 vdd ctl 47k\nR9 ctl 0 47k"
    return _rewired(good, _role(good), "ctl", input="", extra=pair)


def _neighbour(good: Good, **nets: str) -> str:
    wired = {"rate": "rt9", "output": "out9", **nets}
    block = good.lines["block"].split()
    for role, net in wired.items():
        block[1 + good.spec.pins.index(role)] = net
    block[0] = "XU9"
    alone = f"R19 rt9 0 {ohms(good.timing)}\n" if wired["rate"] == "rt9" else ""
    return good.text(extra=f"{alone}R18 out9 0 100k\n{' '.join(block)}")


def _clamped(good: Good) -> str | None:
    if good.spec.rate_volts / good.timing > 4.5e-6:
        return None
    return good.text(extra="D9 rt vdd DCLAMP\n.model DCLAMP D(IS=1e-15)")


def _ripple(good: Good) -> str | None:
    farad = 1.5 * good.seconds / 10e3
    return _only(good, "pulse-modulator", extra=f"R9 out avg 10k\nC9 avg 0 {farad:.4g}")


def _burning(good: Good) -> str | None:
    if good.spec.function != "one-shot" or not good.row.inverted:
        return None
    return good.text(polarity="", load=f"R4 out b 10k\nQ9 c b 0 QSW\nRK9 vdd c 330\n{SWITCH}")


def _sagging(good: Good) -> str:
    least = good.volts * 1.03 / good.spec.drive
    feed = f"R9 vin vdd {0.12 * 1.3 * least:.4g}"
    return good.text(
        source=f"V1 vin 0 {good.volts}\n{feed}", load=f"R4 out 0 {ohms(1.3 * least)}",
        supply=good.lines["supply"].replace("supply vdd", "supply vin"),
    )  # fmt: skip


def _on_follower(good: Good) -> str:
    follower = "Q9 vdd vb e QSW\n*@ signal vb 0.7V .. 1.0V\nR9 vdd vb 100k"
    return good.text(timing=f"R3 rt e {ohms(good.timing)}", extra=f"{follower}\n{SWITCH}")


def _lagging(good: Good) -> str | None:
    if good.row.code == 0:
        return None
    parallel = good.upper * good.lower / (good.upper + good.lower)
    return good.text(
        signal="*@ ramp vdd 900ms", extra=f"C9 cfg 0 {1e12 * 0.02 * good.spec.read_after / parallel:.4g}p"
    )


def _turned_round(good: Good) -> str | None:
    if good.spec.function != "oscillator" or good.timing > 0.7 * good.spec.most_ohm:
        return None
    volts = f"{0.2 * good.spec.rate_volts:.4g}V"
    return good.text(
        timing=f"R3 rt vctl {ohms(good.timing)}",
        expect=f"{good.lines['expect']} when vctl = 0V",
        signal=f"*@ signal vctl 0V .. {volts}",
        extra=f"*@ expect XU1 period {0.75 * good.seconds:.6g}s +/- 10% when vctl = {volts}",
    )


def _one_divider(good: Good) -> str:
    factor = 0.7 * good.spec.source_resistance * (good.upper + good.lower) / (good.upper * good.lower)
    return _neighbour(
        good._replace(lines={
            **good.lines,
            "upper": f"R1 vdd cfg {ohms(good.upper * factor)}",
            "lower": f"R2 cfg 0 {ohms(good.lower * factor)}",
        }),
        strap="cfg",
    )  # fmt: skip


FEED_AND_LOAD: dict[str, Fault] = {
    "no bypass": Fault(lambda good: good.text(bulk="", bypass=""), "supply-without-bypass"),
    "bypass of some nanofarads": Fault(
        lambda good: good.text(bulk="", bypass="C2 vdd 0 3.3n"), "supply-without-bypass"
    ),
    "resistance in the supply": Fault(
        _sagging, "supply-sags", BOTH | {"supply-out-of-range", "strap-near-threshold"}
    ),
    "slow ramp, capacitor on the strap": Fault(_lagging, "supply-ramps-while-strap-is-read"),
    "LED without resistor": Fault(
        lambda good: good.text(load="D4 out 0 LED_RED"), "led-without-resistor",
        frozenset({"output-source-overload"}),
    ),
    "coil without diode": Fault(
        lambda good: good.text(load=f"R4 out b 10k\nQ9 c b 0 QSW\nL9 vdd c 90m\n{SWITCH}"),
        "coil-without-clamp", frozenset({"load-on-at-rest"}),
    ),
    "relay pulled at rest": Fault(_burning, "load-on-at-rest"),
    "output on ground": Fault(lambda good: good.text(load="R4 out 0 0"), "output-tied-to-rail"),
    "two outputs on one net": Fault(
        lambda good: _neighbour(good, output="out"), "output-contention",
        frozenset({"output-source-overload", "output-sink-overload"}),
    ),
    "part that leads nowhere": Fault(lambda good: good.text(extra="C9 out outt 220p"), "lonely-net"),
}  # fmt: skip

PINS: dict[str, Fault] = {
    "nothing on an input": Fault(_floating, "input-floating", BOTH | {"block-never-runs", "lonely-net"}),
    "input between its levels": Fault(_between, "input-between-levels", BOTH | {"block-never-runs"}),
    "trigger pulled to the other side": Fault(
        lambda good: _only(good, "one-shot", input="R5 vdd trg 47k\nJ1 trg PLUG"), "trigger-on-wrong-edge"
    ),
    "trigger on the supply": Fault(
        lambda good: _rewired(good, "trigger", "vdd") if good.spec.function == "one-shot" else None,
        "trigger-tied",
    ),
    "modulate level beyond full scale": Fault(
        lambda good: _only(good, "pulse-modulator", modulate="R6 vdd mod 10k\nR7 mod 0 15k"),
        "modulate-outside-full-scale",
    ),
    "filter that leaves ripple": Fault(_ripple, "filter-ripple"),
    "one timing resistor for two": Fault(
        lambda good: _neighbour(good, rate="rt"), "rate-shared", BOTH | {"rate-shorted", "rate-open"}
    ),
    "control voltage the wrong way round": Fault(
        _turned_round, "steering-turned-round", frozenset({TIMING})
    ),
    "one strap divider for two": Fault(_one_divider, "strap-shared", frozenset({"strap-near-threshold"})),
    "clamp diode on the rate pin": Fault(_clamped, "rate-leakage", frozenset({TIMING})),
    "timing resistor of ten per cent": Fault(
        lambda good: good.text(timing=f"{good.lines['timing']} tol=10%"),
        "timing-resistor-worse-than-part", frozenset({TIMING}),
    ),
    "timing resistor on a follower": Fault(_on_follower, "steering-cannot-sink", BOTH | {"rate-open"}),
}  # fmt: skip

WIRING: dict[str, Fault] = {**FEED_AND_LOAD, **PINS}
