"""Writes counterflow.json: effectiveness of a counterflow exchanger by numerical integration along its length.

Run: /usr/bin/python3 tests/references/counterflow.py. Both streams' heat balances are integrated by SciPy; the number of
transfer units is that which gives the stated efficiency with equal flows, and stays as the smaller flow is reduced (a
constant conductance, so that the number on the smaller flow grows).
"""

import json
import pathlib

import numpy as np
import scipy
from scipy.integrate import solve_bvp

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
fixture = {
    "source": "heat balances of a counterflow exchanger integrated by scipy.integrate.solve_bvp",
    "status": "library",
    "versions": {"scipy": scipy.__version__},
    "columns": ["efficiency with equal flows", "smaller flow over larger", "effectiveness on the smaller flow"],
    "rows": rows,
}
(here / "counterflow.json").write_text(json.dumps(fixture, indent=1) + "\n")
print(rows)
