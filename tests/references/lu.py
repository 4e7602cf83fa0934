"""Writes lu.json: pressures of networks with tees by SciPy's sparse LU. Run: python3 tests/references/lu.py

A branch joins two points, or a point and the ground (-1). The matrix is A J^-1 A^T, multiplied out of the incidence
matrix A (+1 where a branch begins, -1 where it ends) and the slopes J: 1 by 1 for a branch of its own, 2 by 2 for the
branches a -> c and b -> c of a tee with the ports a, b and c.
"""

import json
import pathlib

import numpy as np
import scipy
from scipy.sparse import block_diag, csc_matrix
from scipy.sparse.linalg import spsolve

SEED = 20241125
random = np.random.default_rng(SEED)


def digits(x):
    """Five digits, so that the file stays small and holds exactly the numbers that were used."""
    return [float(f"{v:.5g}") for v in np.ravel(x)]


cases = []
for points, tees in [(4, 1), (12, 3), (30, 8), (60, 15), (120, 30)]:
    branches = [[i, int(random.integers(-1, i)) if i else -1] for i in range(points)]
    branches += [random.choice(points, 2, replace=False).tolist() for _ in range(points // 20)]
    slopes = digits(10 ** random.uniform(-1, 3, len(branches)))
    ports = [random.choice(points, 3, replace=False).tolist() for _ in range(tees)]
    # Of any sign off the diagonal; often far from symmetric.
    blocks = [
        digits(scale * (np.diag(random.uniform(1, 2, 2)) + random.uniform(-0.9, 0.9, (2, 2))))
        for scale in 10 ** random.uniform(-1, 3, tees)
    ]
    ends = branches + [end for a, b, c in ports for end in ([a, c], [b, c])]
    incidence = np.zeros((points, len(ends)))
    for e, (i, j) in enumerate(ends):
        if i >= 0:
            incidence[i, e] += 1
        if j >= 0:
            incidence[j, e] -= 1
    slope = block_diag([[[g]] for g in slopes] + [np.reshape(block, (2, 2)) for block in blocks]).toarray()
    matrix = incidence @ np.linalg.inv(slope) @ incidence.T
    rhs = digits(random.uniform(-1, 1, points))
    cases.append(
        {
            "points": points,
            "branches": branches,
            "slopes": slopes,
            "tees": ports,
            "blocks": blocks,
            "rhs": rhs,
            "condition": float(f"{np.linalg.cond(matrix):.3g}"),
            "solution": spsolve(csc_matrix(matrix), rhs).tolist(),
        }
    )

fixture = {
    "source": "scipy.sparse.linalg.spsolve (SuperLU, partial pivoting)",
    "status": "library",
    "versions": {"scipy": scipy.__version__, "numpy": np.__version__},
    "seed": SEED,
    "cases": cases,
}
path = pathlib.Path(__file__).with_suffix(".json")
path.write_text(json.dumps(fixture, separators=(",", ":")) + "\n")
for case in cases:
    print(case["points"], case["condition"], max(map(abs, case["solution"])))
