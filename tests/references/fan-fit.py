"""Writes fan-fit.json: least-squares polynomials of fan points by NumPy's polyfit, in scaled flow and as they come.

Run: python3 tests/references/fan-fit.py (reads fan-tables.json).
"""

import json
import pathlib

import numpy as np

SEED = 20240901
here = pathlib.Path(__file__).parent
tables = json.loads((here / "fan-tables.json").read_text())
CFM = 0.3048**3 / 60
INCH = 249.08891
random = np.random.default_rng(SEED)


def rounded(values):
    """Six digits, so that the file holds exactly the numbers that were used."""
    return [float(f"{x:.6g}") for x in values]


def case(name, flow, pressure, degree):
    flow, pressure = rounded(flow), rounded(pressure)
    fit = np.polynomial.Polynomial.fit(flow, pressure, degree)
    at = np.linspace(flow[0], flow[-1], 11)
    rests = np.array(pressure) - fit(np.array(flow))
    return {
        "name": name,
        "degree": degree,
        "flow": flow,
        "pressure": pressure,
        "coefficients": list(fit.convert().coef),
        "polyfit": list(np.polyfit(flow, pressure, degree)[::-1]),
        "at": list(at),
        "values": list(fit(at)),
        "rms": float(np.sqrt(np.mean(rests**2))),
        "largest": float(np.max(np.abs(rests))),
    }


cengel = np.array(tables["cengel"]["points"], float)
fox = np.array(tables["fox"]["points"], float)
cases = [
    *(case(f"Cengel and Cimbala 14-1, degree {d}", cengel[:, 0] * CFM, cengel[:, 1] * INCH, d) for d in (1, 2, 3, 5)),
    *(case(f"Fox and McDonald 10.11, degree {d}", fox[:, 0] * CFM, fox[:, 1] * INCH, d) for d in (2, 3, 4)),
]
for index in range(30):
    count = int(random.integers(4, 20))
    degree = int(random.integers(1, min(6, count - 1) + 1))
    start = random.choice([0, 0.05, 0.5])
    flow = start + np.cumsum(random.uniform(0.005, 0.05, count))
    pressure = 300 - 200 * (flow / flow[-1]) ** 2 + random.normal(0, 10, count)
    cases.append(case(f"random {index}, degree {degree}", flow, pressure, degree))

head = {
    "source": "numpy.polynomial.Polynomial.fit and numpy.polyfit",
    "status": "library",
    "versions": {"numpy": np.__version__},
    "seed": SEED,
    "units": "m3/s, Pa",
}
lines = ",\n".join(json.dumps(one, separators=(",", ":")) for one in cases)
text = json.dumps(head, indent=1).removesuffix("\n}")
(here / "fan-fit.json").write_text(f'{text},\n "cases": [\n{lines}\n ]\n}}\n')
