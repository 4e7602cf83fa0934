import * as mathjs from "mathjs";

/** What a unit text means, in numbers. */
export interface Unit {
  /** The powers of its base dimensions, as a text: equal for units of the same kind of thing. */
  readonly dimension: string;
  /** The SI value of one of it (for temperatures, of a step of one) is `multiplier` / `divisor`. */
  readonly multiplier: number;
  /** 1000 for mm: 9/1000 is the double nearest to 0.009, 9 × 0.001 is not. 1 where the division would not be exact. */
  readonly divisor: number;
  /** Its reading where the SI value is 0: 0, except for temperatures, which are °C here (32 for degF). */
  readonly zero: number;
}

/** What is read of a mathjs unit. */
interface ParsedUnit {
  readonly value: number | null;
  readonly dimensions: readonly number[];
  readonly units: readonly { unit: { offset: number }; prefix: { value: number }; power: number }[];
}

/** What is used of the mathjs unit class. */
interface UnitClass {
  readonly BASE_DIMENSIONS: readonly string[];
  new (value: number, unit: ParsedUnit): { readonly value: number };
  parse(text: string): ParsedUnit;
  createUnitSingle(name: string, definition: string): unknown;
}

/** The factor of degF and degR, which mathjs writes as a fraction. */
class Ratio {
  readonly isFraction = true;
  readonly value: number;
  constructor(numerator: number, denominator: number) {
    this.value = numerator / denominator;
  }
}

/**
 * The unit class of mathjs on plain numbers: one factory, without its decimals, fractions and complex numbers. All of
 * mathjs takes about a second to load, this some milliseconds.
 */
const makeUnitClass = (): UnitClass => {
  // mathjs exports this factory but leaves it out of its types; the interfaces above say what is relied on. Reached by
  // name through the namespace, as here, the bundler drops all the rest; taken apart, it would keep it.
  const unitClass = (mathjs as unknown as { createUnitClass(operations: object): UnitClass }).createUnitClass({
    config: { number: "number" },
    addScalar: (a: number, b: number) => a + b,
    subtractScalar: (a: number, b: number) => a - b,
    multiplyScalar: (a: number, b: number) => a * b,
    divideScalar: (a: number, b: number) => a / b,
    pow: (a: number, b: number) => a ** b,
    abs: Math.abs,
    fix: Math.trunc,
    round: Math.round,
    equal: Object.is,
    isNumeric: Number.isFinite,
    format: String,
    number: (value: number | Ratio) => (value instanceof Ratio ? value.value : value),
    Fraction: Ratio,
    // The factor of reactive power is imaginary; as NaN it makes VAR a unit that is not known.
    Complex: { I: Number.NaN },
    BigNumber: null,
  });
  unitClass.createUnitSingle("percent", "0.01");
  unitClass.createUnitSingle("cfm", "1 ft^3/min");
  // 25.4 mm of water of 1000 kg/m³ under 9.80665 m/s².
  unitClass.createUnitSingle("inH2O", "249.08891 Pa");
  return unitClass;
};

/** Made on the first text that needs it, so that a program without texts does not wait for it. */
let unitClass: UnitClass | undefined;

const superscripts: Readonly<Record<string, string>> = { "⁻": "-", "¹": "1", "²": "2", "³": "3" };

/** A unit text as people write it, in the letters that mathjs reads. */
const plain = (text: string): string =>
  text
    .replace(/⁻?[¹²³]/g, (power) => `^${Array.from(power, (sign) => superscripts[sign]).join("")}`)
    .replace(/[·×]/g, "*")
    .replace(/[µμ]/g, "u")
    .replace(/°([CF])/g, "deg$1")
    .replace(/°/g, "deg")
    .replace(/%/g, "percent")
    .replace(/[\u00a0\u2009\u202f]/g, " ");

const dimensionText = ({ dimensions }: ParsedUnit, names: readonly string[]): string => {
  const powers = dimensions.map((power) => Number(power.toFixed(9)));
  return names.flatMap((name, i) => (powers[i] === 0 ? [] : [`${name}^${powers[i]}`])).join(" ");
};

const zeroOf = ({ units }: ParsedUnit, factor: number): number => {
  const [{ unit, prefix, power }] = units;
  // An offset counts only where the unit stands alone: "degC m/m" is kelvin.
  if (units.length > 1 || power !== 1) return 273.15 / factor;
  // Rounded, so that degF has 32 and not 32.00000000000006.
  return Number((273.15 / factor - unit.offset / prefix.value).toPrecision(12));
};

const readUnit = (text: string): Unit | undefined => {
  unitClass ??= makeUnitClass();
  try {
    const parsed = unitClass.parse(plain(text));
    if (parsed.value !== null) return undefined; // a quantity such as "5 m"
    const factor = new unitClass(1, parsed).value;
    if (!(factor > 0 && factor < Number.POSITIVE_INFINITY)) return undefined; // "km^400"
    const dimension = dimensionText(parsed, unitClass.BASE_DIMENSIONS);
    const zero = dimension === "TEMPERATURE^1" ? zeroOf(parsed, factor) : 0;
    const inverse = Math.round(1 / factor);
    return Math.abs(inverse * factor - 1) < 1e-15
      ? { dimension, multiplier: 1, divisor: inverse, zero }
      : { dimension, multiplier: factor, divisor: 1, zero };
  } catch {
    return undefined; // mathjs throws where a unit is not known
  }
};

/** Longer unit texts are not looked at: the longest in use have about 20 characters. */
const longestUnit = 40;
const mostRemembered = 1000;
const remembered = new Map<string, Unit | undefined>();

/**
 * What a unit text means: "l/s", "m³/h", "W/(l/s)", "°C", "%", "inH2O", "cfm". Each text is looked up once.
 *
 * @returns undefined for a unit that is not known, and for texts of more than 40 characters.
 */
export const unitOf = (text: string): Unit | undefined => {
  if (text.length > longestUnit) return undefined;
  if (remembered.has(text)) return remembered.get(text);
  if (remembered.size >= mostRemembered) remembered.clear();
  const unit = readUnit(text);
  remembered.set(text, unit);
  return unit;
};

/** The SI value [°C for temperatures] of a reading in a unit. */
export const toSI = (reading: number, { multiplier, divisor, zero }: Unit): number =>
  ((reading - zero) * multiplier) / divisor;

/** The reading in a unit of an SI value [°C for temperatures]. */
export const fromSI = (value: number, { multiplier, divisor, zero }: Unit): number =>
  (value * divisor) / multiplier + zero;
