import fc from "fast-check";
import * as mathjs from "mathjs";
import { expect, test } from "vitest";
import { fromSI, toSI, unitOf } from "../../src/input/units.js";

/** Status of every value here: library (all of mathjs 15.2.0, with its own arithmetic). */
const reference = (text: string) => {
  const unit = mathjs.unit(1, text);
  return { si: Number(unit.toSI().toNumeric()), dimensions: unit.dimensions };
};

// All of mathjs's units with all prefixes each allows, but for the reactive power, whose factor is imaginary.
const units = mathjs.Unit.UNITS as unknown as Record<string, { prefixes: Record<string, unknown> }>;
const known = Object.entries(units)
  .filter(([name]) => name !== "" && name !== "VAR")
  .flatMap(([name, { prefixes }]) => Object.keys(prefixes).map((prefix) => prefix + name));

const compounds = "m m2 m3 ft^3 l dm3 in^2 kg g lb kWh J W hp Pa psi bar N K rad"
  .split(" ")
  .flatMap((first) =>
    ["s", "h", "min", "m2", "m^3", "(l/s)", "(m3/h)", "(m s)", "(kg K)", "s^2", "s^-1", "kWh"].flatMap((second) => [
      `${first}/${second}`,
      `${first} ${second}`,
      `${first}^2 * ${second}`.replace(/(\^.)\^2/, "$1"),
    ]),
  );

const expectSame = (text: string) => {
  const unit = unitOf(text);
  const { si, dimensions } = reference(text);
  if (unit === undefined) throw new Error(`"${text}" is not known`);
  const kelvin = dimensions.every((power, i) => power === (i === 4 ? 1 : 0));
  const ours = toSI(1, unit) + (kelvin ? 273.15 : 0);
  expect(Math.abs(ours - si), text).toBeLessThanOrEqual(4e-15 * Math.abs(si) + (kelvin ? 1e-13 : 0));
};

test("every unit of mathjs with every prefix, and compounds of them, have the SI value that all of mathjs gives", () => {
  const texts = new Set([...known, ...compounds].filter((text) => text.length <= 40));
  expect(texts.size).toBeGreaterThan(2000);
  for (const text of texts) expectSame(text);
});

test("products, quotients, powers and brackets of any units have the SI value that all of mathjs gives", () => {
  const simple = fc.constantFrom(..."m mm km in ft l s min h kg g lb Pa kPa bar W kW J kWh N K mol rad deg".split(" "));
  const power = fc.constantFrom("", "", "^2", "^-1", "^3", "^0.5");
  const factor = fc.tuple(simple, power).map((parts) => parts.join(""));
  const sign = fc.constantFrom(" ", "*", "/", " / ", " * ");
  const term = fc.tuple(factor, sign, factor).map((parts) => parts.join(""));
  const group = fc.tuple(factor, fc.constantFrom("/", "*", " "), term).map(([a, b, c]) => `${a}${b}(${c})`);
  const text = fc.oneof(
    term,
    group,
    fc.tuple(group, sign, factor).map((parts) => parts.join("")),
  );
  fc.assert(fc.property(text, expectSame), { numRuns: 1000 });
});

test("units measure the same thing exactly where mathjs says that they do", () => {
  const texts = [
    "m",
    "km",
    "m2",
    "m^2",
    "m m",
    "l",
    "m^3",
    "l/s",
    "m3/h",
    "Pa",
    "J/m3",
    "W/(l/s)",
    "N/m^2",
    "W",
    "J/s",
    "rad",
    "deg",
    "m/m",
    "K",
    "degC",
    "K m/m",
    "m^0.5",
  ];
  for (const a of texts) {
    for (const b of texts) {
      expect(unitOf(a)?.dimension === unitOf(b)?.dimension, `${a}, ${b}`).toBe(
        mathjs.unit(a).equalBase(mathjs.unit(b)),
      );
    }
  }
});

test("reading and writing in a unit are inverse", () => {
  const text = fc.constantFrom("mm", "l/s", "m3/h", "in", "degC", "degF", "K", "inH2O", "cfm", "%", "kWh");
  fc.assert(
    fc.property(
      text,
      fc.integer({ min: -1e9, max: 1e9 }).map((n) => n / 1000),
      (name, reading) => {
        const unit = unitOf(name);
        if (unit === undefined) throw new Error(name);
        const error = fromSI(toSI(reading, unit), unit) - reading;
        expect(Math.abs(error)).toBeLessThanOrEqual(1e-15 * (Math.abs(reading) + 2 * Math.abs(unit.zero)));
      },
    ),
  );
});

test("the memory of units is bounded, and what leaves it is read again with the same meaning", () => {
  const before = unitOf("m^2");
  for (let power = 2; power < 3002; power++) unitOf(`m^${power}`);
  expect(unitOf("m^2")).toEqual(before);
  expect(unitOf("m^2")).not.toBe(before);
  expect(unitOf("m^2")).toBe(unitOf("m^2"));
});
