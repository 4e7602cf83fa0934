"""Writes tees.json's companion tees-sweep.json: pressure differences of tees, worked out from published coefficients.

Run: python3 tests/references/tees.py (plain Python).

Written from the published formulas and the rules of the project, flow pattern by flow pattern, with coefficients as
functions of the flow share q and losses in Pa; the library works with quadratic forms in the leg flows instead.
"""

import json
import math
import pathlib
import random

SEED = 20240911
COUNT = 240
BLENDED = 0.1


def smooth(s):
    s = min(1.0, max(0.0, s))
    return s * s * (3 - 2 * s)


def gardel_dividing(q, a, t, r):
    rounded = 1 - 0.9 * math.sqrt(r / a)
    branch = 0.95 * (1 - q) ** 2
    branch += q * q * ((1.3 * math.tan(t / 2) - 0.3 + (0.4 - 0.1 * a) / a**2) * rounded)
    branch += 0.4 * q * (1 - q) * ((1 + a) / a) * math.tan(t / 2)
    return 0.03 * (1 - q) ** 2 + 0.35 * q * q - 0.2 * q * (1 - q), branch


def gardel_gathering(q, a, t, r):
    c = math.cos(t)
    branch = -0.92 * (1 - q) ** 2 + (2 - a) * q * (1 - q)
    branch -= q * q * ((1.2 - math.sqrt(r)) * (c / a - 1) + 0.8 * (1 - 1 / a**2) - (1 - a) * c / a)
    run = 0.03 * (1 - q) ** 2 + (2 - a) * q * (1 - q)
    run -= q * q * (1 + (1.62 - math.sqrt(r)) * (c / a - 1) - 0.38 * (1 - a))
    return run, branch


def momentum_dividing(q, a, t, r):
    x, v = 1 - q, q / a
    return x * x - 1.5 * x + 0.5, 1 + v * v - 2 * v * math.cos(0.75 * t)


def momentum_gathering(q, a, t, r):
    v = q / a
    return 2 * q - q * q - 2 * q * q / a * math.cos(t), 1 + v * v - 2 * (1 - q) ** 2 - 2 * q * q / a * math.cos(t)


def stepped(q, at, below, above):
    w = smooth((q - at + 0.05) / 0.1)
    return (1 - w) * below + w * above


def by_area(a, at, up_to, above):
    w = smooth((a - at + 0.01) / 0.02)
    return (1 - w) * up_to + w * above


def idelchik_dividing(q, a, t, r):
    factor = by_area(a, 0.35, stepped(q, 0.4, 1.1 - 0.7 * q, 0.85), stepped(q, 0.6, 1 - 0.6 * q, 0.6))
    tau = by_area(a, 0.4, 0.4, 2 * (2 * q - 1) if q <= 0.5 else 0.3 * (2 * q - 1))
    v = q / a
    return tau * q * q, factor * (1 + v * v - 2 * v * math.cos(t))


def idelchik_gathering(q, a, t, r):
    factor = by_area(a, 0.35, 1, stepped(q, 0.4, 0.9 * (1 - q), 0.55))
    k1 = by_area(a, 0.35, 0.8 * q, stepped(q, 0.6, 0.5, 0.8 * q))
    v = q / a
    run = 1 - (1 - q) ** 2 - (1.4 - q) * q * q * math.sin(t) - 2 * k1 * q / a * math.cos(t)
    return run, factor * (1 + v * v - 2 * (1 - q) ** 2 - 2 * q * q / a * math.cos(t))


MODELS = {
    "gardel": (gardel_dividing, gardel_gathering),
    "idelchik": (idelchik_dividing, idelchik_gathering),
    "momentum": (momentum_dividing, momentum_gathering),
}


def differences(model, a, angle, r, x):
    """Coefficients of P_up − P_branch and P_down − P_branch, air going along a main whose branch takes (x > 0) or brings."""

    def dividing(q):
        run, branch = MODELS[model][0](q, a, angle, r)
        return branch, branch - run

    def gathering(q):
        run, branch = MODELS[model][1](q, a, math.pi - angle, r)
        return run - branch, -branch

    if model != "idelchik" or abs(x) >= BLENDED:
        return dividing(x) if x >= 0 else gathering(-x)
    w = smooth((x / BLENDED + 1) / 2)
    return tuple(w * d + (1 - w) * g for d, g in zip(dividing(max(x, 0)), gathering(max(-x, 0))))


def transition(m, leg, main, density):
    """Loss of total pressure of the air that flows by m [kg/s] through the cone of a leg, signed like m."""
    b = leg / main
    k = 2.6 * math.sin(math.pi / 12) * (1 - b) ** 2 if m > 0 else 0.8 * math.sin(math.pi / 12) * (1 - b)
    return math.copysign(k * density / 2 * (m / density / leg) ** 2, m)


def pressures(model, main, branch, leg_a, leg_b, angle, r, a, b, density):
    ratio = branch / main

    def velocity_pressure(m):
        return density / 2 * (m / density / main) ** 2

    def along(up, down, turn):
        common = max(up, -down)
        return [d * velocity_pressure(common) for d in differences(model, ratio, turn, r, (up + down) / common)]

    if a * b < 0:
        if a > 0:
            d_a, d_b = along(a, b, angle)
        else:
            d_b, d_a = along(b, a, math.pi - angle)
    else:
        x = 1 if a > 0 else -1
        # Where the sum goes by one leg alone, this leg stands first where it brings the air, second where it takes it.
        own, other = (0, 1) if a > 0 else (1, 0)
        by_a = differences(model, ratio, angle if a > 0 else math.pi - angle, r, x)
        by_b = differences(model, ratio, math.pi - angle if a > 0 else angle, r, x)
        w = smooth(b / (a + b))
        pv = velocity_pressure(a + b)
        d_a = pv * ((1 - w) * by_a[own] + w * by_b[other])
        d_b = pv * ((1 - w) * by_a[other] + w * by_b[own])
    return d_a + transition(a, leg_a, main, density), d_b + transition(b, leg_b, main, density)


random.seed(SEED)
rows = []
for index in range(COUNT):
    model = list(MODELS)[index % 3]
    six = 2 * math.pi * random.random()
    size = 10 ** random.uniform(-3, 1)
    case = [
        (main := round(random.uniform(0.005, 0.2), 5)),
        round(main * random.uniform(0.1, 1.2), 6),
        round(main * random.choice([1, random.uniform(0.2, 1)]), 6),
        round(main * random.choice([1, random.uniform(0.2, 1)]), 6),
        round(random.uniform(20, 160), 2),
        round(random.choice([0, random.uniform(0, 0.1)]), 4),
        float(f"{size * math.cos(six):.5g}"),
        float(f"{size * math.sin(six):.5g}"),
        1.2,
    ]
    main, branch, leg_a, leg_b, degrees, r, a, b, density = case
    found = pressures(model, main, branch, leg_a, leg_b, math.radians(degrees), r, a, b, density)
    rows.append([model, *case, *(float(f"{p:.12g}") for p in found)])

head = {
    "source": "tests/references/tees.py: published coefficients of tees worked out in plain Python, pattern by pattern",
    "status": "computed",
    "seed": SEED,
    "columns": [
        *["model", "area of main, m²", "area of branch, m²", "area of a, m²", "area of b, m²", "angle, °", "edge radius"],
        *["a, kg/s", "b, kg/s", "density, kg/m³", "P_a − P_branch, Pa", "P_b − P_branch, Pa"],
    ],
}
lines = ",\n".join(json.dumps(row, separators=(",", ":")) for row in rows)
text = json.dumps(head, indent=1, ensure_ascii=False).removesuffix("\n}")
(pathlib.Path(__file__).parent / "tees-sweep.json").write_text(f'{text},\n "rows": [\n{lines}\n ]\n}}\n')
