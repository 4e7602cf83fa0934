"""Writes friction-sweep.json (200 points) and friction-sweep-all.json (all 10,000): factors of the fluids library.

Run: python3 tests/references/friction-sweep.py (Debian's python3-fluids).
"""

import json
import pathlib

import fluids
import numpy as np
from fluids.friction import Churchill_1977, Colebrook, Haaland, Serghides_1, Swamee_Jain_1976

SEED = 20240718
COUNT = 10_000
FEW = 200
SMOOTH_EVERY = 10

random = np.random.default_rng(SEED)
here = pathlib.Path(__file__).parent


def log_uniform(low, high):
    """Rounded to six digits, so that the files stay small and hold exactly the numbers that were used."""
    return [float(f"{x:.6g}") for x in np.exp(random.uniform(np.log(low), np.log(high), COUNT))]


turbulent = log_uniform(4e3, 1e8)
everywhere = log_uniform(100, 1e8)
rough = log_uniform(1e-6, 5e-2)
rough[::SMOOTH_EVERY] = [0.0] * (COUNT // SMOOTH_EVERY)

rows = [
    [re, wide, e, *(law(re, e) for law in (Colebrook, Haaland, Swamee_Jain_1976, Serghides_1)), Churchill_1977(wide, e)]
    for re, wide, e in zip(turbulent, everywhere, rough)
]
head = {
    "source": "fluids.friction: Colebrook, Haaland, Swamee_Jain_1976, Serghides_1, Churchill_1977",
    "status": "library",
    "versions": {"fluids": fluids.__version__, "numpy": np.__version__},
    "seed": SEED,
    "columns": ["Re", "Re of churchill", "ε/D", "colebrook", "haaland", "swamee-jain", "serghides", "churchill"],
}


def write(name, rows):
    lines = ",\n".join(json.dumps(row, separators=(",", ":")) for row in rows)
    text = json.dumps(head, indent=1, ensure_ascii=False).removesuffix("\n}")
    (here / name).write_text(f'{text},\n "rows": [\n{lines}\n ]\n}}\n')


write("friction-sweep.json", rows[:FEW])
write("friction-sweep-all.json", rows)
