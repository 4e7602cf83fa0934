import { requireAll } from "../../core/gather.js";
import { readObject, requireKeys } from "../../core/keys.js";
import { formatNumber, formatQuantity, inUnit, requireUnit } from "../../input/quantities.js";
import type { Solution } from "../results/solution.js";
import { requireSolution } from "../solve/solution-check.js";

/** The units of a summary, as texts that formatQuantity takes. */
export interface SummaryUnits {
  /** Default "l/s". */
  readonly flow?: string;
  /** Default "Pa". */
  readonly pressure?: string;
  /** Default "m/s". */
  readonly velocity?: string;
  /** Default "W". */
  readonly power?: string;
  /** Default "W/(l/s)". */
  readonly specificFanPower?: string;
  /** Default "°C". */
  readonly temperature?: string;
  /** Of a balance. Default "kg/s". */
  readonly massFlow?: string;
}

/** One number of a solution, for people. */
export interface SummaryRow {
  /** Where it stands in the solution: `terminals.bedroom.flow`. */
  readonly path: string;
  /** The number, in its unit [`unit`]. */
  readonly value: number;
  /** Empty for the speed of a fan, which is relative to its curve's, or in its curve's unit. */
  readonly unit: string;
  /** Number and unit, to three digits; of what is missing of a set value also the limit that binds. */
  readonly text: string;
}

const defaults: Required<SummaryUnits> = {
  flow: "l/s",
  pressure: "Pa",
  velocity: "m/s",
  power: "W",
  specificFanPower: "W/(l/s)",
  temperature: "°C",
  massFlow: "kg/s",
};

type Column = readonly [key: string, unit: keyof SummaryUnits | "share" | "plain"];

const terminalColumns: readonly Column[] = [
  ["flow", "flow"],
  ["designFlow", "flow"],
  ["ratio", "share"],
  ["pressureLoss", "pressure"],
];
const ductColumns: readonly Column[] = [
  ["flow", "flow"],
  ["velocity", "velocity"],
  ["totalLoss", "pressure"],
];
const openingColumns: readonly Column[] = [
  ["flow", "flow"],
  ["pressureDifference", "pressure"],
];
const fanColumns: readonly Column[] = [
  ["flow", "flow"],
  ["totalPressure", "pressure"],
  ["staticPressure", "pressure"],
  ["power", "power"],
  ["specificFanPower", "specificFanPower"],
  ["heatToAir", "power"],
  ["speed", "plain"],
];
/** What controllers hold, by their kind. */
const heldUnits = { flow: "flow", pressure: "pressure", balance: "massFlow" } as const;
const streamColumns: readonly Column[] = [
  ["flow", "flow"],
  ["externalTotalPressure", "pressure"],
  ["externalStaticPressure", "pressure"],
  ["power", "power"],
  ["specificFanPower", "specificFanPower"],
];
const unitColumns: readonly Column[] = [
  ["massImbalance", "share"],
  ["power", "power"],
  ["specificFanPower", "specificFanPower"],
  ["supplyTemperature", "temperature"],
  ["exhaustTemperature", "temperature"],
  ["heatRecovered", "power"],
  ["preheaterHeat", "power"],
  ["frostSpeedFactor", "share"],
];

/** The units of a summary with those left out; throws all that is wrong with them. */
const unitsOf = (units: SummaryUnits): Required<SummaryUnits> => {
  const given = readObject("units", units);
  const names = Object.keys(defaults) as (keyof SummaryUnits)[];
  const chosen = Object.fromEntries(names.map((name) => [name, given[name] ?? defaults[name]]));
  requireAll(
    () => requireKeys("units", given, names),
    ...names.map((name) => () => {
      requireUnit(`units.${name}`, chosen[name], name);
    }),
  );
  return chosen as Required<SummaryUnits>;
};

/**
 * The main numbers of a solution as rows for people: terminals, fans, units, ducts, openings, in that order.
 *
 * @param solution - A solution [SI].
 * @param units - Units, as plain texts, for flow, pressure, velocity, power, specific fan power, temperature and mass flow;
 *   default l/s, Pa, m/s, W, W/(l/s), °C, kg/s.
 * @returns Rows of plain data: path, value [in the unit], unit, and text to three digits; shares in %, speeds of fans as
 *   they are.
 * @throws InputError with all wrong units: `quantity.unit-unknown` for one that is not known, `quantity.dimension` for one
 *   of another quantity, `unknown-key` for a quantity that has none here; `not-an-object` for no solution.
 *
 * Source: the solution's own numbers.
 * @example summarise(solution).map((row) => `${row.path} ${row.text}`).join("\n");
 */
export function summarise(solution: Solution, units: SummaryUnits = {}): SummaryRow[] {
  requireSolution("solution", solution);
  const chosen = unitsOf(units);
  const rowsOf = (path: string, record: object, columns: readonly Column[]): SummaryRow[] =>
    columns.flatMap(([key, kind]) => {
      const value = (record as Readonly<Record<string, unknown>>)[key];
      if (typeof value !== "number") return [];
      if (kind === "plain") return [{ path: `${path}.${key}`, value, unit: "", text: formatNumber(value) }];
      const unit = kind === "share" ? "%" : chosen[kind];
      return [{ path: `${path}.${key}`, value: inUnit(value, unit), unit, text: formatQuantity(value, unit) }];
    });
  const table = (name: string, records: Readonly<Record<string, object>>, columns: readonly Column[]): SummaryRow[] =>
    Object.entries(records).flatMap(([id, record]) => rowsOf(`${name}.${id}`, record, columns));
  const fans = Object.entries(solution.fans).flatMap(([name, { control, ...fan }]) => {
    const path = `fans.${name}`;
    const rows = rowsOf(path, fan, fanColumns);
    if (control === undefined) return rows;
    const kind = heldUnits[control.kind];
    const set = rowsOf(`${path}.control`, control, [["set", kind]]).map((row) =>
      control.noEffect === true ? { ...row, text: `${row.text}, which the fan does not change` } : row,
    );
    const missing = rowsOf(`${path}.control`, control, [["missing", kind]]);
    return [...rows, ...set, ...missing.map((row) => ({ ...row, text: `${row.text} at ${control.limit}` }))];
  });
  const handlers = Object.entries(solution.airHandlers).flatMap(([id, { supply = {}, extract = {}, ...unit }]) => [
    ...rowsOf(`airHandlers.${id}.supply`, supply, streamColumns),
    ...rowsOf(`airHandlers.${id}.extract`, extract, streamColumns),
    ...rowsOf(`airHandlers.${id}`, unit, unitColumns),
  ]);
  return [
    ...table("terminals", solution.terminals, terminalColumns),
    ...fans,
    ...handlers,
    ...table("ducts", solution.ducts, ductColumns),
    ...table("openings", solution.openings, openingColumns),
  ];
}
