import { expectation, InputError, type Problem, problemOf } from "../core/errors.js";
import { nearestName, unknownName } from "../core/nearest.js";
import { isWithin, type Range, requireRange } from "../core/ranges.js";
import { shortened, shown } from "../core/show.js";
import { fromSI, toSI, type Unit, unitOf } from "./units.js";

/**
 * What a number measures, with the SI unit that it is kept in: length [m], area [m²], flow [m³/s], massFlow [kg/s],
 * velocity [m/s], pressure [Pa], density [kg/m³], viscosity (dynamic) [Pa·s], temperature [°C], angle [rad], power [W],
 * specificFanPower [W/(m³/s)], energy [J], time [s], fraction [-].
 */
export type Quantity =
  | "length"
  | "area"
  | "flow"
  | "massFlow"
  | "velocity"
  | "pressure"
  | "density"
  | "viscosity"
  | "temperature"
  | "angle"
  | "power"
  | "specificFanPower"
  | "energy"
  | "time"
  | "fraction";

/** A quantity in words. */
export interface QuantityDescription {
  /** The SI unit, as it is printed; the empty text for a fraction. */
  readonly unit: string;
  /** The quantity with its article: "a length". */
  readonly article: string;
  /** A text that reads well in a message; its unit tells the dimension. */
  readonly example: string;
  /** Units in use, the first suggestions for one that is not known. */
  readonly usual: readonly string[];
}

const quantities: Readonly<Record<Quantity, QuantityDescription>> = {
  length: { unit: "m", article: "a length", example: "180 mm", usual: ["mm", "cm", "m", "km", "in", "ft"] },
  area: { unit: "m²", article: "an area", example: "0.02 m2", usual: ["m2", "cm2", "mm2", "ft^2", "in^2"] },
  flow: { unit: "m³/s", article: "a flow", example: "45 l/s", usual: ["l/s", "m3/h", "m3/s", "cfm"] },
  massFlow: { unit: "kg/s", article: "a mass flow", example: "0.05 kg/s", usual: ["kg/s", "kg/h", "g/s"] },
  velocity: { unit: "m/s", article: "a velocity", example: "3 m/s", usual: ["m/s", "km/h", "ft/min"] },
  pressure: {
    unit: "Pa",
    article: "a pressure",
    example: "50 Pa",
    usual: ["Pa", "kPa", "mbar", "bar", "inH2O", "mmH2O"],
  },
  density: { unit: "kg/m³", article: "a density", example: "1.2 kg/m3", usual: ["kg/m3", "g/l", "lb/ft^3"] },
  viscosity: { unit: "Pa·s", article: "a viscosity", example: "1.81e-5 Pa s", usual: ["Pa s", "mPa s"] },
  temperature: { unit: "°C", article: "a temperature", example: "20 degC", usual: ["degC", "degF", "K", "celsius"] },
  angle: { unit: "rad", article: "an angle", example: "90 deg", usual: ["deg", "rad", "degree", "degrees"] },
  power: { unit: "W", article: "a power", example: "60 W", usual: ["W", "kW", "hp"] },
  specificFanPower: {
    unit: "W/(m³/s)",
    article: "a specific fan power",
    example: "0.9 W/(l/s)",
    usual: ["W/(l/s)", "W/(m3/s)", "kW/(m3/s)", "W/(m3/h)", "Wh/m3"],
  },
  energy: { unit: "J", article: "an energy", example: "12 kWh", usual: ["kWh", "Wh", "MWh", "J", "kJ", "MJ"] },
  time: { unit: "s", article: "a time", example: "8 h", usual: ["s", "min", "h", "day", "days", "year"] },
  fraction: { unit: "", article: "a fraction", example: "50 %", usual: ["%", "percent"] },
};

/** The unit, name and example of a quantity. */
export const describeQuantity = (quantity: Quantity): QuantityDescription => quantities[quantity];

const decimal = /[+−-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+−-]?[0-9]+)?/.source;
const spaces = /[ \u00a0\u2009\u202f]*/.source;

/**
 * A quantity text: a decimal number, spaces or none, and a unit text that begins with a letter, "%", "°", "µ" or "(".
 * Whether that unit exists and measures the right thing, the pattern does not tell. No two neighbouring parts can take
 * the same character, so that a text which does not match is refused in linear time.
 */
export const quantityPattern: RegExp = new RegExp(`^(${decimal})${spaces}(?![eE][+−-]?[0-9])([A-Za-z%°µμ(].*)$`);

const numberAlone = new RegExp(`^${decimal}${spaces}$`);

/** A text that is no such quantity, as the problem that it makes once its place is known. */
export interface QuantityFault extends Omit<Problem, "path" | "id"> {
  readonly expected: string;
  readonly found: string;
  readonly code:
    | "quantity.syntax"
    | "quantity.unit-missing"
    | "quantity.unit-unknown"
    | "quantity.dimension"
    | "quantity.not-finite";
  /** The sentence without its beginning, which is the place and a colon. */
  readonly message: string;
}

const fault = (
  code: QuantityFault["code"],
  quantity: Quantity,
  text: string,
  { advice = "", nearest }: { readonly advice?: string; readonly nearest?: string } = {},
): QuantityFault => {
  const expected = `${quantities[quantity].article} such as '${quantities[quantity].example}'`;
  const found = shortened(text);
  return {
    code,
    message: `${expectation(expected, `'${found}'`, nearest)}${advice}`,
    expected,
    found,
    ...(nearest === undefined ? {} : { nearest }),
  };
};

/** A number without its unit, and how to write it so that it lies in the limits of its field. */
const unitMissing = (text: string, quantity: Quantity, limits: Range | undefined): QuantityFault => {
  const { unit } = quantities[quantity];
  const number = shortened(text.trim());
  const value = Number(number.replaceAll("−", "-"));
  const fits = (one: number): boolean => limits === undefined || isWithin(one, limits);
  const percent = (one: number): string => `'${Number(one.toPrecision(12))} %'`;
  const advice = (): string => {
    if (unit !== "") return fits(value) ? `: write the number ${number} (in ${unit}) or add a unit` : ": add a unit";
    if (fits(value)) return `: write the number ${number} or ${percent(100 * value)}`;
    return fits(value / 100) ? `: write ${percent(value)}` : "";
  };
  return fault("quantity.unit-missing", quantity, text, { advice: advice() });
};

const unitUnknown = (text: string, unitText: string, quantity: Quantity): QuantityFault => {
  const nearest = nearestName(unitText, quantities[quantity].usual);
  return fault("quantity.unit-unknown", quantity, text, { nearest });
};

const dimensions = new Map<Quantity, string | undefined>();

const dimensionOf = (quantity: Quantity): string | undefined => {
  if (!dimensions.has(quantity)) {
    const unitText = quantityPattern.exec(quantities[quantity].example)?.[2] ?? "";
    dimensions.set(quantity, unitOf(unitText)?.dimension);
  }
  return dimensions.get(quantity);
};

/** A unit of something else, and what that is where it has a name here. */
const otherDimension = (text: string, { dimension }: Unit, quantity: Quantity): QuantityFault => {
  const other = Object.keys(quantities).find((one) => dimensionOf(one as Quantity) === dimension);
  const what = other === undefined ? "" : `, which is ${quantities[other as Quantity].article}`;
  return fault("quantity.dimension", quantity, text, { advice: what });
};

/**
 * The SI value of a quantity text, or what is wrong with it; throws nothing. The rules are the same as in parseQuantity.
 *
 * @param limits - Range in SI of what may be advised in place of a number alone; values are not held to it.
 */
export const readQuantity = (
  text: string,
  quantity: Quantity,
  limits?: Range,
): { readonly value: number } | QuantityFault => {
  const parts = quantityPattern.exec(text);
  if (parts === null) {
    return numberAlone.test(text) ? unitMissing(text, quantity, limits) : fault("quantity.syntax", quantity, text);
  }
  const [, number, unitText] = parts;
  const unit = unitOf(unitText);
  if (unit === undefined) return unitUnknown(text, unitText, quantity);
  if (unit.dimension !== dimensionOf(quantity)) return otherDimension(text, unit, quantity);
  const value = toSI(Number(number.replaceAll("−", "-")), unit);
  return Number.isFinite(value)
    ? { value }
    : fault("quantity.not-finite", quantity, text, { advice: ", which is not a finite number" });
};

/** Absolute zero [°C] */
const absoluteZero = -273.15;

/** A text that no temperature can have, most likely a difference, which is not a quantity here. */
const belowAbsoluteZero = (text: string): InputError => {
  const expected = `a temperature of ${absoluteZero} °C or more: for a difference, give both temperatures`;
  return new InputError([problemOf("out-of-range", "text", expected, shown(text))]);
};

/**
 * The SI value of a text such as "180 mm", "45 l/s", "900 m³/h", "0.4 inH2O", "20 °C" or "50 %".
 *
 * The text is a decimal number (sign, point, exponent), spaces or none, and a unit: SI units with their prefixes, the
 * usual others, and their products, quotients and powers. `m²`, `m³`, `s⁻¹`, `·`, `µ`, `°`, `°C` and `°F` are read as they
 * look, `cfm` is a cubic foot a minute, `inH2O` 249.08891 Pa, `%` a hundredth. Decimal commas, fractions ("1/2 in") and
 * lists are not read. A specific fan power has the dimension of a pressure, so a pressure passes for one.
 *
 * @param text - The quantity text; its unit at most 40 characters.
 * @param quantity - What the number measures; see `Quantity` for the SI units.
 * @returns The value [the SI unit of that quantity]; temperatures in °C ("5 K" is −268.15), from −273.15 up.
 * @throws InputError `quantity.syntax` when the text is not a number and a unit; `quantity.unit-missing` for a number
 *   alone; `quantity.unit-unknown`, with the nearest usual unit where one is near; `quantity.dimension` when the unit
 *   measures something else; `quantity.not-finite` for a value beyond the largest number; `out-of-range` for a
 *   temperature below absolute zero; `unknown-quantity`.
 *
 * Source: factors of the units by mathjs, which holds the definitions; the cubic foot a minute is 0.3048³/60 m³/s and
 * the inch of water 0.0254 m · 1000 kg/m³ · 9.80665 m/s², both exact.
 * @example parseQuantity("45 l/s", "flow"); // 0.045
 */
export function parseQuantity(text: string, quantity: Quantity): number {
  if (typeof quantity !== "string" || !Object.hasOwn(quantities, quantity)) {
    throw unknownName("quantity", "quantity", quantity, Object.keys(quantities));
  }
  if (typeof text !== "string") {
    const expected = `a text such as '${quantities[quantity].example}'`;
    throw new InputError([problemOf("quantity.syntax", "text", expected, `a ${typeof text}`, { subject: quantity })]);
  }
  const reading = readQuantity(text, quantity);
  if ("value" in reading) {
    if (quantity !== "temperature" || reading.value >= absoluteZero) return reading.value;
    // −459.67 °F is absolute zero, and falls below it by rounding.
    if (reading.value >= absoluteZero - 1e-9) return absoluteZero;
    throw belowAbsoluteZero(text);
  }
  throw new InputError([{ ...reading, path: "text", message: `${quantity}: ${reading.message}` }]);
}

const knownUnit = (text: string, path = "unit"): Unit => {
  const unit = typeof text === "string" ? unitOf(text) : undefined;
  if (unit !== undefined) return unit;
  const [expected, found] = ["a unit such as 'l/s'", typeof text === "string" ? shortened(text) : shown(text)];
  const usual = Object.values(quantities).flatMap((quantity) => quantity.usual);
  const nearest = nearestName(found, usual);
  const hint = nearest === undefined ? "" : `; did you mean '${nearest}'?`;
  const message = `${path}: expected ${expected}, got '${found}'${hint}`;
  throw new InputError([{ code: "quantity.unit-unknown", path, message, expected, found, nearest }]);
};

/**
 * Throws InputError `quantity.unit-unknown` unless a text is a unit, `quantity.dimension` unless it is one of a quantity.
 *
 * @param path - Where the text stands.
 */
export const requireUnit = (path: string, text: string, quantity: Quantity): void => {
  if (knownUnit(text, path).dimension === dimensionOf(quantity)) return;
  const { article, usual } = quantities[quantity];
  const expected = `a unit of ${article.replace(/^an? /, "")} such as '${usual[0]}'`;
  throw new InputError([problemOf("quantity.dimension", path, expected, `'${shortened(text)}'`)]);
};

/** No reading: a value below absolute zero, most likely kelvins where °C are asked, or a difference. */
const tooCold = (value: number): InputError => {
  const expected = `${absoluteZero} or more: give temperatures in °C, regardless of the unit they are printed in`;
  return new InputError([problemOf("out-of-range", "value", expected, String(value))]);
};

/**
 * The reading in a unit of an SI value.
 *
 * @param value - SI value; °C where the unit is one of temperature.
 * @throws InputError as formatQuantity.
 */
export const inUnit = (value: number, unit: string): number => {
  const known = knownUnit(unit);
  requireRange("value", value, {});
  if (known.dimension === dimensionOf("temperature") && value < absoluteZero) throw tooCold(value);
  const reading = fromSI(value, known);
  requireRange("value", reading, {});
  return reading + 0; // never -0
};

/** A number in plain decimals to some significant digits; with an exponent only from 1e15 up and below 1e-9. */
export const formatNumber = (value: number, digits = 3): string => {
  const scientific = value.toExponential(digits - 1);
  const [mantissa, exponent] = scientific.split("e");
  const size = Math.abs(value);
  const plain = size === 0 || (size >= 1e-9 && size < 1e15);
  // Rounding to fewer digits than the whole part has would put zeros for digits that are known.
  const text = plain ? value.toFixed(Math.max(0, digits - 1 - Number(exponent))) : mantissa;
  const short = text.includes(".") ? text.replace(/\.?0+$/, "") : text;
  return plain ? short : `${short}e${Number(exponent)}`;
};

/**
 * An SI value as a text for people, in a unit of their choice.
 *
 * A temperature is °C, as everywhere here, and `unit` is what it is printed in: 20 in "K" is "293 K". A difference of
 * temperatures is no quantity here: it would be printed as a temperature.
 *
 * @param value - SI value [the SI unit of what `unit` measures; °C for a unit of temperature, from −273.15 up].
 * @param unit - Any unit that parseQuantity reads; printed as written here.
 * @param digits - Significant digits [-], a whole number from 1 to 17; default 3. Digits before the point are never rounded away, zeros at
 *   the end of a decimal fraction are left out.
 * @returns Number, space, unit; plain decimals, with an exponent only from 1e15 up and below 1e-9.
 * @throws InputError `quantity.unit-unknown`; `out-of-range` when the value is no finite number or below absolute zero, or
 *   digits are no whole number from 1 to 17.
 *
 * Source: as parseQuantity, which reads the text back to the digits printed.
 * @example formatQuantity(0.0105, "l/s"); // "10.5 l/s"
 */
export function formatQuantity(value: number, unit: string, digits = 3): string {
  if (!Number.isInteger(digits) || digits < 1 || digits > 17)
    throw new InputError([problemOf("out-of-range", "digits", "a whole number from 1 to 17", shown(digits))]);
  return `${formatNumber(inUnit(value, unit), digits)} ${unit}`;
}
