"""Writes fittings-transitions-sweep.json: loss coefficients of changes of section from the fluids library.

Friction is taken out by a friction factor of nothing. Coefficients refer to the smaller section.

Run: python3 tests/references/fittings-transitions.py (Debian's python3-fluids).
"""

import json
import math
import pathlib

import fluids
import numpy as np
from fluids.fittings import contraction_conical, contraction_sharp, diffuser_conical, diffuser_sharp

SEED = 20240720
COUNT = 150
SMALL = 0.16
NOTHING = 1e-15

random = np.random.default_rng(SEED)


def digits(value, count=10):
    return float(f"{value:.{count}g}")


def uniform(low, high):
    return digits(random.uniform(low, high), 4)


def log_uniform(low, high):
    return digits(math.exp(random.uniform(math.log(low), math.log(high))), 4)


def abrupt():
    ratio = uniform(0.02, 0.98)
    large = SMALL / math.sqrt(ratio)
    return [
        ratio,
        digits(diffuser_sharp(SMALL, large)),
        digits(contraction_sharp(large, SMALL)),
    ]


def widening():
    angle, ratio = log_uniform(5, 180), uniform(0.05, 0.8)
    large = SMALL / math.sqrt(ratio)
    return [angle, ratio] + [
        digits(diffuser_conical(SMALL, large, angle=angle, fd=NOTHING, method=method), 5)
        for method in ("Rennels", "Crane")
    ]


def narrowing():
    angle, ratio = log_uniform(5, 180), uniform(0.05, 0.95)
    large = SMALL / math.sqrt(ratio)
    return [angle, ratio] + [
        digits(contraction_conical(large, SMALL, angle=angle, fd=NOTHING, method=method))
        for method in ("Rennels", "Crane", "Miller")
    ]


def tee_leg():
    ratio = uniform(0.02, 0.98)
    large = SMALL / math.sqrt(ratio)
    return [
        ratio,
        digits(diffuser_conical(SMALL, large, angle=30, fd=NOTHING, method="Crane")),
        digits(contraction_conical(large, SMALL, angle=30, fd=NOTHING, method="Crane")),
    ]


def table(name, columns, row, count):
    rows = ",\n".join(f"   {json.dumps(row())}" for _ in range(count))
    return f' "{name}": {{\n  "columns": {json.dumps(columns, ensure_ascii=False)},\n  "rows": [\n{rows}\n  ]\n }}'


head = {
    "source": "fluids.fittings: diffuser_sharp, contraction_sharp (Rennels), diffuser_conical, contraction_conical; no friction",
    "status": "library",
    "versions": {"fluids": fluids.__version__, "numpy": np.__version__},
    "seed": SEED,
}
text = ",\n".join(
    [
        json.dumps(head, indent=1, ensure_ascii=False).removesuffix("\n}"),
        table("abrupt", ["A_small/A_large", "widening", "narrowing, Rennels"], abrupt, COUNT),
        table("widening", ["angle, °", "A_small/A_large", "Rennels", "Crane"], widening, COUNT),
        table("narrowing", ["angle, °", "A_small/A_large", "Rennels", "Crane", "Miller"], narrowing, COUNT),
        table("teeLeg", ["A_small/A_large", "widening, Crane 30°", "narrowing, Crane 30°"], tee_leg, 60),
    ]
)
(pathlib.Path(__file__).parent / "fittings-transitions-sweep.json").write_text(f"{text}\n}}\n")
