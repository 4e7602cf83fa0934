import { InputError, type Problem, problemOf } from "../core/errors.js";
import { placedBelow, thrownBelow, thrownBy } from "../core/gather.js";
import { requireKeys } from "../core/keys.js";
import { notNegative, positive, type Range, requireRange } from "../core/ranges.js";
import { shown } from "../core/show.js";
import { type FanDescription, readFan } from "../fans/data.js";

/** A rated part of a ventilation unit. */
export interface UnitComponent {
  readonly name: string;
  /** Loss at `flow`, of a filter when clean [Pa], 0 or more. */
  readonly pressure: number;
  /** Of a filter: loss at `flow` when it is to be changed [Pa], `pressure` or more. */
  readonly loaded?: number;
  /** [m³/s], above 0. */
  readonly flow: number;
  /** By which the loss follows the flow [-]: 1 laminar to 2 turbulent; default 2. */
  readonly exponent?: number;
  /** Of the air at the rating [kg/m³]; default 1.2. */
  readonly density?: number;
}

/** One side of a unit: a fan and what its air passes inside. */
export interface UnitStream {
  /**
   * Points or coefficients at speed 1, or points at several speeds. A curve with `of: "unit"` is what the unit offers to
   * its ducts, the components inside it clean; one of the bare fan loses them all.
   */
  readonly fan: FanDescription;
  readonly components: readonly UnitComponent[];
}

/** A ventilation unit as its maker describes it. */
export interface VentilationUnit {
  readonly name: string;
  readonly supply: UnitStream;
  readonly extract: UnitStream;
  /**
   * Lowest speed, relative to the curves' [-] or in the unit of curves at several speeds, above 0; default: the lowest of
   * these.
   */
  readonly minSpeed?: number;
  /** Highest speed likewise [-], `minSpeed` or more; default: the highest of these. */
  readonly maxSpeed?: number;
  /**
   * Whether its fans run at the speeds or settings of their curves only, and at none between; default false. Both are then
   * given at several speeds, which are its limits.
   */
  readonly stepped?: boolean;
  /** Outer measures as it is mounted [m]. */
  readonly size: UnitSize;
  /** Diameter of its four spigots [m], above 0. */
  readonly spigotDiameter: number;
  /** Temperature efficiency of its exchanger, dry, with equal flows [-], 0 to 1; 0 without one. */
  readonly heatRecovery: number;
  /** Electrical input of its controls [W], 0 or more, beside what the fan curves contain. */
  readonly controlsPower: number;
}

/** Outer measures [m], each above 0. */
export interface UnitSize {
  /** [m] */
  readonly width: number;
  /** [m] */
  readonly height: number;
  /** [m] */
  readonly depth: number;
}

/** What the ducts of one side ask for. */
export interface StreamDuty {
  /** Flow at `density` [m³/s], above 0. */
  readonly flow: number;
  /**
   * Pressure between the unit's spigots at that flow [Pa], 0 or more. Both have one diameter, so the differences of
   * static and of total pressures are the same.
   */
  readonly externalStaticPressure: number;
  /** Of the air at the fan [kg/m³]; default 1.2. */
  readonly density?: number;
}

/** What the ducts of both sides ask for at once. */
export interface Duty {
  readonly supply: StreamDuty;
  readonly extract: StreamDuty;
}

/** What a unit must do and where it must fit. */
export interface UnitRequirements {
  /** Normal running. */
  readonly duty: Duty;
  /** Running at the highest flow wanted. */
  readonly boost?: Duty;
  /** Reserve on the external pressure with loaded filters, as a fraction of it [-], 0 or more; default 0.1. */
  readonly margin?: number;
  /** Loss of loaded filters at the duty's flow [Pa], in place of what the unit's data says, never below clean. */
  readonly loadedFilters?: {
    /** Of each filter in the supply [Pa] */
    readonly supply?: number;
    /** Of each filter in the extract [Pa] */
    readonly extract?: number;
  };
  /** Largest outer measures [m]; one that is absent does not bind. */
  readonly maxSize?: Partial<UnitSize>;
  /** Largest specific fan power of the unit at duty with clean filters [W/(m³/s)], above 0. */
  readonly maxSpecificFanPower?: number;
  /** Spigot diameters for which the ducts are meant [m]; to a millimetre. */
  readonly spigotDiameters?: readonly number[];
}

/** Reserve on the external pressure where none is given [-]. */
export const defaultMargin = 0.1;

export const streamNames = ["supply", "extract"] as const;
export type StreamName = (typeof streamNames)[number];

/** Gathers what is wrong with an object: its keys first, then, if it is one, its numbers and all else. */
const objectProblems = <T extends object>(
  path: string,
  value: T,
  keys: readonly (keyof T & string)[],
  numbers: Partial<Record<keyof T & string, Range>>,
  optional: readonly (keyof T & string)[],
  rest: () => Problem[] = () => [],
): Problem[] => {
  const wrong = thrownBelow(path, path, () => requireKeys(path, value, keys));
  if (wrong.some(({ code }) => code === "not-an-object")) return wrong;
  for (const [key, range] of Object.entries(numbers) as [keyof T & string, Range][]) {
    if (optional.includes(key) && value[key] === undefined) continue;
    wrong.push(...thrownBy(() => requireRange(`${path}.${key}`, value[key] as number, range)));
  }
  return [...wrong, ...rest()];
};

const listProblems = <T>(path: string, list: readonly T[], each: (one: T, path: string) => Problem[]): Problem[] => {
  if (Array.isArray(list)) return list.flatMap((one, i) => each(one, `${path}.${i}`));
  return [problemOf("value.wrong", path, "a list", shown(list))];
};

const nameProblems = (path: string, name: unknown): Problem[] => {
  if (typeof name === "string" && name !== "") return [];
  return [problemOf("value.wrong", `${path}.name`, "a name", shown(name))];
};

const componentProblems = (one: UnitComponent, path: string): Problem[] =>
  objectProblems(
    path,
    one,
    ["name", "pressure", "loaded", "flow", "exponent", "density"],
    {
      pressure: notNegative,
      // NaN and absent numbers must not bind a range: they are faults themselves.
      loaded: { min: one?.pressure > 0 ? one.pressure : 0 },
      flow: positive,
      exponent: { min: 1, max: 2 },
      density: positive,
    },
    ["loaded", "exponent", "density"],
    () => nameProblems(path, one.name),
  );

const streamProblems = (stream: UnitStream, path: string): Problem[] =>
  objectProblems(path, stream, ["fan", "components"], {}, [], () => [
    ...readFan(stream.fan).problems.map((problem) => placedBelow(`${path}.fan`, "curve", problem)),
    ...listProblems(`${path}.components`, stream.components, componentProblems),
  ]);

const sizeProblems = (size: Partial<UnitSize>, path: string, optional: readonly (keyof UnitSize)[]): Problem[] =>
  objectProblems(
    path,
    size,
    ["width", "height", "depth"],
    { width: positive, height: positive, depth: positive },
    optional,
  );

/** Whether a description has speeds of its own; of a value that may be anything. */
const hasSpeeds = (stream: UnitStream | undefined): boolean => {
  const fan: unknown = stream?.fan;
  return typeof fan === "object" && fan !== null && "speeds" in fan;
};

/** What is wrong with a unit that runs at steps only; of values that may be anything. */
const stepProblems = (unit: VentilationUnit, path: string): Problem[] => {
  const fault = (key: string, expected: string, found: string): Problem =>
    problemOf("value.wrong", `${path}.${key}`, expected, found);
  const { stepped } = unit;
  if (stepped === undefined || stepped === false) return [];
  if (stepped !== true) return [fault("stepped", "true or false", shown(stepped))];
  const limits = (["minSpeed", "maxSpeed"] as const).filter((key) => unit[key] !== undefined);
  const single = streamNames.filter((name) => !hasSpeeds(unit[name]));
  return [
    ...limits.map((key) => fault(key, "nothing beside 'stepped', since the steps are the limits", shown(unit[key]))),
    ...single.map((name) => fault(`${name}.fan`, "a fan with 'speeds', the steps of its unit", "one without")),
  ];
};

const unitProblems = (unit: VentilationUnit, path: string): Problem[] =>
  objectProblems(
    path,
    unit,
    [
      ...(["name", "supply", "extract", "minSpeed", "maxSpeed", "stepped"] as const),
      ...(["size", "spigotDiameter", "heatRecovery", "controlsPower"] as const),
    ],
    {
      minSpeed: positive,
      maxSpeed: (unit?.minSpeed ?? 0) > 0 ? { min: unit.minSpeed } : positive,
      spigotDiameter: positive,
      heatRecovery: { min: 0, max: 1 },
      controlsPower: notNegative,
    },
    unit?.stepped === true || streamNames.every((name) => hasSpeeds(unit?.[name])) ? ["minSpeed", "maxSpeed"] : [],
    () => [
      ...stepProblems(unit, path),
      ...nameProblems(path, unit.name),
      ...streamNames.flatMap((name) => streamProblems(unit[name], `${path}.${name}`)),
      ...sizeProblems(unit.size, `${path}.size`, []),
    ],
  );

const dutyProblems = (duty: Duty, path: string): Problem[] =>
  objectProblems(path, duty, ["supply", "extract"], {}, [], () =>
    streamNames.flatMap((name) =>
      objectProblems(
        `${path}.${name}`,
        duty[name],
        ["flow", "externalStaticPressure", "density"],
        { flow: positive, externalStaticPressure: notNegative, density: positive },
        ["density"],
      ),
    ),
  );

const requirementProblems = (path: string, requirements: UnitRequirements): Problem[] =>
  objectProblems(
    path,
    requirements,
    ["duty", "boost", "margin", "loadedFilters", "maxSize", "maxSpecificFanPower", "spigotDiameters"],
    { margin: notNegative, maxSpecificFanPower: positive },
    ["margin", "maxSpecificFanPower"],
    () => {
      const { duty, boost, loadedFilters, maxSize, spigotDiameters } = requirements;
      const filters = `${path}.loadedFilters`;
      const spigots = `${path}.spigotDiameters`;
      return [
        ...dutyProblems(duty, `${path}.duty`),
        ...(boost === undefined ? [] : dutyProblems(boost, `${path}.boost`)),
        ...(loadedFilters === undefined
          ? []
          : objectProblems(
              filters,
              loadedFilters,
              streamNames,
              { supply: notNegative, extract: notNegative },
              streamNames,
            )),
        ...(maxSize === undefined ? [] : sizeProblems(maxSize, `${path}.maxSize`, ["width", "height", "depth"])),
        ...(spigotDiameters === undefined
          ? []
          : listProblems(spigots, spigotDiameters, (one, place) => thrownBy(() => requireRange(place, one, positive)))),
      ];
    },
  );

/** Throws all that is wrong with requirements and units at once. */
export const requireUnitData = (requirements: UnitRequirements, units: readonly VentilationUnit[]): void => {
  const problems = [
    ...requirementProblems("requirements", requirements),
    ...listProblems("units", units, unitProblems),
  ];
  if (problems.length > 0) throw new InputError(problems);
};
