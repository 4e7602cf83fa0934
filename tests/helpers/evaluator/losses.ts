import type { AirProperties } from "./air.js";
import type { PlainLoss, PlainOpening, PlainRating, PlainRegulator, PlainSection } from "./document.js";

/** Area [m²] of a section. */
export const areaOf = ({ diameter, width, height, shape }: PlainSection): number => {
  if (diameter !== undefined) return (Math.PI * diameter ** 2) / 4;
  const a = Math.max(width!, height!);
  const b = Math.min(width!, height!);
  return shape === "flatOval" ? (Math.PI * b ** 2) / 4 + b * (a - b) : a * b;
};

/** Perimeter [m] of a section. */
export const perimeterOf = ({ diameter, width, height, shape }: PlainSection): number => {
  if (diameter !== undefined) return Math.PI * diameter;
  const a = Math.max(width!, height!);
  const b = Math.min(width!, height!);
  return shape === "flatOval" ? Math.PI * b + 2 * (a - b) : 2 * (a + b);
};

/** ½ρ(q/A)² [Pa] */
export const velocityPressure = (density: number, flow: number, area: number): number =>
  0.5 * density * (flow / area) ** 2;

/** Loss [Pa] by a rating at a flow [m³/s], with the flow's sign. */
export const ratingLoss = (
  { pressure, flow: ratedFlow, exponent = 2, density = 1.2, viscosity = 1.81e-5 }: PlainRating,
  air: AirProperties,
  flow: number,
): number =>
  Math.sign(flow) *
  pressure *
  (air.density / density) ** (exponent - 1) *
  (air.viscosity / viscosity) ** (2 - exponent) *
  (Math.abs(flow) / ratedFlow) ** exponent;

/** A constant-flow regulator: open, steep between both ends of its band, or as far shut as it goes. */
export const regulatorLoss = (
  { flow: set, minPressure, maxPressure, accuracy = 0.05 }: PlainRegulator,
  flow: number,
): number => {
  const [low, high] = [set * (1 - accuracy), set * (1 + accuracy)];
  if (flow <= low) return Math.sign(flow) * minPressure * (flow / low) ** 2;
  if (flow >= high) return maxPressure * (flow / high) ** 2;
  // The cubic with both values and both slopes.
  const t = (flow - low) / (high - low);
  const [start, end] = [(2 * minPressure) / low, (2 * maxPressure) / high].map((slope) => slope * (high - low));
  return (
    minPressure * (1 + 2 * t) * (1 - t) ** 2 +
    maxPressure * t * t * (3 - 2 * t) +
    t * (1 - t) * (start * (1 - t) - end * t)
  );
};

/** Loss of a sudden change from one area [m²] to another, on the velocity pressure in the smaller. */
export const abruptCoefficient = (from: number, to: number): number =>
  from < to ? (1 - from / to) ** 2 : 0.5 * (1 - to / from) ** 0.75;

/**
 * Loss of total pressure [Pa] of a terminal at a flow [m³/s] that is positive in the direction of its service.
 *
 * @param ductArea - Of all its ducts and their runs [m²].
 */
export const terminalLoss = (
  loss: PlainLoss,
  service: string,
  ductArea: number,
  air: AirProperties,
  flow: number,
): number => {
  const sign = Math.sign(flow);
  if (loss.coefficient !== undefined) {
    const area = loss.section === undefined ? ductArea : areaOf(loss.section);
    return sign * loss.coefficient * velocityPressure(air.density, flow, area);
  }
  const rated = ratingLoss(loss as PlainRating, air, flow);
  if (loss.pressureKind !== "static") return rated;
  const measuredIn = loss.section === undefined ? ductArea : areaOf(loss.section);
  const inDuct = sign * velocityPressure(air.density, flow, measuredIn);
  return service === "supply" ? rated + inDuct : rated - inDuct;
};

/** Below this difference the law of an opening is smooth [Pa]. */
const smoothBelow = 0.001;

/**
 * Pressure difference [Pa] that drives a flow [m³/s] of upstream air through an opening: the inverse of q = C·Δpⁿ, below
 * 0.001 Pa of q = C·δⁿ·x·[(3 − n)/2 + (n − 1)/2·x²] with x = Δp/δ.
 */
export const openingPressure = (opening: PlainOpening, upstreamDensity: number, flow: number): number => {
  const { area, dischargeCoefficient = 0.6, exponent = 0.5 } = opening;
  const n = area === undefined ? exponent : 0.5;
  const coefficient =
    area === undefined ? opening.coefficient! : dischargeCoefficient * area * Math.sqrt(2 / upstreamDensity);
  const share = Math.abs(flow) / (coefficient * smoothBelow ** n);
  if (share >= 1) return Math.sign(flow) * (Math.abs(flow) / coefficient) ** (1 / n);
  // The cubic is concave from 0 to its slope n > 0 at 1, so Newton's method climbs to the root from 0.
  let x = 0;
  for (let step = 0; step < 100; step += 1) {
    const change = (share - x * ((3 - n) / 2 + ((n - 1) / 2) * x ** 2)) / ((3 - n) / 2 + (3 * (n - 1) * x ** 2) / 2);
    x += change;
    if (!(change > 1e-16)) break;
  }
  return Math.sign(flow) * x * smoothBelow;
};
