"""Writes counterflow.json: effectiveness and frost limits of a counterflow exchanger, by integration along its length.

Run: python3 tests/references/counterflow.py (with SciPy). Both streams' heat balances are integrated numerically; no
closed form is used but that of equal flows, which gives the conductance. It stays as one flow is reduced, so that the
number of transfer units on the smaller flow grows.
"""

import json
import pathlib

import numpy as np
import scipy
from scipy.integrate import solve_bvp, solve_ivp
from scipy.optimize import brentq

here = pathlib.Path(__file__).parent


def effectiveness(conductance, ratio):
    """Smaller stream 0 → 1 with capacity `ratio`, larger stream 1 → 0 with capacity 1; entries at 0 and 1."""

    def slopes(_, t):
        exchanged = conductance * (t[1] - t[0])
        return np.vstack([exchanged / ratio, exchanged])

    x = np.linspace(0, 1, 201)
    ends = lambda a, b: np.array([a[0], b[1] - 1])
    solved = solve_bvp(slopes, ends, x, np.vstack([x, x]), tol=1e-11, max_nodes=200_000)
    assert solved.success
    return float(solved.sol(1)[0])


rows = []
for efficiency in (0.5, 0.75, 0.85):
    conductance = efficiency / (1 - efficiency)  # checked below: ratio 1 must give the efficiency back
    for ratio in (1, 0.9, 0.7, 0.5, 0.3):
        rows.append([efficiency, ratio, effectiveness(conductance, ratio)])
        if ratio == 1:
            assert abs(rows[-1][2] - efficiency) < 1e-9, rows[-1]


def reduced_supply(efficiency, outdoor, extract, limit, full=1):
    """Supply over extract flow at which the exhaust leaves at the limit; `full` is that before it is reduced.

    Where supply air enters, at 0, both temperatures are then known: outdoors and the limit. From there both streams are
    integrated to the other end, where the extract air must have its temperature.
    """

    # Over the capacity of the extract flow; the efficiency is that of both flows at the larger full one.
    conductance = efficiency / (1 - efficiency) * max(full, 1)

    def entry(ratio):
        slopes = lambda _, t: [conductance * (t[1] - t[0]) / ratio, conductance * (t[1] - t[0])]
        ends = solve_ivp(slopes, (0, 1), [outdoor, limit], method="DOP853", rtol=1e-13, atol=1e-13)
        assert ends.success
        return ends.y[1, -1]

    return brentq(lambda ratio: entry(ratio) - extract, 0.2, max(full, 1), xtol=1e-14, rtol=1e-14)


frost = []
for efficiency, outdoor, extract, limit in (
    (0.8, -12, 20, 0),
    (0.85, -15, 21, 2),
    (0.75, -10, 20, 1),
    (0.85, -9, 20, -2),
    (0.6, -20, 22, 5),
    (0.5, -25, 18, -1),
    (0.9, -5, 20, 2),
):
    frost.append([efficiency, outdoor, extract, limit, reduced_supply(efficiency, outdoor, extract, limit)])
    print(frost[-1])

unequal = []
for efficiency, outdoor, extract, limit, full in (
    (0.8, -12, 20, 0, 1.1),
    (0.8, -12, 20, 0, 1.2),
    (0.8, -12, 20, 0, 2),
    (0.85, -15, 21, 2, 1.3),
    (0.5, -10, 20, 1, 1.5),  # what is left still exceeds the extract flow
    (0.8, -12, 20, 0, 0.9),
):
    unequal.append([efficiency, outdoor, extract, limit, full, reduced_supply(efficiency, outdoor, extract, limit, full)])
    print(unequal[-1])

fixture = {
    "source": "heat balances of a counterflow exchanger integrated by SciPy's solve_bvp and, for frost, solve_ivp",
    "status": "library",
    "versions": {"scipy": scipy.__version__},
    "columns": ["efficiency with equal flows", "smaller flow over larger", "effectiveness on the smaller flow"],
    "rows": rows,
    "frostColumns": ["efficiency with equal flows", "outdoor, °C", "extract, °C", "limit, °C", "supply over extract flow"],
    "frost": frost,
    "unequalColumns": [
        "efficiency with both flows the larger full one",
        "outdoor, °C",
        "extract, °C",
        "limit, °C",
        "full supply over extract flow",
        "supply over extract flow",
    ],
    "unequal": unequal,
}
(here / "counterflow.json").write_text(json.dumps(fixture, indent=1, ensure_ascii=False) + "\n")
print(rows)
