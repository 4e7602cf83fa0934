import { readData } from "../core/keys.js";
import { formatQuantity } from "../input/quantities.js";
import {
  type Duty,
  defaultMargin,
  requireUnitData,
  streamNames,
  type UnitRequirements,
  type VentilationUnit,
} from "./unit-data.js";
import { type StreamOperation, type UnitOperation, unitOperation } from "./unit-operation.js";

/** How a unit runs at a duty. */
export interface DutyOperation {
  /** With clean filters and without reserve. */
  readonly clean: UnitOperation;
  /** With loaded filters and the reserve on the external pressure. */
  readonly loaded: UnitOperation;
}

/** Something that keeps a unit from serving. */
export interface Binding {
  readonly what: "flow" | "pressure" | "specificFanPower" | "power" | "size" | "spigot";
  /** One sentence with numbers. */
  readonly message: string;
  /** By how much it fails, as a fraction of what was wanted [-]. */
  readonly by: number;
}

/** One unit measured against requirements. */
export interface UnitChoice {
  readonly name: string;
  readonly fits: boolean;
  /** What keeps it from serving, the worst first; empty where it fits. */
  readonly binds: readonly Binding[];
  readonly duty: DutyOperation;
  readonly boost?: DutyOperation;
  /** All electrical input at duty with clean filters [W]; absent where it does not serve or the curves do not tell. */
  readonly power?: number;
  /** At duty with clean filters, over the larger flow at 1.2 kg/m³ [W/(m³/s)]; 1000 is 1 W/(l/s). */
  readonly specificFanPower?: number;
  /** Smallest pressure left over all required, of both fans in all states [Pa]; absent where a flow is outside a curve. */
  readonly reserve?: number;
  /** Temperature efficiency of its exchanger as its data says [-]. */
  readonly heatRecovery: number;
}

const litres = (flow: number): string => `${(1000 * flow).toFixed(1)} l/s`;
const pascals = (pressure: number): string => `${pressure.toFixed(0)} Pa`;
const millimetres = (length: number): string => `${(1000 * length).toFixed(0)} mm`;
const perLitre = (specific: number): string => formatQuantity(specific, "W/(l/s)");

/** Spigots that differ by less have one nominal size [m]. */
const sameDiameter = 1e-3;

const operationAt = (unit: VentilationUnit, duty: Duty, requirements: UnitRequirements): DutyOperation => {
  const { margin = defaultMargin, loadedFilters } = requirements;
  return {
    clean: unitOperation(unit, duty),
    loaded: unitOperation(unit, duty, { margin, stated: loadedFilters, at: requirements.duty }),
  };
};

/** What keeps one fan from serving; with loaded filters, which never ask for less than clean ones. */
const streamBindings = (
  place: string,
  { speed, flow, reserve, requiredPressure, lowestFlow, highestFlow }: StreamOperation,
): Binding[] => {
  if (speed !== undefined) return [];
  if (reserve === undefined) {
    const message = `${place}: ${litres(flow)} where the fan's curve serves from ${litres(lowestFlow)} to ${litres(highestFlow)}`;
    return [{ what: "flow", message, by: flow > highestFlow ? flow / highestFlow - 1 : 1 - flow / lowestFlow }];
  }
  const message = `${place}: needs ${pascals(requiredPressure)} at ${litres(flow)} with loaded filters, has ${pascals(requiredPressure + reserve)} at most`;
  return [{ what: "pressure", message, by: Math.min(1, -reserve / requiredPressure) }];
};

const dutyBindings = (name: string, { loaded }: DutyOperation): Binding[] =>
  streamNames.flatMap((stream) => streamBindings(`${stream} at ${name}`, loaded[stream]));

const sizeBindings = ({ size }: VentilationUnit, { maxSize = {} }: UnitRequirements): Binding[] =>
  (["width", "height", "depth"] as const).flatMap((side) => {
    const most = maxSize[side];
    if (most === undefined || size[side] <= most) return [];
    const message = `${side}: ${millimetres(size[side])} where ${millimetres(most)} is free`;
    return [{ what: "size" as const, message, by: size[side] / most - 1 }];
  });

const spigotBindings = ({ spigotDiameter }: VentilationUnit, { spigotDiameters }: UnitRequirements): Binding[] => {
  if (spigotDiameters === undefined) return [];
  const differences = spigotDiameters.map((one) => Math.abs(spigotDiameter - one));
  if (differences.some((difference) => difference < sameDiameter)) return [];
  const message = `spigots: ${millimetres(spigotDiameter)} where ${spigotDiameters.map(millimetres).join(" or ") || "none"} is wanted`;
  const nearest = Math.min(...spigotDiameters.map((one) => Math.abs(spigotDiameter / one - 1)));
  return [{ what: "spigot", message, by: Math.min(nearest, 1) }];
};

const powerBindings = (operation: UnitOperation, { maxSpecificFanPower }: UnitRequirements): Binding[] => {
  const { supply, extract, specificFanPower } = operation;
  if (maxSpecificFanPower === undefined || supply.speed === undefined || extract.speed === undefined) return [];
  if (specificFanPower === undefined) {
    const message = `specific fan power: its data tells no power, ${perLitre(maxSpecificFanPower)} is the limit`;
    return [{ what: "power", message, by: 1 }];
  }
  if (specificFanPower <= maxSpecificFanPower) return [];
  const message = `specific fan power: ${perLitre(specificFanPower)} at duty where ${perLitre(maxSpecificFanPower)} is the limit`;
  return [{ what: "specificFanPower", message, by: specificFanPower / maxSpecificFanPower - 1 }];
};

/** The smallest pressure left in any state; undefined where one of them is not known. */
const reserveOf = (operations: readonly DutyOperation[]): number | undefined => {
  const reserves = operations.flatMap(({ clean, loaded }) =>
    [clean, loaded].flatMap(({ supply, extract }) => [supply.reserve, extract.reserve]),
  );
  return reserves.some((one) => one === undefined) ? undefined : Math.min(...(reserves as number[]));
};

const choiceOf = (unit: VentilationUnit, requirements: UnitRequirements): UnitChoice => {
  const duty = operationAt(unit, requirements.duty, requirements);
  const boost = requirements.boost && operationAt(unit, requirements.boost, requirements);
  const binds = [
    ...dutyBindings("duty", duty),
    ...(boost === undefined ? [] : dutyBindings("boost", boost)),
    ...powerBindings(duty.clean, requirements),
    ...sizeBindings(unit, requirements),
    ...spigotBindings(unit, requirements),
  ].sort((a, b) => b.by - a.by);
  const { power, specificFanPower } = duty.clean;
  const reserve = reserveOf(boost === undefined ? [duty] : [duty, boost]);
  return {
    name: unit.name,
    fits: binds.length === 0,
    binds,
    duty,
    ...(boost === undefined ? {} : { boost }),
    ...(power === undefined || specificFanPower === undefined ? {} : { power, specificFanPower }),
    ...(reserve === undefined ? {} : { reserve }),
    heatRecovery: unit.heatRecovery,
  };
};

/** Fitting units by power, equal ones by what is left, unknown power last; then the others by what they fail most in. */
const better = (a: UnitChoice, b: UnitChoice): number => {
  if (a.fits !== b.fits) return a.fits ? -1 : 1;
  if (!a.fits) return a.binds[0].by - b.binds[0].by || a.binds.length - b.binds.length;
  const left = (b.reserve ?? 0) - (a.reserve ?? 0);
  const unknown = Number(a.power === undefined) - Number(b.power === undefined);
  return unknown || (a.power ?? 0) - (b.power ?? 0) || left;
};

/**
 * Compares ventilation units with what a building needs, and ranks them.
 *
 * Each fan runs at the lowest speed at which it gives the pressure required at the flow required, within the unit's
 * speeds, within its curve and right of its stall region; any excess pressure, if it cannot run slower, must be
 * throttled and is stated. The required pressure is the external pressure plus the losses of the components inside. It
 * is computed twice: with clean filters, and with loaded ones and the reserve on the external pressure, which is the
 * least certain part.
 *
 * Flows and pressures are as given: the pressure the ducts need at another flow is not known here. Leakage in the unit,
 * sound and heat of the fans are left out. A unit that does not fit never throws: `binds` says why.
 *
 * A fan may be given by points, by coefficients, or by points at several speeds: between these its power follows the
 * given points, not the cube of speed, and they are its limits if the unit states none. In a `stepped` unit, each fan
 * runs at the slowest of its speeds or settings that serves, and at none between.
 *
 * @param requirements - `duty` and `boost`: for `supply` and `extract` the `flow` [m³/s], the `externalStaticPressure` [Pa] between
 *   the spigots and the air's `density` [kg/m³] (default 1.2); `margin` on that pressure with loaded filters [-] (default
 *   0.1); `loadedFilters` [Pa] at the duty's flow; `maxSize` [m]; `maxSpecificFanPower` [W/(m³/s)] at duty with clean
 *   filters; `spigotDiameters` [m].
 * @param units - Units as data: fan curves [SI], components (pressure [Pa], `loaded` [Pa], flow [m³/s]), speeds [relative to the curve's, or in their unit] or
 *   `stepped`, size [m], spigot diameter [m], heat recovery [-], controls power [W].
 * @returns One choice a unit as plain data: speeds [as given], pressures [Pa], power [W], specific fan power [W/(m³/s)], and what
 *   binds. Units that fit come first, by power at duty; then the others, by their largest shortfall.
 * @throws InputError with all that is wrong at once: `out-of-range`, `unknown-key`, `not-an-object`, `value.wrong`;
 *   the codes of `fanCurve`, `fanFamily` and `polynomialFan`. Paths: `requirements.duty.supply.flow`, `units.0.supply.fan.points.1.flow`.
 *
 * Source: fan laws and ratings as in `atSpeed`; specific fan power of a unit as in EN 16798-3 (memory).
 * @example
 * const [best] = selectUnit({ duty: { supply: { flow: 0.16, externalStaticPressure: 78 }, extract } }, units);
 * best.fits ? best.power : best.binds[0].message;
 */
export function selectUnit(requirements: UnitRequirements, units: readonly VentilationUnit[]): UnitChoice[] {
  const asked = readData("requirements", requirements);
  const given = readData("units", units);
  requireUnitData(asked, given);
  return given.map((unit) => choiceOf(unit, asked)).sort(better);
}
