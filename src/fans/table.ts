import { InputError, type Problem, problemOf } from "../core/errors.js";
import { thrownBy } from "../core/gather.js";
import { readObject, requireKeys } from "../core/keys.js";
import { unknownName } from "../core/nearest.js";
import { rounded, shortened, shown } from "../core/show.js";
import type { FanPoint } from "./curve.js";
import type { FanSpeed } from "./family.js";

/** Units of the columns whose header names none; SI where it is left out. */
export interface FanTableUnits {
  readonly flow?: string;
  readonly pressure?: string;
  readonly power?: string;
  readonly efficiency?: string;
}

/** The points of a curve, or, from a table with a column of speeds or settings, the points of a family. */
export type FanTable = { readonly points: readonly FanPoint[] } | { readonly speeds: readonly FanSpeed[] };

const perHour = 1 / 3600;

/** The columns that are known, with the factor of each unit to SI; a bare header has the first unit. */
const columnUnits: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  flow: { "m³/s": 1, "m3/s": 1, "m³/h": perHour, "m3/h": perHour, "l/s": 1e-3, "L/s": 1e-3, cfm: 0.3048 ** 3 / 60 },
  pressure: { Pa: 1, kPa: 1000, mbar: 100, mmH2O: 9.80665, inH2O: 249.08891 },
  power: { W: 1, kW: 1000 },
  efficiency: { "-": 1, "%": 0.01 },
  // Of speeds only ratios count.
  speed: { "-": 1, "1/min": 1, rpm: 1, Hz: 1, "%": 1 },
};

/** The column of names; it has no unit. */
const settingColumn = "setting";
const columnNames = [...Object.keys(columnUnits), settingColumn];

/** Columns whose unit a number does not show; one that names its own asks it of the others. */
const unitColumns = ["flow", "pressure", "power"];

interface Column {
  readonly name: string;
  /** Whether nothing said its unit, in the header or beside the table. */
  readonly bare?: boolean;
  /** Whether the header names its unit. */
  readonly named?: boolean;
  /** To SI; 1 for names. */
  readonly factor: number;
}

/** What a line holds: numbers, and perhaps the name of a setting. */
type Row = Readonly<Record<string, number | string>>;

/** Semicolons or tabs, where there are any, leave the comma to the decimals. */
const separatorOf = (header: string): string => [";", "\t"].find((mark) => header.includes(mark)) ?? ",";

const numberPattern = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** Three digits after a mark that may part thousands as well as decimals; after a 0 it parts decimals. */
const grouped = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;

/** How the numbers of a table are written. */
interface Marks {
  /** Whether decimals may have a comma. */
  readonly comma: boolean;
  /** The marks that three digits after them leave open: until other cells show that one of them alone parts decimals. */
  readonly open: readonly string[];
}

const marksOf = (separator: string, cells: readonly string[]): Marks => {
  const isDecimal = (mark: string): boolean =>
    cells.some((cell) => cell.includes(mark) && !grouped.test(cell) && numberPattern.test(cell.replace(mark, ".")));
  const [comma, point] = [isDecimal(","), isDecimal(".")];
  const all = [",", "."];
  return { comma: separator !== ",", open: comma === point ? all : all.filter((mark) => mark !== (comma ? "," : ".")) };
};

/** The number of a cell as it stands, or what is wrong with it. */
const readNumber = (path: string, cell: string, { comma, open }: Marks): number | Problem => {
  const mark = open.find((one) => cell.includes(one));
  if (comma && mark !== undefined && grouped.test(cell)) {
    // Where the other mark parts decimals it tells; else only a fourth digit does.
    const decimals = open.length === 1 ? cell.replace(mark, mark === "," ? "." : ",") : `${cell.replace(mark, ".")}0`;
    const expected = `${cell.replace(mark, "")} or ${decimals}, since three digits after '${mark}' may be thousands or decimals`;
    return problemOf("table.number", path, expected, `'${cell}'`);
  }
  const text = comma && !cell.includes(".") ? cell.replace(",", ".") : cell;
  return numberPattern.test(text) && Number.isFinite(Number(text))
    ? Number(text)
    : problemOf("table.number", path, "a number", `'${shortened(cell)}'`);
};

/** What is wrong with an efficiency above 1, which without a unit is most likely one in percent. */
const efficiencyFault = (path: string, value: number): Problem => {
  const percent = value <= 100 ? `, such as ${rounded(value / 100)}, or ${value} % by a column 'efficiency [%]'` : "";
  return problemOf("out-of-range", path, `an efficiency of 0 to 1${percent}`, String(value));
};

const readColumn = (path: string, cell: string, units: FanTableUnits): Column => {
  const [, word = cell, square, round] = /^([^[\]()]*)(?:\[([^[\]()]*)\]|\(([^[\]()]*)\))?$/.exec(cell) ?? [];
  const bracket = square ?? round;
  const name = word.trim().toLowerCase();
  if (name === settingColumn && bracket !== undefined)
    throw new InputError([problemOf("table.columns", path, "names of settings without a unit", shown(cell))]);
  if (name === settingColumn) return { name, factor: 1 };
  if (!Object.hasOwn(columnUnits, name)) throw unknownName("column", path, word.trim(), columnNames);
  const known = columnUnits[name];
  const unit = bracket?.trim() ?? units[name as keyof FanTableUnits] ?? Object.keys(known)[0];
  if (!Object.hasOwn(known, unit)) throw unknownName("unit", `${path}.${name}`, unit, Object.keys(known));
  const given = units[name as keyof FanTableUnits];
  return {
    name,
    factor: known[unit],
    named: bracket !== undefined,
    bare: bracket === undefined && given === undefined,
  };
};

const readHeader = (path: string, cells: readonly string[], units: FanTableUnits, problems: Problem[]): Column[] => {
  const columns: Column[] = [];
  for (const cell of cells) problems.push(...thrownBy(() => columns.push(readColumn(path, cell, units))));
  const names = columns.map(({ name }) => name);
  for (const name of new Set(names)) {
    const count = names.filter((one) => one === name).length;
    if (count > 1) problems.push(problemOf("table.columns", path, `one column '${name}'`, String(count)));
  }
  // Who names one unit does not mean SI by leaving out another.
  const measured = columns.filter(({ name }) => unitColumns.includes(name));
  if (measured.some(({ named }) => named)) {
    const expected = "a unit in brackets, as another column has";
    for (const { bare, name } of measured)
      if (bare) problems.push(problemOf("table.unit", `${path}.${name}`, expected, "none"));
  }
  // A header that could not be read may have held the missing one.
  if (columns.length < cells.length) return columns;
  for (const name of ["flow", "pressure"])
    if (!names.includes(name)) problems.push(problemOf("table.columns", path, `a column '${name}'`, names.join(", ")));
  return columns;
};

/**
 * The points of a fan from comma-separated text, as spreadsheets write it.
 *
 * The first line names the columns with their units in square or round brackets, `flow [l/s];pressure (Pa);power [W]`,
 * in any order: `flow` (m³/s, m³/h, l/s, cfm), `pressure` (Pa, kPa, mbar, mmH2O, inH2O), `power` (W, kW), `efficiency`
 * (-, %), `speed` (1/min, rpm, Hz, %, -), `setting` (a name, without a unit). Cells are separated by semicolons or
 * tabs, and then decimals may have a comma; otherwise by commas. Beside decimal commas, a mark before
 * three digits, as in `1,000` or `1.000`, may separate thousands or decimals: it is taken as decimal only if another cell
 * has one that can be nothing else, and no cell has the other mark. Empty lines are ignored. Lines of equal speed make one curve, and the curves are in rising
 * order of speed. Lines of one setting make one curve too, beside a speed or, if the speeds are not known, in place of
 * it; the settings then keep the order in which they first appear, which must begin with the slowest. Points keep the
 * order of the lines.
 *
 * @param text - The table, plain text.
 * @param units - Units of columns whose header names none: `flow`, `pressure`, `power`, `efficiency`; SI [m³/s, Pa, W, -]
 *   where left out, but a flow, pressure or power without a unit beside another of them that names its own is refused.
 * @returns `points` for a curve or, with a column of speeds or settings, `speeds` for a family: flow [m³/s], pressure [Pa],
 *   power [W], efficiency [-], speed and setting as they stand. Whether they make a curve is judged by `fanCurve` and
 *   `fanFamily`.
 * @throws InputError with all problems at once, by line (`lines.3.flow`, counted from 1): `table.empty`,
 *   `table.columns`, `table.unit`, `table.cells`, `table.number`, `table.setting`, `out-of-range` for an efficiency above 1 that is not in %, `unknown-column`, `unknown-unit`, `unknown-key`, `not-an-object`.
 *
 * Source: units by definition; the conventional inch of water is 25.4 mm of 1000 kg/m³ under
 * 9.80665 m/s², 249.08891 Pa.
 * @example
 * const table = readFanTable("flow [l/s];pressure [Pa]\n0;300\n112,5;180");
 * // { points: [{ flow: 0, pressure: 300 }, { flow: 0.1125, pressure: 180 }] }
 */
export function readFanTable(text: string, units: FanTableUnits = {}): FanTable {
  const given = readObject("units", units);
  const problems = thrownBy(() => requireKeys("units", given, ["flow", "pressure", "power", "efficiency"]));
  const expected = "a line that names the columns and two or more lines of numbers";
  if (typeof text !== "string")
    throw new InputError([...problems, problemOf("table.empty", "text", expected, shown(text))]);
  // Spreadsheets put a byte order mark before the first line.
  const all = text.replace(/^\uFEFF/, "").split(/\r\n|\r|\n/);
  const lines = all.map((line, i) => ({ line, path: `lines.${i + 1}` })).filter(({ line }) => line.trim() !== "");
  if (lines.length < 3)
    throw new InputError([...problems, problemOf("table.empty", "text", expected, `lines with text: ${lines.length}`)]);

  const separator = separatorOf(lines[0].line);
  const cellsOf = (line: string): string[] => line.split(separator).map((cell) => cell.trim());
  const header = cellsOf(lines[0].line);
  const columns = readHeader(lines[0].path, header, given, problems);
  const body = lines.slice(1).map(({ line, path }) => ({ cells: cellsOf(line), path }));
  const numbers = body.flatMap(({ cells }) => cells.filter((_, i) => columns[i]?.name !== settingColumn));
  const marks = marksOf(separator, numbers);
  const rows = body.map(({ cells, path }): Row => {
    if (cells.length !== header.length)
      problems.push(
        problemOf("table.cells", path, `${header.length} cells, as in the first line`, String(cells.length)),
      );
    // Without every column known nothing tells which cell is which.
    else if (columns.length === header.length) return readRow(path, cells, columns, marks, problems);
    return {};
  });
  const has = (column: string): boolean => columns.some(({ name }) => name === column);
  if (problems.length === 0 && has("speed") && has(settingColumn))
    problems.push(...mixedSettings(rows, (i) => lines[i + 1].path));
  if (problems.length > 0) throw new InputError(problems);
  if (has("speed"))
    return { speeds: familyOf(rows, "speed").sort((a, b) => (a.speed as number) - (b.speed as number)) };
  return has(settingColumn) ? { speeds: familyOf(rows, settingColumn) } : { points: rows as unknown as FanPoint[] };
}

const readRow = (
  path: string,
  cells: readonly string[],
  columns: readonly Column[],
  marks: Marks,
  problems: Problem[],
): Row =>
  Object.fromEntries(
    columns.map(({ name, factor }, i) => {
      if (name === settingColumn) {
        if (cells[i] === "")
          problems.push(problemOf("table.setting", `${path}.${name}`, "the name of a setting", "nothing"));
        return [name, cells[i]];
      }
      const place = `${path}.${name}`;
      const read = readNumber(place, cells[i], marks);
      if (typeof read !== "number") {
        problems.push(read);
        return [name, Number.NaN];
      }
      if (name === "efficiency" && factor === 1 && read > 1) problems.push(efficiencyFault(place, read));
      return [name, read * factor];
    }),
  );

/** Lines whose speed has another setting, or whose setting another speed, where they first come. */
const mixedSettings = (rows: readonly Row[], pathOf: (row: number) => string): Problem[] => {
  const settings = new Map<unknown, unknown>();
  const speeds = new Map<unknown, unknown>();
  return rows.flatMap(({ setting, speed }, i) => {
    if (!settings.has(speed)) settings.set(speed, setting);
    if (!speeds.has(setting)) speeds.set(setting, speed);
    const [ownSetting, ownSpeed] = [settings.get(speed), speeds.get(setting)];
    if (ownSetting === setting && ownSpeed === speed) return [];
    const expected =
      ownSetting === setting
        ? `a name that is not already used at speed ${ownSpeed}`
        : `${shown(ownSetting)}, the setting given before for speed ${speed}`;
    return [problemOf("table.setting", `${pathOf(i)}.${settingColumn}`, expected, shown(setting))];
  });
};

/** The curves of a family, by what tells them apart, as they first come. */
const familyOf = (rows: readonly Row[], by: "speed" | "setting"): FanSpeed[] =>
  [...new Set(rows.map((row) => row[by]))].map((one) => {
    const own = rows.filter((row) => row[by] === one);
    const [{ setting, speed }] = own;
    return {
      ...(speed === undefined ? {} : { speed: speed as number }),
      ...(setting === undefined ? {} : { setting: setting as string }),
      points: own.map(({ setting: _, speed: __, ...point }) => point as unknown as FanPoint),
    };
  });
