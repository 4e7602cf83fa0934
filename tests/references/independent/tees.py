"""Tees of `ductgraph/1` documents for the independent solver: from the legs' flows to their pressures.

The published forms, their reference velocity and their sources (status in brackets):

gardel     Gardel 1957, Bulletin technique de la Suisse romande 83, nos 9 and 10 (memory)
idelchik   Idelchik, 3rd edition, 2006, pp. 416-418 and 453, tables 7-1, 7-3, 7-4, diagram 7-20, run as large as
           the main (read in a library)
momentum   Hager 1984; Bassett, Winterbone and Pearson 2001, Proc. IMechE C 215, 861-881 (memory; converging derived)

q is the branch's share of the summed flow, a the branch's area over the main's, turn the angle by which the branch air
turns, and coefficients are on the velocity pressure of the summed flow in the main.
"""

import math
from collections.abc import Callable

LEGS = ("a", "b", "branch")


def smooth(t: float) -> float:
    return t * t * (3 - 2 * t)


# Each form gives the coefficients of the branch and of the run.


def gardel_diverging(q: float, a: float, turn: float, radius: float) -> tuple[float, float]:
    half = math.tan(turn / 2)
    rounded = 1 - 0.9 * math.sqrt(radius / a)
    branch = (
        0.95 * (1 - q) ** 2
        + q**2 * (1.3 * half - 0.3 + (0.4 - 0.1 * a) / a**2) * rounded
        + 0.4 * q * (1 - q) * (1 + a) / a * half
    )
    return branch, 0.03 * (1 - q) ** 2 + 0.35 * q**2 - 0.2 * q * (1 - q)


def gardel_converging(q: float, a: float, turn: float, radius: float) -> tuple[float, float]:
    slant = math.cos(turn) / a
    root = math.sqrt(radius)
    shared = (2 - a) * q * (1 - q)
    branch = (
        -0.92 * (1 - q) ** 2
        - q**2 * ((1.2 - root) * (slant - 1) + 0.8 * (1 - 1 / a**2) - (1 - a) * slant)
        + shared
    )
    run = 0.03 * (1 - q) ** 2 - q**2 * (1 + (1.62 - root) * (slant - 1) - 0.38 * (1 - a)) + shared
    return branch, run


def idelchik_diverging(q: float, a: float, turn: float, _: float) -> tuple[float, float]:
    if a <= 0.35:
        factor = 1.1 - 0.7 * q if q <= 0.4 else 0.85
    else:
        factor = 1 - 0.6 * q if q <= 0.6 else 0.6
    tau = 0.4
    if a > 0.4:
        tau = 2 * (2 * q - 1) if q <= 0.5 else 0.3 * (2 * q - 1)
    v = q / a
    return factor * (1 + v**2 - 2 * v * math.cos(turn)), tau * q**2


def idelchik_converging(q: float, a: float, turn: float, _: float) -> tuple[float, float]:
    factor, k1 = 1.0, 0.8 * q
    if a > 0.35:
        factor = 0.9 * (1 - q) if q <= 0.4 else 0.55
        k1 = 0.5 if q <= 0.6 else 0.8 * q
    slant = math.cos(turn) / a
    branch = factor * (1 + (q / a) ** 2 - 2 * (1 - q) ** 2 - 2 * q**2 * slant)
    return branch, 1 - (1 - q) ** 2 - (1.4 - q) * q**2 * math.sin(turn) - 2 * k1 * q * slant


def momentum_diverging(q: float, a: float, turn: float, _: float) -> tuple[float, float]:
    v, x = q / a, 1 - q
    return 1 + v**2 - 2 * v * math.cos(0.75 * turn), x**2 - 1.5 * x + 0.5


def momentum_converging(q: float, a: float, turn: float, _: float) -> tuple[float, float]:
    deflected = 2 * q**2 / a * math.cos(turn)
    return 1 + (q / a) ** 2 - 2 * (1 - q) ** 2 - deflected, 2 * q - q**2 - deflected


Form = Callable[[float, float, float, float], tuple[float, float]]
FORMS: dict[str, tuple[Form, Form]] = {  # diverging, converging
    "gardel": (gardel_diverging, gardel_converging),
    "idelchik": (idelchik_diverging, idelchik_converging),
    "momentum": (momentum_diverging, momentum_converging),
}
BLEND = 0.1  # share of the branch within which forms that do not meet at 0 are blended [-]
CORNER = 0.1  # half the width of a rounded corner over the product of the shares of the two lesser legs [-]


def loss_that_makes_up(power: float, corner: float) -> float:
    """What both ways of the air lose more where they would give it power, the corner at no power rounded by a parabola."""
    if power >= corner:
        return 0.0
    return -power if power <= -corner else (corner - power) ** 2 / (4 * corner)


class Tee:
    """A tee by the areas [m²] of its legs and its main; pressures of the legs from their flows [m³/s] into it."""

    def __init__(self, areas: dict[str, float], main: float, angle: float, model: str, radius: float, density: float):
        self.areas, self.main, self.angle, self.model = areas, main, angle, model
        self.ratio, self.radius, self.density = areas["branch"] / main, radius, density
        self.diverging_form, self.converging_form = FORMS[model]
        if not math.radians(20) <= angle <= math.radians(160):
            raise ValueError(f"angle: {angle}")
        if not self.ratio <= 1.2:
            raise ValueError(f"area ratio: {self.ratio}")
        if not all(areas[leg] <= main * (1 + 1e-12) for leg in ("a", "b")):
            raise ValueError("main: a straight leg is larger")

    def turn(self, straight: str) -> float:
        """By how much air turns between a straight leg and the branch, either way."""
        return self.angle if straight == "a" else math.pi - self.angle

    def diverging(self, q: float, source: str) -> tuple[float, float]:
        return self.diverging_form(q, self.ratio, self.turn(source), self.radius)

    def converging(self, q: float, sink: str) -> tuple[float, float]:
        return self.converging_form(q, self.ratio, self.turn(sink), self.radius)

    def velocity_pressure(self, flows: dict[str, float]) -> float:
        """Of the summed flow in the main [Pa]."""
        return 0.5 * self.density * (max(abs(flow) for flow in flows.values()) / self.main) ** 2

    def bridged(self, flows: dict[str, float]) -> bool:
        """Whether no published form holds as it is."""
        total = max(abs(flow) for flow in flows.values())
        if abs(flows["branch"]) == total or self.added(flows) > 0:
            return True
        return self.model == "idelchik" and abs(flows["branch"]) < BLEND * total

    def added(self, flows: dict[str, float]) -> float:
        """What both ways lose beyond the forms, over the velocity pressure of the summed flow [-]."""
        return self.made_up(self.forms(flows), flows)

    def pressures(self, flows: dict[str, float]) -> dict[str, float]:
        """Total pressures at the ports [Pa], that of port b taken as 0."""
        inside = self.coefficients(flows)
        size = self.velocity_pressure(flows)
        at = {leg: size * inside[leg] + self.transition(leg, flows[leg]) for leg in LEGS}
        return {leg: at[leg] - at["b"] for leg in LEGS}

    def transition(self, leg: str, flow: float) -> float:
        """What the cone of a smaller straight leg takes [Pa], with the flow's sign."""
        share = self.areas[leg] / self.main
        if leg == "branch" or share >= 1:
            return 0.0
        half = math.sin(math.radians(15))
        loss = 2.6 * half * (1 - share) ** 2 if flow > 0 else 0.8 * half * (1 - share)
        return loss * 0.5 * self.density * flow * abs(flow) / self.areas[leg] ** 2

    def coefficients(self, flows: dict[str, float]) -> dict[str, float]:
        """Total pressures inside over the velocity pressure of the summed flow, but for a constant [-]."""
        return self.without_gain(self.forms(flows), flows)

    @staticmethod
    def made_up(at: dict[str, float], flows: dict[str, float]) -> float:
        """The loss of both ways at these pressures and flows, without which the air would gain power."""
        total = max(abs(flow) for flow in flows.values())
        if total == 0:
            return 0.0
        shares = {leg: flow / total for leg, flow in flows.items()}
        power = sum(share * at[leg] for leg, share in shares.items())
        return loss_that_makes_up(power, CORNER * abs(math.prod(shares.values())))

    def without_gain(self, at: dict[str, float], flows: dict[str, float]) -> dict[str, float]:
        """The leg that carries the sum stands higher by that loss where it brings the air, lower where it takes it."""
        common = max(LEGS, key=lambda leg: abs(flows[leg]))
        return {**at, common: at[common] + math.copysign(self.made_up(at, flows), flows[common])}

    def forms(self, flows: dict[str, float]) -> dict[str, float]:
        """The same by the published forms and the bridges between them."""
        common = max(LEGS, key=lambda leg: abs(flows[leg]))
        total = abs(flows[common])
        if total == 0:
            return dict.fromkeys(LEGS, 0.0)
        if common == "branch":
            return self.bridge(min(abs(flows["b"]) / total, 1), flows["branch"] > 0)
        # Seen along the main: share of the flow that leaves by the branch, negative where the branch brings it.
        upstream, downstream = ("a", "b") if flows["a"] > flows["b"] else ("b", "a")
        leaving = -flows["branch"] / total
        diverging = self.at_diverging(max(leaving, 0), upstream, downstream)
        converging = self.at_converging(max(-leaving, 0), upstream, downstream)
        weight = 1.0 if leaving >= 0 else 0.0
        if self.model == "idelchik" and abs(leaving) < BLEND:
            weight = smooth((leaving + BLEND) / (2 * BLEND))
        return {leg: weight * diverging[leg] + (1 - weight) * converging[leg] for leg in LEGS}

    def at_diverging(self, q: float, upstream: str, downstream: str) -> dict[str, float]:
        branch, run = self.diverging(q, upstream)
        return {upstream: 0, downstream: -run, "branch": -branch}

    def at_converging(self, q: float, upstream: str, downstream: str) -> dict[str, float]:
        """The same, with the upstream straight leg at 0 too."""
        branch, run = self.converging(q, downstream)
        return {upstream: 0, downstream: -run, "branch": branch - run}

    def bridge(self, share: float, from_branch: bool) -> dict[str, float]:
        """The branch carries the sum, of which leg b has a share: between all through leg a and all through leg b."""
        weight = smooth(share)
        if from_branch:  # all of it to one straight leg: the other brings nothing to where the air converges
            to_a, to_b = self.at_converging(1, "b", "a"), self.at_converging(1, "a", "b")
        else:
            to_a, to_b = self.at_diverging(1, "a", "b"), self.at_diverging(1, "b", "a")
        sign = 1 if from_branch else -1
        to_a = self.without_gain(to_a, {"a": -sign, "b": 0, "branch": sign})
        to_b = self.without_gain(to_b, {"a": 0, "b": -sign, "branch": sign})
        return {
            leg: (1 - weight) * (to_a[leg] - to_a["branch"]) + weight * (to_b[leg] - to_b["branch"]) for leg in LEGS
        }
