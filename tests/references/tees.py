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
SLENDER = 120  # more, of slender wyes in which the published forms would give power to the air
BLENDED = 0.1
CORNER = 0.1


def smooth(s):
    s = min(1.0, max(0.0, s))
    return s * s * (3 - 2 * s)


def gardel_diverging(q, a, t, r):
    rounded = 1 - 0.9 * math.sqrt(r / a)
    branch = 0.95 * (1 - q) ** 2
    branch += q * q * ((1.3 * math.tan(t / 2) - 0.3 + (0.4 - 0.1 * a) / a**2) * rounded)
    branch += 0.4 * q * (1 - q) * ((1 + a) / a) * math.tan(t / 2)
    return 0.03 * (1 - q) ** 2 + 0.35 * q * q - 0.2 * q * (1 - q), branch


def gardel_converging(q, a, t, r):
    c = math.cos(t)
    branch = -0.92 * (1 - q) ** 2 + (2 - a) * q * (1 - q)
    branch -= q * q * ((1.2 - math.sqrt(r)) * (c / a - 1) + 0.8 * (1 - 1 / a**2) - (1 - a) * c / a)
    run = 0.03 * (1 - q) ** 2 + (2 - a) * q * (1 - q)
    run -= q * q * (1 + (1.62 - math.sqrt(r)) * (c / a - 1) - 0.38 * (1 - a))
    return run, branch


def momentum_diverging(q, a, t, r):
    x, v = 1 - q, q / a
    return x * x - 1.5 * x + 0.5, 1 + v * v - 2 * v * math.cos(0.75 * t)


def momentum_converging(q, a, t, r):
    v = q / a
    return 2 * q - q * q - 2 * q * q / a * math.cos(t), 1 + v * v - 2 * (1 - q) ** 2 - 2 * q * q / a * math.cos(t)


def stepped(q, at, below, above):
    w = smooth((q - at + 0.05) / 0.1)
    return (1 - w) * below + w * above


def by_area(a, at, up_to, above):
    w = smooth((a - at + 0.01) / 0.02)
    return (1 - w) * up_to + w * above


def idelchik_diverging(q, a, t, r):
    factor = by_area(a, 0.35, stepped(q, 0.4, 1.1 - 0.7 * q, 0.85), stepped(q, 0.6, 1 - 0.6 * q, 0.6))
    tau = by_area(a, 0.4, 0.4, 2 * (2 * q - 1) if q <= 0.5 else 0.3 * (2 * q - 1))
    v = q / a
    return tau * q * q, factor * (1 + v * v - 2 * v * math.cos(t))


def idelchik_converging(q, a, t, r):
    factor = by_area(a, 0.35, 1, stepped(q, 0.4, 0.9 * (1 - q), 0.55))
    k1 = by_area(a, 0.35, 0.8 * q, stepped(q, 0.6, 0.5, 0.8 * q))
    v = q / a
    run = 1 - (1 - q) ** 2 - (1.4 - q) * q * q * math.sin(t) - 2 * k1 * q / a * math.cos(t)
    return run, factor * (1 + v * v - 2 * (1 - q) ** 2 - 2 * q * q / a * math.cos(t))


MODELS = {
    "gardel": (gardel_diverging, gardel_converging),
    "idelchik": (idelchik_diverging, idelchik_converging),
    "momentum": (momentum_diverging, momentum_converging),
}


def differences(model, a, angle, r, x):
    """Coefficients of P_up − P_branch and P_down − P_branch, air going along a main whose branch takes (x > 0) or brings."""

    def diverging(q):
        run, branch = MODELS[model][0](q, a, angle, r)
        return branch, branch - run

    def converging(q):
        run, branch = MODELS[model][1](q, a, math.pi - angle, r)
        return run - branch, -branch

    if model != "idelchik" or abs(x) >= BLENDED:
        return diverging(x) if x >= 0 else converging(-x)
    w = smooth((x / BLENDED + 1) / 2)
    return tuple(w * d + (1 - w) * g for d, g in zip(diverging(max(x, 0)), converging(max(-x, 0))))


def raised(pressures, common, power, corner):
    """Pressures over the branch, with both ways' losses so much higher that they take no less power than none.

    `pressures` of legs a and b in units of a velocity pressure, `power` in such units and the summed flow, `common` how
    each leg moves with a loss of both ways: 1 up, -1 down, 0 not at all.
    """
    if power >= corner:
        return pressures
    loss = -power if power <= -corner else (corner - power) ** 2 / (4 * corner)
    return [p + sign * loss for p, sign in zip(pressures, common)]


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
        x, y = up / common, down / common
        d_up, d_down = differences(model, ratio, turn, r, x + y)
        moved = (1, 0) if up > -down else (0, -1)
        both = raised((d_up, d_down), moved, x * d_up + y * d_down, CORNER * abs(x * y * (x + y)))
        return [d * velocity_pressure(common) for d in both]

    if a * b < 0:
        if a > 0:
            d_a, d_b = along(a, b, angle)
        else:
            d_b, d_a = along(b, a, math.pi - angle)
    else:
        x = 1 if a > 0 else -1
        # Where the sum goes by one leg alone, this leg stands first where it brings the air, second where it takes it.
        own, other = (0, 1) if a > 0 else (1, 0)
        by_a = list(differences(model, ratio, angle if a > 0 else math.pi - angle, r, x))
        by_b = list(differences(model, ratio, math.pi - angle if a > 0 else angle, r, x))
        for ends in (by_a, by_b):
            ends[own] = x * max(0, x * ends[own])
        share = b / (a + b)
        w = smooth(share)
        d_a = (1 - w) * by_a[own] + w * by_b[other]
        d_b = (1 - w) * by_a[other] + w * by_b[own]
        power = x * ((1 - share) * d_a + share * d_b)
        both = raised((d_a, d_b), (x, x), power, CORNER * share * (1 - share))
        d_a, d_b = (d * velocity_pressure(a + b) for d in both)
    return d_a + transition(a, leg_a, main, density), d_b + transition(b, leg_b, main, density)


random.seed(SEED)
rows = []
for index in range(COUNT + SLENDER):
    model = list(MODELS)[index % 3]
    six = 2 * math.pi * random.random()
    size = 10 ** random.uniform(-3, 1)
    areas, degrees = (0.1, 1.2), (20, 160)
    if index >= COUNT:
        areas = {"gardel": (1.05, 1.2), "idelchik": (0.36, 1.0), "momentum": (0.1, 0.3)}[model]
        degrees = random.choice([(20, 40), (140, 160)])
        # Leg a leans to the branch below 90°, leg b above: momentum diverges from it, the others converge to it.
        share = random.uniform(*{"gardel": (0.5, 1.3), "idelchik": (0.02, 0.4), "momentum": (0.02, 0.3)}[model])
        first, second = (1, share - 1) if model == "momentum" else (-1, 1 - share)
        six = math.atan2(second, first) if degrees[0] < 90 else math.atan2(first, second)
    case = [
        (main := round(random.uniform(0.005, 0.2), 5)),
        round(main * random.uniform(*areas), 6),
        round(main * random.choice([1, random.uniform(0.2, 1)]), 6),
        round(main * random.choice([1, random.uniform(0.2, 1)]), 6),
        round(random.uniform(*degrees), 2),
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
