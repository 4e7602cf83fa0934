"""Writes fittings-ends-sweep.json: entries, screens and orifice plates from the fluids library.

An orifice plate by ISO 5167 (corner taps) is a thin sharp-edged plate with one hole. With its discharge coefficient C
and its free area φ it loses, on the velocity pressure before it: across a duct what the standard says, into the open all
of the pressure at the upstream tap and the velocity pressure there, (1 − φ²)/(C·φ)² + 1.

Run: python3 tests/references/fittings-ends.py (Debian's python3-fluids).
"""

import json
import math
import pathlib

import fluids
import numpy as np
from fluids.filters import round_edge_open_mesh, round_edge_screen, square_edge_grill, square_edge_screen
from fluids.fittings import entrance_distance, entrance_rounded
from fluids.flow_meter import C_Reader_Harris_Gallagher, discharge_coefficient_to_K

SEED = 20240721
DIAMETER = 0.2
DENSITY, VISCOSITY = 1.2, 1.81e-5

random = np.random.default_rng(SEED)


def digits(value, count=7):
    return float(f"{value:.{count}g}")


def uniform(low, high):
    return digits(random.uniform(low, high), 4)


def projecting():
    wall, projection = uniform(0, 0.05), uniform(0, 0.5)
    return [wall, projection] + [
        digits(entrance_distance(Di=DIAMETER, t=wall * DIAMETER, l=projection * DIAMETER, method="Idelchik"))
    ]


def bellmouth():
    ratio = uniform(0, 0.3)
    return [ratio] + [
        digits(entrance_rounded(Di=DIAMETER, rc=ratio * DIAMETER, method=method))
        for method in ("Idelchik", "Swamee", "Rennels", "Miller", "Crane")
    ]


def screens():
    free = uniform(0.2, 0.95)
    return [free] + [digits(value) for value in (square_edge_screen(free), square_edge_grill(free))]


def mesh():
    free = uniform(0.3, 0.8)
    return [free] + [digits(round_edge_screen(free, reynolds)) for reynolds in (400, 100, 50)]


def nets():
    free = uniform(0.85, 0.98)
    return [free] + [
        digits(round_edge_open_mesh(free, pattern)) for pattern in ("round bar screen", "diamond pattern wire", "knotless net")
    ]


def orifice():
    free = uniform(0.05, 0.55)
    hole = DIAMETER * math.sqrt(free)
    mass_flow = DENSITY * uniform(10, 40) * math.pi / 4 * hole**2
    c = C_Reader_Harris_Gallagher(D=DIAMETER, Do=hole, rho=DENSITY, mu=VISCOSITY, m=mass_flow, taps="corner")
    across = discharge_coefficient_to_K(D=DIAMETER, Do=hole, C=c)
    return [free, digits(across), digits((1 - free**2) / (c * free) ** 2 + 1)]


def table(name, columns, row, count):
    rows = ",\n".join(f"   {json.dumps(row())}" for _ in range(count))
    return f' "{name}": {{\n  "columns": {json.dumps(columns, ensure_ascii=False)},\n  "rows": [\n{rows}\n  ]\n }}'


head = {
    "source": "fluids.fittings: entrance_distance, entrance_rounded; fluids.filters: screens by Blevins 1984; fluids.flow_meter: ISO 5167 orifice plate, corner taps",
    "status": "library",
    "versions": {"fluids": fluids.__version__, "numpy": np.__version__},
    "seed": SEED,
}
text = ",\n".join(
    [
        json.dumps(head, indent=1, ensure_ascii=False).removesuffix("\n}"),
        table("projecting", ["wall thickness/D", "projection/D", "Idelchik"], projecting, 120),
        table("bellmouth", ["r/D", "Idelchik", "Swamee", "Rennels", "Miller", "Crane"], bellmouth, 120),
        table("screens", ["free area", "square-edged screen", "square-edged grille"], screens, 80),
        table("mesh", ["free area", "Re 400", "Re 100", "Re 50"], mesh, 80),
        table("nets", ["free area", "round bars", "diamond wire", "knotless"], nets, 30),
        table("orifice", ["free area", "across a duct", "into the open"], orifice, 80),
    ]
)
(pathlib.Path(__file__).parent / "fittings-ends-sweep.json").write_text(f"{text}\n}}\n")
