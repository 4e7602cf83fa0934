import { InputError, type Problem } from "../core/errors.js";
import { problemsOf } from "../core/gather.js";
import { requireKeys } from "../core/keys.js";
import { unknownName } from "../core/nearest.js";
import { shortened, shown } from "../core/show.js";
import type { FanPoint } from "./curve.js";
import type { FanSpeed } from "./family.js";

/** Units of the columns whose header names none; SI where it is left out. */
export interface FanTableUnits {
  readonly flow?: string;
  readonly pressure?: string;
  readonly power?: string;
  readonly efficiency?: string;
}

/** The points of a curve, or, from a table with a column of speeds, those of a family. */
export type FanTable = { readonly points: readonly FanPoint[] } | { readonly speeds: readonly FanSpeed[] };

const perHour = 1 / 3600;

/** The columns that are known, with the factor of each unit to SI; the first unit is that of a bare header. */
const columnUnits: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  flow: { "m³/s": 1, "m3/s": 1, "m³/h": perHour, "m3/h": perHour, "l/s": 1e-3, "L/s": 1e-3, cfm: 0.3048 ** 3 / 60 },
  pressure: { Pa: 1, kPa: 1000, mbar: 100, mmH2O: 9.80665, inH2O: 249.08891 },
  power: { W: 1, kW: 1000 },
  efficiency: { "-": 1, "%": 0.01 },
  // Of speeds only ratios count.
  speed: { "-": 1, "1/min": 1, rpm: 1, Hz: 1, "%": 1 },
};

interface Column {
  readonly name: string;
  readonly factor: number;
}

const fault = (code: string, path: string, expected: string, found: string): Problem => {
  const message = `${path}: expected ${expected}, got ${found}`;
  return { code, path, message, expected, found };
};

/** Semicolons or tabs, where there are any, leave the comma to the decimals. */
const separatorOf = (header: string): string => [";", "\t"].find((mark) => header.includes(mark)) ?? ",";

const numberPattern = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** The number of a cell, or NaN. */
const numberOf = (cell: string, decimalComma: boolean): number => {
  const text = decimalComma && !cell.includes(".") ? cell.replace(",", ".") : cell;
  return numberPattern.test(text) ? Number(text) : Number.NaN;
};

const readColumn = (path: string, cell: string, units: FanTableUnits): Column => {
  const [, word = cell, bracket] = /^([^[\]]*)(?:\[([^[\]]*)\])?$/.exec(cell) ?? [];
  const name = word.trim().toLowerCase();
  if (!Object.hasOwn(columnUnits, name)) throw unknownName("column", path, word.trim(), Object.keys(columnUnits));
  const known = columnUnits[name];
  const unit = bracket?.trim() ?? units[name as keyof FanTableUnits] ?? Object.keys(known)[0];
  if (!Object.hasOwn(known, unit)) throw unknownName("unit", `${path}.${name}`, unit, Object.keys(known));
  return { name, factor: known[unit] };
};

const readHeader = (path: string, cells: readonly string[], units: FanTableUnits, problems: Problem[]): Column[] => {
  const columns: Column[] = [];
  for (const cell of cells) problems.push(...problemsOf(() => columns.push(readColumn(path, cell, units))));
  const names = columns.map(({ name }) => name);
  for (const name of new Set(names)) {
    const count = names.filter((one) => one === name).length;
    if (count > 1) problems.push(fault("table.columns", path, `one column "${name}"`, String(count)));
  }
  // A header that could not be read may have held the missing one.
  if (columns.length < cells.length) return columns;
  for (const name of ["flow", "pressure"])
    if (!names.includes(name)) problems.push(fault("table.columns", path, `a column "${name}"`, names.join(", ")));
  return columns;
};

/**
 * The points of a fan from comma-separated text, as spreadsheets write it.
 *
 * The first line names the columns with their units in brackets, `flow [l/s];pressure [Pa];power [W]`, in any order:
 * `flow` (m³/s, m³/h, l/s, cfm), `pressure` (Pa, kPa, mbar, mmH2O, inH2O), `power` (W, kW), `efficiency` (-, %), `speed`
 * (1/min, rpm, Hz, %, -). Cells are parted by semicolons or tabs, and then decimals may have a comma; else by commas.
 * Empty lines count for nothing. Lines of equal speed make one curve, the curves in rising order of speed; points keep
 * the order of the lines.
 *
 * @param text - The table, plain text.
 * @param units - Units [SI where left out] of columns whose header names none: `flow`, `pressure`, `power`, `efficiency`.
 * @returns `points` for a curve or, with a column of speeds, `speeds` for a family: flow [m³/s], pressure [Pa], power [W],
 *   efficiency [-], speed as it stands. Whether they make a curve is judged by `fanCurve` and `fanFamily`.
 * @throws InputError with all problems at once, by line (`lines.3.flow`, counted from 1): `table.empty`,
 *   `table.columns`, `table.cells`, `table.number`, `unknown-column`, `unknown-unit`, `unknown-key`, `not-an-object`.
 *
 * Source: units by definition; inch of water 249.08891 Pa at 4 °C (memory).
 * @example
 * const table = readFanTable("flow [l/s];pressure [Pa]\n0;300\n112,5;180");
 * // { points: [{ flow: 0, pressure: 300 }, { flow: 0.1125, pressure: 180 }] }
 */
export function readFanTable(text: string, units: FanTableUnits = {}): FanTable {
  requireKeys("units", units, ["flow", "pressure", "power", "efficiency"]);
  const expected = "a line that names the columns and two or more lines of numbers";
  if (typeof text !== "string") throw new InputError([fault("table.empty", "text", expected, shown(text))]);
  // Spreadsheets put a byte order mark before the first line.
  const all = text.replace(/^\uFEFF/, "").split(/\r\n|\r|\n/);
  const lines = all.map((line, i) => ({ line, path: `lines.${i + 1}` })).filter(({ line }) => line.trim() !== "");
  if (lines.length < 3)
    throw new InputError([fault("table.empty", "text", expected, `lines with text: ${lines.length}`)]);

  const separator = separatorOf(lines[0].line);
  const cellsOf = (line: string): string[] => line.split(separator).map((cell) => cell.trim());
  const problems: Problem[] = [];
  const header = cellsOf(lines[0].line);
  const columns = readHeader(lines[0].path, header, units, problems);
  const rows = lines.slice(1).map(({ line, path }) => {
    const cells = cellsOf(line);
    if (cells.length !== header.length)
      problems.push(fault("table.cells", path, `${header.length} cells, as in the first line`, String(cells.length)));
    // Without every column known nothing tells which cell is which.
    else if (columns.length === header.length) return readRow(path, cells, columns, separator !== ",", problems);
    return {};
  });
  if (problems.length > 0) throw new InputError(problems);
  return columns.some(({ name }) => name === "speed")
    ? { speeds: bySpeed(rows) }
    : { points: rows as unknown as FanPoint[] };
}

const readRow = (
  path: string,
  cells: readonly string[],
  columns: readonly Column[],
  decimalComma: boolean,
  problems: Problem[],
): Record<string, number> =>
  Object.fromEntries(
    columns.map(({ name, factor }, i) => {
      const value = numberOf(cells[i], decimalComma) * factor;
      if (!Number.isFinite(value))
        problems.push(fault("table.number", `${path}.${name}`, "a number", `'${shortened(cells[i])}'`));
      return [name, value];
    }),
  );

const bySpeed = (rows: readonly Record<string, number>[]): FanSpeed[] => {
  const speeds = [...new Set(rows.map(({ speed }) => speed))].sort((a, b) => a - b);
  return speeds.map((speed) => ({
    speed,
    points: rows.filter((row) => row.speed === speed).map(({ speed: _, ...point }) => point as unknown as FanPoint),
  }));
};
