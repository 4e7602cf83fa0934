"""An independent solver of `ductgraph/1` documents: the reference for the folders tests/networks/independent*.

It shares no code and no method with the library. The unknowns are the mass flow of every branch and the total
pressure of every free point, all in one vector; scipy's hybrid method finds the answer from two different starts, and
Newton steps with a dense matrix and slopes by central differences polish it. The Colebrook-White equation is solved
by bracketing (brentq), never by an explicit approximation.

Run by hand from anywhere (NumPy and SciPy, no others):

    python3 solver.py                 solves every document and rewrites answers.json and answers-tees.json
    python3 solver.py document.json   solves that document and prints its flows, writes nothing

Documents are in SI numbers: a text where a number is expected is refused. Refused too are fittings other than `fixed`
and `rating`, ends at the outdoors other than `flush`, and transitions other than `abrupt`. The losses of tees stand in
tees.py.
"""

import hashlib
import json
import math
import sys
from collections import Counter, defaultdict
from pathlib import Path
from typing import Callable, NamedTuple

import numpy as np
import scipy
from scipy.interpolate import CubicHermiteSpline, PchipInterpolator
from scipy.optimize import brentq, root
from tees import LEGS, Tee

HERE = Path(__file__).resolve().parent
NETWORKS = HERE.parent.parent / "networks"
ANSWERS = {"independent": "answers.json", "independent-tees": "answers-tees.json"}  # by folder of documents

GRAVITY = 9.80665  # [m/s²]
RATING_DENSITY = 1.2  # [kg/m³]
DEFAULT_VISCOSITY = 1.81e-5  # [Pa·s]
DEFAULT_ROUGHNESS = 0.09e-3  # [m]
OPENING_REGULAR = 0.001  # below this pressure difference an opening follows its regular form [Pa]
PRESSURE_LIMIT = 1e-9  # largest residual of an answer that is written [Pa]
MASS_LIMIT = 1e-12  # largest residual of an answer that is written, over the largest mass flow [-]
AGREEMENT = 1e-9  # the answers from all starts differ by less, over the largest flow and pressure [-]
TEE_STARTS = 24  # with tees there may be several answers; from so many starts the solver looks for a second
TEE_STARTS_SOLVED = 12  # of which so many must lead to an answer

TIGHT = {"rtol": 4 * np.finfo(float).eps, "maxiter": 500}


# ---------------------------------------------------------------------------------------------- reading


class Refused(Exception):
    """The document is wrong, or outside what this solver covers."""


def keys(entry: dict, where: str, *allowed: str) -> None:
    """Refuses unknown keys, so that no part of a document is silently left out of its answer."""
    unknown = set(entry) - set(allowed) - {"label", "meta"}
    if unknown:
        raise Refused(f"{where}: not covered: {sorted(unknown)}")


def number(entry: dict, key: str, default: float | None = None) -> float:
    value = entry.get(key, default)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise Refused(f"{key}: expected a number, got {value!r}")
    return float(value)


# ------------------------------------------------------------------------------------------------- air


class Air(NamedTuple):
    density: float  # [kg/m³]
    viscosity: float  # [Pa·s]


def pressure_at_altitude(altitude: float) -> float:
    """Absolute pressure [Pa] of the standard atmosphere (ISO 2533) at a geometric altitude [m]."""
    geopotential = 6356766 * altitude / (6356766 + altitude)
    return 101325 * (1 - 0.0065 * geopotential / 288.15) ** (9.80665 / (287.05287 * 0.0065))


def saturation_pressure(temperature: float) -> float:
    """Saturation pressure [Pa] over ice or water at a temperature [°C] (Hyland and Wexler 1983, ASHRAE's form)."""
    t = temperature + 273.15
    if temperature <= 0:
        return math.exp(
            -5.6745359e3 / t + 6.3925247 - 9.6778430e-3 * t + 6.2215701e-7 * t**2 + 2.0747825e-9 * t**3
            - 9.4840240e-13 * t**4 + 4.1635019 * math.log(t)
        )
    return math.exp(
        -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t**2 - 1.4452093e-8 * t**3
        + 6.5459673 * math.log(t)
    )


def read_air(entry: dict, network_air: dict) -> Air:
    """Density and viscosity of an `air` entry; pressure or altitude default to those of the network's air."""
    keys(entry, "air", "density", "viscosity", "temperature", "pressure", "altitude", "relativeHumidity")
    if "temperature" not in entry:
        keys(entry, "air", "density", "viscosity")
        return Air(number(entry, "density"), number(entry, "viscosity", DEFAULT_VISCOSITY))

    place = entry if "pressure" in entry or "altitude" in entry else network_air
    pressure = number(place, "pressure") if "pressure" in place else pressure_at_altitude(number(place, "altitude", 0))
    temperature = number(entry, "temperature")
    kelvin = temperature + 273.15
    vapour = number(entry, "relativeHumidity", 0) * saturation_pressure(temperature)
    ratio = 0.621945 * vapour / (pressure - vapour)
    density = (1 + ratio) * pressure / (287.042 * kelvin * (1 + 1.607858 * ratio))
    return Air(density, 1.458e-6 * kelvin**1.5 / (kelvin + 110.4))


# -------------------------------------------------------------------------------------------- friction


def colebrook(reynolds: float, roughness: float) -> float:
    def defect(y: float) -> float:
        return y + 2 * math.log10(roughness / 3.7 + 2.51 * y / reynolds)

    return brentq(defect, 1e-3, 100, xtol=1e-15, **TIGHT) ** -2


def colebrook_by_iteration(reynolds: complex, roughness: float) -> complex:
    """The same root by fixed-point iteration: in complex numbers for the slope, in real ones to check the answer."""
    y = 8
    for _ in range(60):
        y = -2 * np.log10(roughness / 3.7 + 2.51 * y / reynolds)
    return y**-2


def haaland(reynolds: complex, roughness: float) -> complex:
    return (-1.8 * np.log10((roughness / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2


def swamee_jain(reynolds: complex, roughness: float) -> complex:
    return (-2 * np.log10(roughness / 3.7 + 5.74 / reynolds**0.9)) ** -2


def serghides(reynolds: complex, roughness: float) -> complex:
    a = -2 * np.log10(roughness / 3.7 + 12 / reynolds)
    b = -2 * np.log10(roughness / 3.7 + 2.51 * a / reynolds)
    c = -2 * np.log10(roughness / 3.7 + 2.51 * b / reynolds)
    return (a - (b - a) ** 2 / (c - 2 * b + a)) ** -2


def churchill(reynolds: float, roughness: float) -> float:
    if reynolds < 1e-3:  # the turbulent term is below 1e-100 of the laminar one, and its powers overflow
        return 64 / reynolds
    a = (2.457 * math.log(1 / ((7 / reynolds) ** 0.9 + 0.27 * roughness))) ** 16
    b = (37530 / reynolds) ** 16
    return 8 * ((8 / reynolds) ** 12 + (a + b) ** -1.5) ** (1 / 12)


TURBULENT = {
    "colebrook": (colebrook, colebrook_by_iteration),  # value, the same law in complex numbers
    "haaland": (haaland, haaland),
    "swamee-jain": (swamee_jain, swamee_jain),
    "serghides": (serghides, serghides),
}


def friction_factor(law: str, reynolds: float, roughness: float) -> float:
    """Darcy friction factor; between Re 2000 and 4000 the cubic in Re with the value and slope of both ends."""
    if law == "churchill":
        return churchill(reynolds, roughness)
    if reynolds <= 2000:
        return 64 / reynolds
    value, of_complex = TURBULENT[law]
    if reynolds >= 4000:
        return float(value(reynolds, roughness))
    step = 1e-30
    slope = of_complex(4000 + 1j * step, roughness).imag / step
    f0, f1 = 64 / 2000, float(value(4000, roughness))
    d0, d1 = 2000 * (-64 / 2000**2), 2000 * slope
    s = (reynolds - 2000) / 2000
    return f0 + s * (d0 + s * (3 * (f1 - f0) - 2 * d0 - d1 + s * (2 * (f0 - f1) + d0 + d1)))


# ----------------------------------------------------------------------------------- sections and laws


def area_and_perimeter(section: dict) -> tuple[float, float]:
    keys(section, "section", "diameter", "width", "height", "shape")
    if "diameter" in section:
        d = number(section, "diameter")
        return math.pi * d**2 / 4, math.pi * d
    width, height = number(section, "width"), number(section, "height")
    if section.get("shape") == "flatOval":
        major, minor = max(width, height), min(width, height)
        return math.pi * minor**2 / 4 + minor * (major - minor), math.pi * minor + 2 * (major - minor)
    if "shape" in section:
        raise Refused(f"section: shape {section['shape']!r}")
    return width * height, 2 * (width + height)


def area_of(section: dict) -> float:
    return area_and_perimeter(section)[0]


def circular_equivalent(section: dict) -> float:
    """Diameter [m] of the round duct with the same friction at the same flow."""
    area, perimeter = area_and_perimeter(section)
    if "diameter" in section:
        return number(section, "diameter")
    if "shape" in section:
        return 1.55 * area**0.625 / perimeter**0.25
    width, height = number(section, "width"), number(section, "height")
    return 1.30 * (width * height) ** 0.625 / (width + height) ** 0.25


RATING_KEYS = ("pressure", "flow", "exponent", "density", "viscosity", "pressureKind")


def rating_loss(rating: dict, air: Air, flow: float) -> float:
    """Loss [Pa] of a rating at a flow [m³/s], odd in the flow."""
    n = number(rating, "exponent", 2)
    density = air.density / number(rating, "density", RATING_DENSITY)
    viscosity = air.viscosity / number(rating, "viscosity", DEFAULT_VISCOSITY)
    size = number(rating, "pressure") * density ** (n - 1) * viscosity ** (2 - n)
    return math.copysign(size * (abs(flow) / number(rating, "flow")) ** n, flow)


def velocity_pressure(air: Air, velocity: float) -> float:
    """½ρv|v| [Pa], odd in the velocity."""
    return 0.5 * air.density * velocity * abs(velocity)


# ------------------------------------------------------------------------------------------------ fans


class Curve:
    """A fan's curve, as total pressure; its flows and powers at any speed and density."""

    def __init__(self, entry: dict, speed: float):
        keys(entry, "curve", "pressureKind", "density", "inlet", "outlet", "of", "points", "controlsPower")
        self.speed = speed
        self.density = number(entry, "density", 1.2)
        self.controls_power = number(entry, "controlsPower", 0)
        self.is_unit = entry.get("of", "fan") == "unit"
        points = entry["points"]
        for point in points:
            keys(point, "point", "flow", "pressure", "power", "efficiency")
        self.flows = np.array([number(point, "flow") for point in points])
        pressures = np.array([number(point, "pressure") for point in points])
        kind = entry["pressureKind"]
        if kind not in ("total", "static", "externalStatic"):
            raise Refused(f"curve: pressureKind {kind!r}")
        if kind != "total":
            pressures = pressures + 0.5 * self.density * (self.flows / area_of(entry["outlet"])) ** 2
        if kind == "externalStatic":
            pressures = pressures - 0.5 * self.density * (self.flows / area_of(entry["inlet"])) ** 2
        self.curve = PchipInterpolator(self.flows, pressures)
        self.left_slope = min(float(self.curve.derivative()(self.flows[0])), 0)
        self.right_slope = float(self.curve.derivative()(self.flows[-1]))
        fall = float((pressures[-1] - pressures[-2]) / (self.flows[-1] - self.flows[-2]))
        if fall < 0 and self.right_slope > 1e-12 * fall:
            # PCHIP ends level although the last points fall: the curve keeps their fall.
            slopes = self.curve.derivative()(self.flows)
            slopes[-1] = self.right_slope = fall
            self.curve = CubicHermiteSpline(self.flows, pressures, slopes)
        if not self.right_slope < 0:
            raise Refused("curve: the slope at the last point must be negative")
        self.power_points = self.column(points, "power")
        self.efficiency_points = self.column(points, "efficiency")

    def column(self, points: list, key: str) -> PchipInterpolator | None:
        if not any(key in point for point in points):
            return None
        return PchipInterpolator(self.flows, [number(point, key) for point in points])

    def total_pressure(self, flow: float, density: float) -> float:
        q = flow / self.speed
        first, last = self.flows[0], self.flows[-1]
        pressure = float(self.curve(min(max(q, first), last)))
        pressure += self.left_slope * min(q - first, 0) + self.right_slope * max(q - last, 0)
        return self.speed**2 * density / self.density * pressure

    def power(self, flow: float, density: float) -> float | None:
        """Electrical input [W]; none outside the curve's points, where the contract does not fix it to the digit."""
        q = flow / self.speed
        if not self.flows[0] <= q <= self.flows[-1]:
            return None
        if self.power_points is not None:
            return self.speed**3 * density / self.density * float(self.power_points(q)) + self.controls_power
        if self.efficiency_points is not None:
            return flow * self.total_pressure(flow, density) / float(self.efficiency_points(q)) + self.controls_power
        return None


# --------------------------------------------------------------------------------------------- network


class Branch(NamedTuple):
    """P(start) − P(end) = law(mass flow) + offset, the flow positive from start to end."""

    name: tuple[str, str]  # table of the answer, id
    start: str
    end: str
    law: Callable[[float], float] | None  # none for the two ways through a tee, whose laws hang together
    offset: float
    typical: float  # a mass flow of the right size [kg/s]


class End(NamedTuple):
    """What a duct meets at one end: coefficients on its velocity pressure, or on that in a stated area."""

    entry: float
    exit: float
    area: float | None = None  # the whole flow's


class Duct:
    """A duct's data in SI, and its losses at a mass flow."""

    def __init__(self, entry: dict, air: Air, law: str, from_end: End, to_end: End):
        keys(
            entry, entry["id"], "id", "from", "to", "length", "section", "roughness", "equivalent", "frictionFactor",
            "frictionRating", "parallel", "air", "fittings", "entry", "compression",
        )
        self.air, self.law, self.from_end, self.to_end = air, law, from_end, to_end
        self.length = number(entry, "length")
        self.runs = number(entry, "parallel", 1)
        self.area, perimeter = area_and_perimeter(entry["section"])
        if entry.get("equivalent", "circular") == "hydraulic":
            self.diameter, self.friction_area = 4 * self.area / perimeter, self.area
        else:
            self.diameter = circular_equivalent(entry["section"])
            self.friction_area = math.pi * self.diameter**2 / 4
        self.roughness = number(entry, "roughness", DEFAULT_ROUGHNESS)
        self.fixed_factor = number(entry, "frictionFactor") if "frictionFactor" in entry else None
        self.friction_rating = entry.get("frictionRating")
        self.compressed = 1.0
        if "compression" in entry:
            if self.fixed_factor is not None or self.friction_rating is not None:
                raise Refused("compression: of a given friction")
            percent, millimetres = 100 * number(entry, "compression"), 1000 * self.diameter
            self.compressed = 1 + 0.58 * percent * math.exp(-0.00496 * millimetres)
        self.fittings = entry.get("fittings", [])
        for fitting in self.fittings:
            if fitting.get("kind") == "fixed":
                keys(fitting, "fitting", "kind", "coefficient", "count")
            elif fitting.get("kind") == "rating":
                keys(fitting, "fitting", "kind", "count", *RATING_KEYS)
            else:
                raise Refused(f"fitting: kind {fitting.get('kind')!r}")

    def flow(self, mass: float) -> float:
        return mass / self.air.density

    def velocity(self, mass: float) -> float:
        return self.flow(mass) / self.runs / self.area

    def reynolds(self, mass: float) -> float:
        run = abs(self.flow(mass)) / self.runs
        return self.air.density * run / self.friction_area * self.diameter / self.air.viscosity

    def friction(self, mass: float) -> float:
        run = self.flow(mass) / self.runs
        if run == 0:
            return 0
        if self.friction_rating is not None:
            keys(self.friction_rating, "frictionRating", "pressure", "length", "flow", "exponent")
            rating = {key: value for key, value in self.friction_rating.items() if key != "length"}
            return rating_loss(rating, self.air, run) * self.length / number(self.friction_rating, "length")
        factor = self.fixed_factor
        if factor is None:
            factor = friction_factor(self.law, self.reynolds(mass), self.roughness / self.diameter)
        uncompressed = factor * self.length / self.diameter * velocity_pressure(self.air, run / self.friction_area)
        return self.compressed * uncompressed

    def fitting_loss(self, mass: float) -> float:
        loss = 0.0
        for fitting in self.fittings:
            if fitting["kind"] == "fixed":
                one = number(fitting, "coefficient") * velocity_pressure(self.air, self.velocity(mass))
            else:
                one = rating_loss(fitting, self.air, self.flow(mass) / self.runs)
            loss += number(fitting, "count", 1) * one
        return loss

    def end_loss(self, end: End, mass: float, enters: bool) -> float:
        velocity = self.velocity(mass) if end.area is None else self.flow(mass) / end.area
        return (end.entry if enters else end.exit) * velocity_pressure(self.air, velocity)

    def from_loss(self, mass: float) -> float:
        return self.end_loss(self.from_end, mass, enters=mass > 0)

    def to_loss(self, mass: float) -> float:
        return self.end_loss(self.to_end, mass, enters=mass < 0)

    def loss(self, mass: float) -> float:
        return self.friction(mass) + self.fitting_loss(mass) + self.from_loss(mass) + self.to_loss(mass)


class Opening:
    """An opening's law: the flow from the pressure difference, and the other way round."""

    def __init__(self, entry: dict, from_density: float, to_density: float):
        keys(
            entry, entry["id"], "id", "from", "to", "coefficient", "exponent", "area", "dischargeCoefficient",
            "elevation",
        )
        self.entry, self.from_density, self.to_density = entry, from_density, to_density
        self.exponent = number(entry, "exponent", 0.5) if "coefficient" in entry else 0.5

    def upstream_density(self, sign: float) -> float:
        return self.from_density if sign >= 0 else self.to_density

    def coefficient(self, sign: float) -> float:
        if "coefficient" in self.entry:
            return number(self.entry, "coefficient")
        area = number(self.entry, "dischargeCoefficient", 0.6) * number(self.entry, "area")
        return area * math.sqrt(2 / self.upstream_density(sign))

    def flow(self, difference: float) -> float:
        """Volume flow [m³/s] of the upstream air at a pressure difference [Pa]."""
        n, c, d = self.exponent, self.coefficient(difference), OPENING_REGULAR
        if abs(difference) >= d:
            return math.copysign(c * abs(difference) ** n, difference)
        return c * d ** (n - 1) * difference * ((3 - n) / 2 + (n - 1) / 2 * (difference / d) ** 2)

    def mass_flow(self, difference: float) -> float:
        return self.upstream_density(difference) * self.flow(difference)

    def difference(self, mass: float) -> float:
        """Pressure difference [Pa] at a mass flow [kg/s]: the inverse, smooth where the law itself is steep."""
        q = abs(mass) / self.upstream_density(mass)
        size = (q / self.coefficient(mass)) ** (1 / self.exponent)
        if size < OPENING_REGULAR:
            sign = math.copysign(1, mass)
            size = brentq(
                lambda x: abs(self.flow(sign * x)) - q, 0, OPENING_REGULAR * (1 - 1e-16), xtol=1e-20, **TIGHT
            )
        return math.copysign(size, mass)


class Terminal:
    """A terminal's loss [Pa] at a mass flow, positive in the direction of its service; odd in the flow."""

    def __init__(self, entry: dict, ducts: list[Duct]):
        self.air = ducts[0].air
        self.duct_area = sum(duct.area * duct.runs for duct in ducts)
        self.loss_entry = entry["loss"]
        self.extract = {"supply": False, "extract": True}[entry["service"]]
        self.coefficient = "coefficient" in self.loss_entry
        if self.coefficient:
            keys(self.loss_entry, "loss", "coefficient", "section")
            section = self.loss_entry.get("section")
            self.area = self.duct_area if section is None else area_of(section)
        else:
            keys(self.loss_entry, "loss", *RATING_KEYS, "section")
            section = self.loss_entry.get("section")
            self.area = self.duct_area if section is None else area_of(section)

    def loss(self, mass: float) -> float:
        flow = mass / self.air.density
        if self.coefficient:
            return number(self.loss_entry, "coefficient") * velocity_pressure(self.air, flow / self.area)
        loss = rating_loss(self.loss_entry, self.air, flow)
        if self.loss_entry.get("pressureKind", "total") == "static":
            dynamic = velocity_pressure(self.air, flow / self.area)
            loss += -dynamic if self.extract else dynamic
        return loss


class Stream:
    """A fan with the components of its stream (none for a plain fan); pressure rise [Pa] at a mass flow."""

    def __init__(self, fan: dict, components: list, includes: list, duct: Duct):
        self.air = duct.air
        self.stopped = fan.get("stopped")
        self.curve = None if self.stopped else Curve(fan["curve"], number(fan, "speed", 1))
        self.components, self.includes = components, includes
        for component in components:
            keys(component, "component", "name", "clean", *RATING_KEYS)

    def fan_pressure(self, mass: float) -> float:
        flow = mass / self.air.density
        if self.curve is None:
            return -rating_loss(self.stopped, self.air, flow)
        return self.curve.total_pressure(flow, self.air.density)

    def component_loss(self, component: dict, mass: float) -> float:
        loss = rating_loss({k: component[k] for k in RATING_KEYS if k in component}, self.air, mass / self.air.density)
        if self.curve is not None and self.curve.is_unit and component["name"] in self.includes:
            pressure = number(component, "pressure")
            return loss * (pressure - number(component, "clean", pressure)) / pressure
        return loss

    def rise(self, mass: float) -> float:
        return self.fan_pressure(mass) - sum(self.component_loss(c, mass) for c in self.components)


COMMON = ("id", "kind", "elevation")
NODE_KEYS = {
    "outdoors": ("pressure", "entry", "exit", "coefficient", "section", "end"),
    "room": ("pressure", "air", "entry"),
    "junction": ("inflow",),
    "plenum": ("entry", "area"),
    "terminal": ("service", "loss", "open", "room", "designFlow", "entry", "box"),
    "fan": ("speed", "curve", "stopped"),
    "airHandler": ("supply", "extract"),
    "tee": ("angle", "model", "main", "edgeRadius"),
    "transition": ("form",),
}
PORTS = {"supply": ("intake", "supply"), "extract": ("extract", "exhaust")}
STILL = "(still air)"  # what a terminal without a room faces


def abrupt_losses(small: float, large: float) -> tuple[float, float]:
    """Coefficients of a sudden widening and narrowing between two areas, on the velocity pressure in the small one."""
    ratio = small / large
    return (1 - ratio) ** 2, 0.5 * (1 - ratio) ** 0.75


class Network:
    """Points, branches and the data after them, from a document."""

    def __init__(self, document: dict):
        keys(
            document, "document", "$schema", "format", "title", "air", "outdoorAir", "friction", "nodes", "ducts",
            "openings",
        )
        if document["format"] != "ductgraph/1":
            raise Refused(f"format {document['format']!r}")
        self.network_air = document.get("air", {"density": 1.2})
        self.air = read_air(self.network_air, {})
        self.outdoor = read_air(document.get("outdoorAir", self.network_air), self.network_air)
        self.law = document.get("friction", "colebrook")
        self.nodes = {node["id"]: node for node in document["nodes"]}
        for node in self.nodes.values():
            if node["kind"] not in NODE_KEYS:
                raise Refused(f"{node['id']}: kind {node['kind']!r}")
            keys(node, node["id"], *COMMON, *NODE_KEYS[node["kind"]])

        self.fixed: dict[str, float] = {STILL: 0.0}
        self.inflow: dict[str, float] = defaultdict(float)  # mass into the network at a point [kg/s]
        self.branches: list[Branch] = []
        for node in self.nodes.values():
            if node["kind"] == "outdoors":
                self.fixed[node["id"]] = number(node, "pressure", 0)
            if node["kind"] == "room" and "pressure" in node:
                self.fixed[node["id"]] = number(node, "pressure")
            if node["kind"] == "junction":
                self.inflow[node["id"]] = number(node, "inflow", 0) * self.air.density

        self.duct_entries = {entry["id"]: entry for entry in document["ducts"]}
        self.runs = Counter()
        for entry in document["ducts"]:
            for side in ("from", "to"):
                self.runs[entry[side]] += entry.get("parallel", 1)
        self.ducts = {entry["id"]: self.add_duct(entry) for entry in document["ducts"]}
        self.terminals, self.streams, self.tees = {}, {}, {}
        for node in self.nodes.values():
            if node["kind"] == "terminal":
                self.add_terminal(node)
            if node["kind"] == "fan":
                self.add_stream(node["id"], node, [], [], f"{node['id']}.inlet", f"{node['id']}.outlet", "inlet")
            if node["kind"] == "airHandler":
                self.add_air_handler(node)
            if node["kind"] == "transition":
                self.add_transition(node)
            if node["kind"] == "tee":
                self.add_tee(node)
        self.openings = {entry["id"]: self.add_opening(entry) for entry in document.get("openings", [])}

        points = dict.fromkeys(point for branch in self.branches for point in (branch.start, branch.end))
        self.free = [point for point in points if point not in self.fixed]

    def node_of(self, point: str) -> dict:
        return self.nodes[point.split(".")[0]]

    def elevation(self, point: str) -> float:
        return number(self.node_of(point), "elevation", 0)

    def end(self, point: str, duct: dict) -> End:
        node = self.node_of(point)
        kind = node["kind"]
        if kind == "outdoors":
            area = area_of(node["section"]) if "section" in node else None
            if "end" in node:
                keys(node, node["id"], *COMMON, "pressure", "section", "end")
                keys(node["end"], "end", "kind")
                if node["end"]["kind"] != "flush":
                    raise Refused(f"end: kind {node['end']['kind']!r}")
                return End(0.5, 1, area)
            if "coefficient" in node:
                return End(number(node, "coefficient"), number(node, "coefficient"), area)
            return End(number(node, "entry"), number(node, "exit"), area)
        if kind in ("room", "plenum") or (kind == "terminal" and node.get("box", self.runs[point] > 1)):
            entry, into = number(node, "entry", 0.5), 1.0
            if "area" in node:
                keys(node, node["id"], *COMMON, "area")
                into, entry = abrupt_losses(area_of(duct["section"]), number(node, "area"))
            return End(number(duct, "entry", entry), into)
        return End(0, 0)

    def add_duct(self, entry: dict) -> Duct:
        start, end = entry["from"], entry["to"]
        air = read_air(entry["air"], self.network_air) if "air" in entry else self.air
        duct = Duct(entry, air, self.law, self.end(start, entry), self.end(end, entry))
        rise = self.elevation(end) - self.elevation(start)
        buoyancy = (air.density - self.outdoor.density) * GRAVITY * rise
        typical = 2 * duct.area * duct.runs * air.density
        self.branches.append(Branch(("ducts", entry["id"]), start, end, duct.loss, buoyancy, typical))
        return duct

    def legs(self, node: dict, ports: tuple[str, ...]) -> tuple[list[float], Air]:
        """Areas [m²] of the ducts at a node's ports, all runs together, and their air."""
        ducts = [self.ducts_at(f"{node['id']}.{port}") for port in ports]
        if any(len(at) != 1 for at in ducts) or len({at[0].air for at in ducts}) != 1:
            raise Refused(f"{node['id']}: expected one duct at each port, all with one air")
        return [at[0].area * at[0].runs for at in ducts], ducts[0][0].air

    def add_transition(self, node: dict) -> None:
        form = node.get("form", {"kind": "abrupt"})
        keys(form, "form", "kind")
        if form["kind"] != "abrupt":
            raise Refused(f"form: kind {form['kind']!r}")
        (first, second), air = self.legs(node, ("a", "b"))
        small, large = min(first, second), max(first, second)
        widening, narrowing = abrupt_losses(small, large)

        def loss(mass: float) -> float:
            widens = (mass > 0) == (first < second)
            return (widening if widens else narrowing) * velocity_pressure(air, mass / air.density / small)

        name, typical = node["id"], 2 * small * air.density
        self.branches.append(Branch(("transitions", name), f"{name}.a", f"{name}.b", loss, 0, typical))

    def add_tee(self, node: dict) -> None:
        name = node["id"]
        areas, air = self.legs(node, LEGS)
        main = area_of(node["main"]) if "main" in node else max(areas[:2])
        angle, radius = number(node, "angle", math.pi / 2), number(node, "edgeRadius", 0)
        tee = Tee(dict(zip(LEGS, areas)), main, angle, node.get("model", "gardel"), radius, air.density)
        self.tees[name] = (len(self.branches), tee)
        for leg, area in zip(LEGS, areas):
            if leg != "b":
                points = f"{name}.{leg}", f"{name}.b"
                self.branches.append(Branch(("tees", points[0]), *points, None, 0, 2 * area * air.density))

    def room_air(self, room: dict) -> Air:
        return read_air(room["air"], self.network_air) if "air" in room else self.air

    def node_density(self, point: str) -> float:
        """Density of the still air at a node that an opening meets."""
        node = self.nodes[point]
        if node["kind"] == "outdoors":
            return self.outdoor.density
        if node["kind"] == "room":
            return self.room_air(node).density
        if node["kind"] in ("junction", "plenum"):
            return self.air.density
        raise Refused(f"an opening at {point}")

    def column(self, point: str, elevation: float) -> float:
        """How much lower the pressure of a node's still air is at an elevation [m] than at the node's own [Pa]."""
        return (self.node_density(point) - self.outdoor.density) * GRAVITY * (elevation - self.elevation(point))

    def add_terminal(self, node: dict) -> None:
        name = node["id"]
        terminal = Terminal(node, self.ducts_at(name))
        self.terminals[name] = terminal
        room = node.get("room", STILL)
        column = self.column(room, self.elevation(name)) if room != STILL else 0
        typical = 2 * terminal.duct_area * terminal.air.density
        if terminal.extract:
            self.branches.append(Branch(("terminals", name), room, name, terminal.loss, column, typical))
        else:
            self.branches.append(Branch(("terminals", name), name, room, terminal.loss, -column, typical))

    def ducts_at(self, point: str) -> list[Duct]:
        return [self.ducts[key] for key, entry in self.duct_entries.items() if point in (entry["from"], entry["to"])]

    def add_stream(
        self, name: str, fan: dict, components: list, includes: list, inlet: str, outlet: str, fan_at: str
    ) -> None:
        for port in (inlet, outlet):
            if len(self.ducts_at(port)) != 1:
                raise Refused(f"{port}: expected one duct")
        (duct,) = self.ducts_at(inlet if fan_at == "inlet" else outlet)
        stream = Stream(fan, components, includes, duct)
        self.streams[name] = stream
        last = 0.0 if stream.curve is None else float(stream.curve.flows[-1]) * stream.curve.speed
        typical = 0.5 * stream.air.density * (last or number(stream.stopped, "flow"))
        self.branches.append(Branch(("fans", name), inlet, outlet, lambda m: -stream.rise(m), 0, typical))

    def add_air_handler(self, node: dict) -> None:
        for service, (inlet, outlet) in PORTS.items():
            if service not in node:
                continue
            entry, name = node[service], node["id"]
            keys(entry, f"{name}.{service}", "fan", "fanAt", "components", "includes")
            self.add_stream(
                f"{name}.{service}", entry["fan"], entry.get("components", []), entry.get("includes", []),
                f"{name}.{inlet}", f"{name}.{outlet}", entry.get("fanAt", "inlet"),
            )

    def add_opening(self, entry: dict) -> Opening:
        start, end = entry["from"], entry["to"]
        opening = Opening(entry, self.node_density(start), self.node_density(end))
        elevation = number(entry, "elevation", (self.elevation(start) + self.elevation(end)) / 2)
        offset = self.column(start, elevation) - self.column(end, elevation)
        typical = opening.mass_flow(5)
        self.branches.append(Branch(("openings", entry["id"]), start, end, opening.difference, offset, typical))
        return opening


# ---------------------------------------------------------------------------------------------- solving


def tee_flows(tee: Tee, from_a: float, from_branch: float) -> dict[str, float]:
    """Flows [m³/s] into a tee by the mass flows that come in through a and the branch [kg/s]."""
    return {leg: mass / tee.density for leg, mass in zip(LEGS, (from_a, -from_a - from_branch, from_branch))}


class Equations:
    """Residuals and their dense matrix; unknowns are branch mass flows over 0.1 kg/s, then pressures over 100 Pa."""

    MASS, PRESSURE = 0.1, 100.0

    def __init__(self, network: Network):
        self.network, self.branches = network, network.branches
        self.index = {point: len(self.branches) + i for i, point in enumerate(network.free)}
        self.size = len(self.branches) + len(network.free)

    def split(self, x: np.ndarray) -> tuple[np.ndarray, dict[str, float]]:
        pressures = dict(self.network.fixed)
        pressures.update((point, x[i] * self.PRESSURE) for point, i in self.index.items())
        return x[: len(self.branches)] * self.MASS, pressures

    def tee_losses(self, tee: Tee, masses: np.ndarray) -> np.ndarray:
        """Losses from a and from the branch to b [Pa], by the mass flows that come in there."""
        return np.array([tee.pressures(tee_flows(tee, *masses))[leg] for leg in ("a", "branch")])

    def residuals(self, x: np.ndarray) -> np.ndarray:
        masses, pressures = self.split(x)
        r = np.zeros(self.size)
        for point, i in self.index.items():
            r[i] = self.network.inflow[point] / self.MASS
        for i, (branch, mass) in enumerate(zip(self.branches, masses)):
            loss = 0 if branch.law is None else branch.law(mass)
            r[i] = (pressures[branch.start] - pressures[branch.end] - loss - branch.offset) / self.PRESSURE
            for point, sign in ((branch.start, -1), (branch.end, 1)):
                if point in self.index:
                    r[self.index[point]] += sign * mass / self.MASS
        for i, tee in self.network.tees.values():
            r[i : i + 2] -= self.tee_losses(tee, masses[i : i + 2]) / self.PRESSURE
        return r

    def matrix(self, x: np.ndarray) -> np.ndarray:
        masses, _ = self.split(x)
        j = np.zeros((self.size, self.size))
        for i, (branch, mass) in enumerate(zip(self.branches, masses)):
            if branch.law is not None:
                step = 1e-6 * abs(mass) + 1e-7 * branch.typical
                slope = (branch.law(mass + step) - branch.law(mass - step)) / (2 * step)
                j[i, i] = -slope * self.MASS / self.PRESSURE
            for point, sign in ((branch.start, 1), (branch.end, -1)):
                if point in self.index:
                    j[i, self.index[point]] = sign
                    j[self.index[point], i] = -sign
        for i, tee in self.network.tees.values():
            at = masses[i : i + 2]
            for k in range(2):
                step = np.zeros(2)
                step[k] = 1e-6 * np.max(np.abs(at)) + 1e-7 * self.branches[i + k].typical
                change = self.tee_losses(tee, at + step) - self.tee_losses(tee, at - step)
                j[i : i + 2, i + k] -= change / (2 * step[k]) * self.MASS / self.PRESSURE
        return j

    def polish(self, x: np.ndarray) -> np.ndarray:
        """Newton steps for as long as they make the residual smaller."""
        size = np.max(np.abs(self.residuals(x)))
        for _ in range(100):
            step = np.linalg.solve(self.matrix(x), -self.residuals(x))
            for damping in (1, 0.5, 0.25, 0.1, 0.03, 0.01):
                trial = x + damping * step
                trial_size = np.max(np.abs(self.residuals(trial)))
                if trial_size < size:
                    break
            else:
                return x
            x, size = trial, trial_size
        return x

    def solve(self, shares: np.ndarray) -> np.ndarray:
        """The answer from a start where each branch carries its share of a typical flow."""
        x = np.zeros(self.size)
        x[: len(self.branches)] = shares * [branch.typical / self.MASS for branch in self.branches]
        found = root(self.residuals, x, jac=self.matrix, method="hybr", options={"xtol": 1e-12, "maxfev": 4000})
        return self.polish(found.x)


def solve(network: Network) -> tuple[dict[str, dict[str, float]], dict[str, float], float]:
    """Mass flows by table and id, pressures by point, and how far the answers from several starts differ [-]."""
    equations = Equations(network)
    count = len(network.branches)
    x = equations.solve(np.ones(count))
    random = np.random.default_rng(1)
    if network.tees:
        others = [equations.solve(random.uniform(-1, 1, count)) for _ in range(TEE_STARTS)]
        others = [other for other in others if np.max(np.abs(equations.residuals(other))) < 1e-9]
        if len(others) < TEE_STARTS_SOLVED:
            raise SystemExit(f"of {TEE_STARTS} starts only {len(others)} lead to an answer")
    else:
        others = [equations.solve(random.uniform(-1, 1, count))]
    difference = 0.0
    for part in (slice(0, count), slice(count, None)):
        if len(x[part]):
            apart = max(np.max(np.abs(x[part] - other[part])) for other in others)
            difference = max(difference, apart / max(np.max(np.abs(x[part])), 1e-30))
    masses, pressures = equations.split(x)
    flows: dict[str, dict[str, float]] = defaultdict(dict)
    for branch, mass in zip(network.branches, masses):
        flows[branch.name[0]][branch.name[1]] = float(mass)
    return flows, {point: float(value) for point, value in pressures.items()}, difference


# ---------------------------------------------------------------------------------------------- results


def answer_of(network: Network, flows: dict, pressures: dict[str, float]) -> dict:
    """The answer in the shape of the contract's Solution, as far as this solver fixes it."""
    nodes: dict[str, dict] = {}
    for name, node in network.nodes.items():
        ports = {point.split(".")[1]: {"totalPressure": pressures[point]} for point in pressures
                 if point.startswith(f"{name}.")}
        nodes[name] = {"ports": ports} if ports else {"totalPressure": pressures[name]}
        if node["kind"] == "tee":
            nodes[name]["losses"] = losses_of(network.tees[name][1], flows["tees"], name, pressures)

    ducts = {}
    for name, mass in flows["ducts"].items():
        duct, entry = network.ducts[name], network.duct_entries[name]
        first, second = duct.from_loss(mass), duct.to_loss(mass)
        inlet, outlet = pressures[entry["from"]] - first, pressures[entry["to"]] + second
        dynamic = abs(velocity_pressure(duct.air, duct.velocity(mass)))
        rise = network.elevation(entry["to"]) - network.elevation(entry["from"])
        ducts[name] = {
            "massFlow": mass,
            "flow": duct.flow(mass),
            "velocity": duct.velocity(mass),
            "reynolds": duct.reynolds(mass),
            "frictionLoss": duct.friction(mass),
            "fittingLoss": duct.fitting_loss(mass),
            "entryLoss": first if mass > 0 else second,
            "exitLoss": second if mass > 0 else first,
            "buoyancy": (duct.air.density - network.outdoor.density) * GRAVITY * rise,
            "inlet": {"totalPressure": inlet, "staticPressure": inlet - dynamic},
            "outlet": {"totalPressure": outlet, "staticPressure": outlet - dynamic},
        }

    terminals = {
        name: {"massFlow": mass, "flow": mass / network.terminals[name].air.density,
               "pressureLoss": network.terminals[name].loss(mass)}
        for name, mass in flows["terminals"].items()
    }
    openings = {}
    for name, mass in flows["openings"].items():
        opening = network.openings[name]
        openings[name] = {
            "massFlow": mass,
            "flow": mass / opening.upstream_density(mass),
            "pressureDifference": opening.difference(mass),
        }
    fans = {}
    for name, mass in flows["fans"].items():
        stream = network.streams[name]
        flow = mass / stream.air.density
        fans[name] = {"massFlow": mass, "flow": flow, "totalPressure": stream.fan_pressure(mass)}
        power = None if stream.curve is None else stream.curve.power(flow, stream.air.density)
        if power is not None:
            fans[name]["power"] = power
    return without_minus_zero(
        {"nodes": nodes, "ducts": ducts, "terminals": terminals, "openings": openings, "fans": fans}
    )


def losses_of(tee: Tee, masses: dict[str, float], name: str, pressures: dict[str, float]) -> dict:
    """What a tee loses along the two ways of its air."""
    flows = tee_flows(tee, masses[f"{name}.a"], masses[f"{name}.branch"])
    common = max(LEGS, key=lambda leg: abs(flows[leg]))
    size = tee.velocity_pressure(flows)
    paths = []
    for leg in LEGS:
        if leg != common:
            start, end = (common, leg) if flows[common] > 0 else (leg, common)
            loss = pressures[f"{name}.{start}"] - pressures[f"{name}.{end}"]
            paths.append({"from": start, "to": end, "coefficient": loss / size if size else 0.0, "loss": loss})
    bridged, added = tee.bridged(flows), tee.added(flows)
    return {"model": tee.model, "bridged": bridged, "added": added, "velocityPressure": size, "paths": paths}


def without_minus_zero(value):
    """The same answer with 0 for −0, which JSON would print."""
    if isinstance(value, dict):
        return {key: without_minus_zero(item) for key, item in value.items()}
    if isinstance(value, list):
        return [without_minus_zero(item) for item in value]
    return value if isinstance(value, (bool, str)) else value + 0.0


# ---------------------------------------------------------------------------------------------- checking


def check(document: dict, network: Network, answer: dict) -> tuple[float, float]:
    """Residuals of the written answer: of all laws [Pa], and of mass at all points over the largest flow [-].

    Apart from the element laws this goes back to the document and the answer: it adds up each duct's own losses, takes
    columns and buoyancy anew, solves Colebrook-White another way, puts openings' pressures into their law, and looks at
    tees from the other side: with a and b exchanged and the angle's complement.
    """
    defects, into = [], defaultdict(float)
    outdoor = network.outdoor.density

    def pressure(point: str) -> float:
        node, _, port = point.partition(".")
        entry = answer["nodes"][node]
        return (entry["ports"][port] if port else entry)["totalPressure"]

    def at_height(node: dict, height: float) -> float:
        density = outdoor if node["kind"] == "outdoors" else network.air.density
        if node["kind"] == "room" and "air" in node:
            density = read_air(node["air"], network.network_air).density
        return pressure(node["id"]) - (density - outdoor) * GRAVITY * (height - node.get("elevation", 0))

    for entry in document["ducts"]:
        row, duct = answer["ducts"][entry["id"]], network.ducts[entry["id"]]
        total = row["frictionLoss"] + row["fittingLoss"] + row["entryLoss"] + row["exitLoss"]
        z = [network.nodes[entry[side].split(".")[0]].get("elevation", 0) for side in ("from", "to")]
        buoyancy = (duct.air.density - outdoor) * GRAVITY * (z[1] - z[0])
        defects.append(pressure(entry["from"]) - pressure(entry["to"]) - total - buoyancy)
        defects.append(total - duct.loss(row["massFlow"]))
        inside = row["frictionLoss"] + row["fittingLoss"] + buoyancy
        defects.append(row["inlet"]["totalPressure"] - row["outlet"]["totalPressure"] - inside)
        by_law = "frictionFactor" not in entry and "frictionRating" not in entry
        if by_law and network.law == "colebrook" and row["reynolds"] >= 4000:
            factor = colebrook_by_iteration(row["reynolds"], duct.roughness / duct.diameter)
            velocity = row["flow"] / duct.runs / duct.friction_area
            again = factor * duct.length / duct.diameter * 0.5 * duct.air.density * velocity * abs(velocity)
            shortened = 100 * entry.get("compression", 0) * math.exp(-4.96 * duct.diameter)
            again *= 1 + 0.58 * shortened
            defects.append(row["frictionLoss"] - again)
        else:
            defects.append(row["frictionLoss"] - duct.friction(row["massFlow"]))
        into[entry["from"]] -= row["massFlow"]
        into[entry["to"]] += row["massFlow"]

    for name, row in answer["terminals"].items():
        node = network.nodes[name]
        still = at_height(network.nodes[node["room"]], node.get("elevation", 0)) if "room" in node else 0.0
        sign = -1 if node["service"] == "extract" else 1
        defects.append(sign * (pressure(name) - still) - row["pressureLoss"])
        defects.append(row["pressureLoss"] - network.terminals[name].loss(row["massFlow"]))
        into[name] -= sign * row["massFlow"]
        into[node.get("room", STILL)] += sign * row["massFlow"]

    for name, row in answer["fans"].items():
        node = network.nodes[name.split(".")[0]]
        ports = ("inlet", "outlet") if node["kind"] == "fan" else PORTS[name.split(".")[1]]
        inlet, outlet = (f"{node['id']}.{port}" for port in ports)
        defects.append(pressure(outlet) - pressure(inlet) - network.streams[name].rise(row["massFlow"]))
        into[inlet] -= row["massFlow"]
        into[outlet] += row["massFlow"]

    for entry in document.get("openings", []):
        row, opening = answer["openings"][entry["id"]], network.openings[entry["id"]]
        start, end = network.nodes[entry["from"]], network.nodes[entry["to"]]
        middle = (start.get("elevation", 0) + end.get("elevation", 0)) / 2
        height = entry.get("elevation", middle)
        defects.append(at_height(start, height) - at_height(end, height) - row["pressureDifference"])
        slope = row["pressureDifference"] / row["massFlow"] if row["massFlow"] else 0.0
        defects.append((row["massFlow"] - opening.mass_flow(row["pressureDifference"])) * slope)
        into[entry["from"]] -= row["massFlow"]
        into[entry["to"]] += row["massFlow"]

    for node in document["nodes"]:
        name = node["id"]
        if node["kind"] == "transition":
            (first, second), air = network.legs(node, ("a", "b"))
            flow = into[f"{name}.a"] / air.density
            drop = pressure(f"{name}.a") - pressure(f"{name}.b")
            v1, v2 = flow / first, flow / second
            if abs(v1 if flow > 0 else v2) > abs(v2 if flow > 0 else v1):  # Borda and Carnot: the speed that is lost
                lost = 0.5 * air.density * (v1 - v2) ** 2
            else:
                ratio = min(first, second) / max(first, second)
                lost = 0.5 * (1 - ratio) ** 0.75 * 0.5 * air.density * max(abs(v1), abs(v2)) ** 2
            defects.append(drop - math.copysign(lost, flow))
            into[f"{name}.b"] += into.pop(f"{name}.a")
        if node["kind"] == "tee":
            _, tee = network.tees[name]
            areas = {"a": tee.areas["b"], "b": tee.areas["a"], "branch": tee.areas["branch"]}
            mirrored = Tee(areas, tee.main, math.pi - tee.angle, tee.model, tee.radius, tee.density)
            came = [into.pop(f"{name}.{leg}") / tee.density for leg in ("b", "a", "branch")]
            again = mirrored.pressures(dict(zip(LEGS, came)))
            for leg, other in (("a", "b"), ("branch", "branch")):
                drop = pressure(f"{name}.{other}") - pressure(f"{name}.a")
                defects.append(drop - again[leg])
            into[name] += sum(came) * tee.density

    for node in document["nodes"]:
        into[node["id"]] += node.get("inflow", 0) * network.air.density
    largest = max(abs(row["massFlow"]) for table in ("ducts", "openings") for row in answer[table].values())
    imbalance = max(abs(mass) for point, mass in into.items() if point not in network.fixed)
    return max(abs(defect) for defect in defects), imbalance / largest


# -------------------------------------------------------------------------------------------------- main


def solve_document(path: Path) -> dict:
    document = json.loads(path.read_text(encoding="utf-8"))
    network = Network(document)
    flows, pressures, difference = solve(network)
    answer = answer_of(network, flows, pressures)
    pressure_residual, mass_residual = check(document, network, answer)
    print(
        f"{path.stem:40s} ducts {len(network.ducts):3d}  pressure {pressure_residual:.1e} Pa  "
        f"mass {mass_residual:.1e}  starts {difference:.1e}"
    )
    if not (pressure_residual <= PRESSURE_LIMIT and mass_residual <= MASS_LIMIT and difference <= AGREEMENT):
        raise SystemExit(f"{path.name}: not solved well enough; nothing written")
    return answer


def main() -> None:
    if len(sys.argv) > 1:
        for argument in sys.argv[1:]:
            answer = solve_document(Path(argument))
            for table in ("fans", "terminals", "openings"):
                for name, row in answer[table].items():
                    print(f"  {table} {name}: {row['flow'] * 1000:.4f} l/s")
        return

    versions = {"python": sys.version.split()[0], "numpy": np.__version__, "scipy": scipy.__version__}
    for folder, file in ANSWERS.items():
        answers = {}
        for path in sorted((NETWORKS / folder).glob("*.json")):
            digest = hashlib.sha256(path.read_bytes()).hexdigest()
            answers[path.stem] = {"sha256": digest, **solve_document(path)}
        text = json.dumps({"versions": versions, "answers": answers}, indent=1, allow_nan=False)
        (HERE / file).write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
