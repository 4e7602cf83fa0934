import { InputError, type Problem, problemOf } from "../core/errors.js";
import { thrownBelow, thrownBy } from "../core/gather.js";
import { readData, readObject, requireKeys } from "../core/keys.js";
import { unknownName } from "../core/nearest.js";
import { isWithin, requireRange } from "../core/ranges.js";
import { shown } from "../core/show.js";
import type { Section } from "../ducts/geometry.js";
import { sectionArea } from "../ducts/section.js";
import { risingFaults, shapeFault } from "./checks.js";
import type { ChoiceParameter, Fitting, NumberParameter, Outside, Shape, Spread, TableParameter } from "./fitting.js";
import { factorAt } from "./reynolds.js";

/** Where a fitting stands and what flows there. */
export interface FittingState {
  /** The duct's section; of a transition that at its port a [m]. */
  readonly section: Section;
  /** Of a transition, the section at its port b [m]. */
  readonly other?: Section;
  /** Reynolds number of the true velocity and hydraulic diameter in the reference section [-]; absent: very high. */
  readonly reynolds?: number;
  /** Whether the air goes the other way: out of a duct at its end, from b to a of a transition. */
  readonly backward?: boolean;
}

/** A loss coefficient and what is known of it. */
export interface FittingCoefficient {
  /** On ½ρv² in the reference section [-] */
  readonly coefficient: number;
  /** The area of that velocity, for the whole flow [m²] */
  readonly area: number;
  /** The published model by name. */
  readonly model: string;
  /** Whether every value lies within what the source covers. */
  readonly withinRange: boolean;
  /** What does not. */
  readonly outside: readonly Outside[];
  readonly spread: Spread;
  /** Something that the reader should know of this geometry. */
  readonly note?: string;
}

/** Parameters as they are given: those with a preset may be left out. */
export type GivenParameters<P> = { readonly [K in keyof P]?: P[K] };

type AnyParameter = NumberParameter | ChoiceParameter | TableParameter;

const missing = (path: string, expected: string): Problem => problemOf("key.missing", path, expected, "nothing");

/** The value of one parameter with its preset, checked; problems are gathered. */
const readParameter = (path: string, parameter: AnyParameter, given: unknown, problems: Problem[]): unknown => {
  try {
    if ("columns" in parameter) return tableOf(path, parameter, given);
    const value = given ?? parameter.preset;
    if ("choices" in parameter) {
      if (!parameter.choices.includes(value as string)) throw unknownName("choice", path, value, parameter.choices);
      return value;
    }
    if (value === undefined && parameter.optional) return undefined;
    if (value === undefined) throw new InputError([missing(path, parameter.meaning)]);
    requireRange(path, value as number, parameter.range);
    return value;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    problems.push(...error.problems);
    return undefined;
  }
};

const tableOf = (path: string, table: TableParameter, given: unknown): unknown => {
  const { columns } = table;
  const expected = `two or more rows of ${Object.keys(columns).join(" and ")}, the first rising`;
  if (!Array.isArray(given) || given.length < 2) {
    throw new InputError([problemOf("table.short", path, expected, shown(given))]);
  }
  const problems: Problem[] = [];
  const rows = given.map((row, index) => parametersOf(`${path}.${index}`, columns, row, problems));
  for (const { key, expected: rising, found } of risingFaults(table, rows)) {
    problems.push(problemOf("table.not-rising", `${path}.${key}`, rising, found));
  }
  if (problems.length > 0) throw new InputError(problems);
  return rows;
};

const parametersOf = (
  at: string,
  parameters: Readonly<Record<string, AnyParameter>>,
  given: unknown,
  problems: Problem[],
): Record<string, unknown> => {
  const name = at === "" ? "parameters" : at;
  problems.push(...thrownBelow(at, at, () => requireKeys(name, given as object, Object.keys(parameters))));
  if (typeof given !== "object" || given === null) return {};
  const values: Record<string, unknown> = {};
  for (const key in parameters) {
    const path = at === "" ? key : `${at}.${key}`;
    values[key] = readParameter(path, parameters[key], (given as Record<string, unknown>)[key], problems);
  }
  return values;
};

/** The problems of a section alone, and of its form with a fitting. */
const sectionProblems = (
  { shapes }: { readonly shapes: readonly Shape[] },
  name: string,
  section: Section,
): Problem[] => {
  const problems = thrownBy(() => sectionArea(section));
  const strange = problems.length === 0 ? shapeFault(shapes, section) : undefined;
  return strange === undefined ? problems : [problemOf("fitting.shape", name, strange.expected, strange.found)];
};

/** All parameters of a fitting; throws everything that is wrong with them and with where the fitting stands. */
const checkedParameters = <P extends object>(
  fitting: Fitting<P>,
  parameters: GivenParameters<P>,
  state: FittingState,
): P => {
  const { section, other, reynolds } = state;
  const problems = thrownBy(() => requireKeys("state", state, ["section", "other", "reynolds", "backward"]));
  const described = fitting.parameters as Readonly<Record<string, AnyParameter>>;
  const values = parametersOf("", described, parameters, problems) as P;
  if (reynolds !== undefined) problems.push(...thrownBy(() => requireRange("reynolds", reynolds, { min: 0 })));
  problems.push(...sectionProblems(fitting, "section", section));
  if (other !== undefined) problems.push(...sectionProblems(fitting, "other", other));
  else if (fitting.place === "transition") problems.push(missing("other", "the section at port b"));
  if (problems.length === 0) {
    for (const { key, expected, found } of fitting.faults?.(values, section, other) ?? []) {
      problems.push(problemOf("fitting.geometry", key === "" ? "section" : key, expected, found));
    }
  }
  if (problems.length > 0) throw new InputError(problems);
  return values;
};

/**
 * The loss coefficient of a single fitting from the catalogue.
 *
 * @param fitting - A fitting such as `bend`, plain data [SI] with its law.
 * @param parameters - Its parameters [SI: m, m², rad, fractions], as `fitting.parameters` describes them; those with a
 *   preset may be left out.
 * @param state - The section [m], for a transition both, the Reynolds number [-] and the direction.
 * @returns The coefficient [-] on ½ρv², the area [m²] of that velocity, the model, its spread [-], and what lies
 *   outside of what the source covers: such a value is still computed.
 * @throws InputError with all that is wrong at once: `out-of-range`, `key.missing`, `unknown-key`, `unknown-choice`,
 *   `table.short`, `table.not-rising`, `fitting.shape`, `fitting.geometry`; `not-an-object` for a state that is none.
 *
 * Source: the fitting's own `sources`.
 * @example
 * coefficientOf(bend, { angle: Math.PI / 2, radiusRatio: 1.5 }, { section: { diameter: 0.16 }, reynolds: 3e4 });
 */
export function coefficientOf<P extends object>(
  fitting: Fitting<P>,
  parameters: GivenParameters<P>,
  state: FittingState,
): FittingCoefficient {
  const given = readObject("state", state);
  const { section, other, reynolds, backward = false } = given;
  const values = checkedParameters(fitting, readData("parameters", parameters), given);

  const laws = fitting.laws(values, section, other);
  const { coefficient, factor } = backward ? laws.backward : laws.forward;
  const outside = [...laws.outside];
  const covered = laws.reynolds ?? fitting.reynolds;
  if (reynolds !== undefined && covered !== undefined && !isWithin(reynolds, covered)) {
    outside.push({ what: "Reynolds number", value: reynolds, range: covered });
  }
  return {
    coefficient: coefficient * (factor === undefined || reynolds === undefined ? 1 : factorAt(factor, reynolds)),
    area: laws.area ?? Math.min(sectionArea(section), sectionArea(other ?? section)),
    model: laws.model,
    withinRange: outside.length === 0,
    outside,
    spread: laws.spread ?? fitting.spread,
    ...(laws.note === undefined ? {} : { note: laws.note }),
  };
}
