import { requireKeys } from "../core/keys.js";
import { formatQuantity, inUnit } from "../input/quantities.js";
import type { Solution } from "./results.js";
import { requireSolution } from "./solution-check.js";

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
}

/** One number of a solution, for people. */
export interface SummaryRow {
  /** Where it stands in the solution: `terminals.bedroom.flow`. */
  readonly path: string;
  /** The number, in its unit [`unit`]. */
  readonly value: number;
  readonly unit: string;
  /** Number and unit, to three digits. */
  readonly text: string;
}

const defaults: Required<SummaryUnits> = {
  flow: "l/s",
  pressure: "Pa",
  velocity: "m/s",
  power: "W",
  specificFanPower: "W/(l/s)",
};

type Column = readonly [key: string, unit: keyof SummaryUnits | "share"];

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
];
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
];

/**
 * The main numbers of a solution as rows for people: terminals, fans, units, ducts, openings, in that order.
 *
 * @param solution - A solution [SI].
 * @param units - Units, as plain texts, for flow, pressure, velocity, power and specific fan power; default l/s, Pa, m/s, W, W/(l/s).
 * @returns Rows of plain data: path, value [in the unit], unit, and text to three digits; shares in %.
 * @throws InputError `quantity.unit-unknown` for a unit that is not known, `unknown-key` for a unit of something else,
 *   `not-an-object` for no solution.
 *
 * Source: the solution's own numbers.
 * @example summarise(solution).map((row) => `${row.path} ${row.text}`).join("\n");
 */
export function summarise(solution: Solution, units: SummaryUnits = {}): SummaryRow[] {
  requireSolution("solution", solution);
  requireKeys("units", units, Object.keys(defaults));
  const chosen = { ...defaults, ...units };
  const rowsOf = (path: string, record: object, columns: readonly Column[]): SummaryRow[] =>
    columns.flatMap(([key, kind]) => {
      const value = (record as Readonly<Record<string, unknown>>)[key];
      if (typeof value !== "number") return [];
      const unit = kind === "share" ? "%" : chosen[kind];
      return [{ path: `${path}.${key}`, value: inUnit(value, unit), unit, text: formatQuantity(value, unit) }];
    });
  const table = (name: string, records: Readonly<Record<string, object>>, columns: readonly Column[]): SummaryRow[] =>
    Object.entries(records).flatMap(([id, record]) => rowsOf(`${name}.${id}`, record, columns));
  const handlers = Object.entries(solution.airHandlers).flatMap(([id, { supply = {}, extract = {}, ...unit }]) => [
    ...rowsOf(`airHandlers.${id}.supply`, supply, streamColumns),
    ...rowsOf(`airHandlers.${id}.extract`, extract, streamColumns),
    ...rowsOf(`airHandlers.${id}`, unit, unitColumns),
  ]);
  return [
    ...table("terminals", solution.terminals, terminalColumns),
    ...table("fans", solution.fans, fanColumns),
    ...handlers,
    ...table("ducts", solution.ducts, ductColumns),
    ...table("openings", solution.openings, openingColumns),
  ];
}
