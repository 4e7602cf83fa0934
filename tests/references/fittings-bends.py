"""Writes fittings-bends-sweep.json: loss coefficients of round bends and mitres from the fluids library.

Friction of the arc, f·angle·r/D, is taken out of the smooth bends; the wall is smooth and the pipe after them long.

Run: python3 tests/references/fittings-bends.py (Debian's python3-fluids).
"""

import json
import math
import pathlib

import fluids
import numpy as np
from fluids.fittings import bend_miter, bend_rounded
from fluids.friction import Colebrook

SEED = 20240719
COUNT = 250
DIAMETER = 0.16
LONG = 40 * DIAMETER
SMOOTH = ("Rennels", "Miller", "Ito")
MITRES = ("Rennels", "Miller", "Blevins", "Crane")

random = np.random.default_rng(SEED)


def digits(value, count=5):
    return float(f"{value:.{count}g}")


def uniform(low, high):
    return digits(random.uniform(low, high), 4)


def log_uniform(low, high):
    return digits(math.exp(random.uniform(math.log(low), math.log(high))), 4)


def smooth():
    ratio, angle, reynolds = log_uniform(0.75, 3), uniform(15, 180), log_uniform(1e4, 3e5)
    f = Colebrook(reynolds, 0)
    friction = f * math.radians(angle) * ratio
    return [ratio, angle, reynolds] + [
        digits(
            bend_rounded(
                Di=DIAMETER, angle=angle, fd=f, bend_diameters=ratio, Re=reynolds, L_unimpeded=LONG, method=method
            )
            - friction
        )
        for method in SMOOTH
    ]


def mitre():
    angle, reynolds = uniform(15, 90), log_uniform(1e4, 3e5)
    return [angle, reynolds] + [
        digits(bend_miter(angle, Di=DIAMETER, Re=reynolds, L_unimpeded=LONG, method=method)) for method in MITRES
    ]


def table(name, columns, row, count):
    rows = ",\n".join(f"   {json.dumps(row())}" for _ in range(count))
    return f' "{name}": {{\n  "columns": {json.dumps(columns, ensure_ascii=False)},\n  "rows": [\n{rows}\n  ]\n }}'


head = {
    "source": "fluids.fittings: bend_rounded less f·angle·r/D, bend_miter; smooth wall",
    "status": "library",
    "versions": {"fluids": fluids.__version__, "numpy": np.__version__},
    "seed": SEED,
}
text = ",\n".join(
    [
        json.dumps(head, indent=1, ensure_ascii=False).removesuffix("\n}"),
        table("smooth", ["r/D", "angle, °", "Re", *SMOOTH], smooth, COUNT),
        table("mitre", ["angle, °", "Re", *MITRES], mitre, COUNT),
    ]
)
(pathlib.Path(__file__).parent / "fittings-bends-sweep.json").write_text(f"{text}\n}}\n")
