import fc from "fast-check";
import { expect, test } from "vitest";
import type { Range } from "../../src/core/ranges.js";
import {
  describeQuantity,
  formatQuantity,
  inUnit,
  parseQuantity,
  type Quantity,
  quantityPattern,
  readQuantity,
} from "../../src/input/quantities.js";
import { unitOf } from "../../src/input/units.js";
import { numberWithin } from "../helpers/numbers.js";

const names = Object.keys({
  length: 0,
  area: 0,
  flow: 0,
  massFlow: 0,
  velocity: 0,
  pressure: 0,
  density: 0,
  viscosity: 0,
  temperature: 0,
  angle: 0,
  power: 0,
  specificFanPower: 0,
  energy: 0,
  time: 0,
  fraction: 0,
} satisfies Record<Quantity, 0>) as Quantity[];

const faultOf = (text: string, quantity: Quantity) => {
  const reading = readQuantity(text, quantity);
  if ("value" in reading) throw new Error(`"${text}" was read as ${reading.value}`);
  return reading;
};

// Exact by the definitions of the units: litre 1e-3 m³, foot 0.3048 m, bar 1e5 Pa, and so on. Status: computed.
test.each<[string, Quantity, number]>([
  ["180 mm", "length", 0.18],
  ["180mm", "length", 0.18],
  ["9 mm", "length", 0.009],
  ["9 in", "length", 9 * 0.0254],
  ["90 µm", "length", 90e-6], // micro sign
  ["90 μm", "length", 90e-6], // Greek letter
  ["+1.5e2 cm", "length", 1.5],
  [".5 m", "length", 0.5],
  ["5. m", "length", 5],
  ["-1.2 m", "length", -1.2],
  ["−1.2 m", "length", -1.2], // minus sign
  ["0.02 m2", "area", 0.02],
  ["0.02 m²", "area", 0.02],
  ["200 cm²", "area", 0.02],
  ["45 l/s", "flow", 0.045],
  ["45 L/s", "flow", 0.045],
  ["45 dm3/s", "flow", 0.045],
  ["900 m3/h", "flow", 0.25],
  ["900 m³/h", "flow", 0.25],
  ["900 m³·h⁻¹", "flow", 0.25],
  ["100 cfm", "flow", (100 * 0.3048 ** 3) / 60],
  ["100 ft^3/min", "flow", (100 * 0.3048 ** 3) / 60],
  ["0.06 kg/s", "massFlow", 0.06],
  ["3 m/s", "velocity", 3],
  ["3 m s⁻¹", "velocity", 3],
  ["16 Pa", "pressure", 16],
  ["0.4 inH2O", "pressure", 0.4 * 249.08891],
  ["1 mmH2O", "pressure", 9.80665],
  ["1 mbar", "pressure", 100],
  ["1 atm", "pressure", 101325],
  ["1.2 kg/m3", "density", 1.2],
  ["1.2 kg·m⁻³", "density", 1.2],
  ["1.81e-5 Pa s", "viscosity", 1.81e-5],
  ["1.81e-5 Pa·s", "viscosity", 1.81e-5],
  ["18.1 µPa×s", "viscosity", 18.1e-6],
  ["1.81e-5 kg/(m s)", "viscosity", 1.81e-5],
  ["90 deg", "angle", Math.PI / 2],
  ["90°", "angle", Math.PI / 2],
  ["1 rad", "angle", 1],
  ["60 W", "power", 60],
  ["0.06 kW", "power", 60],
  ["0.9 W/(l/s)", "specificFanPower", 900],
  ["0.9 kW/(m³/s)", "specificFanPower", 900],
  ["0.25 Wh/m3", "specificFanPower", 900],
  ["50 Pa", "specificFanPower", 50],
  ["1 kWh", "energy", 3.6e6],
  ["8 h", "time", 28800],
  ["50 %", "fraction", 0.5],
  ["50%", "fraction", 0.5],
  ["86 %", "fraction", 0.86],
  ["5 mm/m", "fraction", 0.005],
  ["180\u00a0mm", "length", 0.18], // no-break space
  ["180\u2009mm", "length", 0.18], // thin space
  ["180\u202fmm", "length", 0.18], // narrow no-break space
])("%s as %s is %f in SI", (text, quantity, value) => {
  expect(Math.abs(parseQuantity(text, quantity) - value)).toBeLessThanOrEqual(2 ** -52 * Math.abs(value));
});

test("a decimal unit gives the double nearest to the decimal: 206 mm is 0.206 m, as the number in the document is", () => {
  for (let n = 1; n <= 3000; n++) {
    expect(parseQuantity(`${n} mm`, "length")).toBe(n / 1000);
    expect(parseQuantity(`${n} l/s`, "flow")).toBe(n / 1000);
    expect(parseQuantity(`${n} m³/h`, "flow")).toBe(n / 3600);
    expect(parseQuantity(`${n} %`, "fraction")).toBe(n / 100);
    expect(parseQuantity(`${n} mm³/s`, "flow")).toBe(n / 1e9);
  }
});

// The Celsius and Fahrenheit scales by definition. Status: computed.
test.each([
  ["20 degC", 20],
  ["20 °C", 20],
  ["-7.3 °C", -7.3],
  ["20 celsius", 20],
  ["32 degF", 0],
  ["212 °F", 100],
  ["-40 °F", -40],
  ["5 K", -268.15],
  ["293.15 K", 20],
  ["491.67 degR", 0],
])("%s is %f °C", (text, celsius) => {
  expect(parseQuantity(text, "temperature")).toBeCloseTo(celsius, 11);
});

test("the offset of a temperature scale does not enter a compound unit: 1 W/degC is 1 W/K", () => {
  expect(unitOf("W/degC")).toEqual(unitOf("W/K"));
  expect(unitOf("kJ/(kg degF)")?.zero).toBe(0);
});

test.each(names)(
  "the example and the SI unit of %s are texts of it, and its usual units have its dimension",
  (name) => {
    const { unit, example, article, usual } = describeQuantity(name);
    const written = quantityPattern.exec(example)?.[2] ?? "";
    expect(parseQuantity(example, name)).toBeGreaterThan(0);
    expect(article).toMatch(/^an? [a-z ]+$/);
    for (const text of usual) expect(unitOf(text)?.dimension).toBe(unitOf(written)?.dimension);
    if (unit !== "") expect(parseQuantity(`7 ${unit}`, name)).toBe(7);
  },
);

test("only a specific fan power and a pressure pass for each other", () => {
  const passed = names.flatMap((from) =>
    names
      .filter((to) => from !== to && "value" in readQuantity(describeQuantity(from).example, to))
      .map((to) => [from, to]),
  );
  expect(passed).toEqual([
    ["pressure", "specificFanPower"],
    ["specificFanPower", "pressure"],
  ]);
});

test.each([
  "",
  " ",
  "abc",
  "m",
  "1,5 m",
  "7 1/2 in",
  "1.5.2 m",
  "--5 m",
  "e5 m",
  ".",
  "+ m",
  " 180 mm",
  "180 m\nm",
  "NaN m",
])("'%s' is not a number and a unit", (text) => {
  const fault = faultOf(text, "length");
  expect(fault.code).toBe("quantity.syntax");
  expect(fault.message).toBe(`expected a length such as '180 mm', got '${text}'`);
  expect(quantityPattern.test(text)).toBe(false);
});

test.each(["180", "180 ", "-1.5e3", ".5", "1e400"])("'%s' lacks its unit", (text) => {
  expect(faultOf(text, "length").code).toBe("quantity.unit-missing");
  expect(faultOf(text, "length").message).toContain(`write the number ${text.trim()} (in m) or add a unit`);
});

test.each<[string, Quantity, Range, string]>([
  ["80", "fraction", { above: 0, max: 1 }, "got '80': write '80 %'"],
  ["−5", "fraction", { min: -1, max: 1 }, "got '−5': write '-5 %'"],
  ["0.07", "fraction", { above: 0, max: 1 }, "got '0.07': write the number 0.07 or '7 %'"],
  ["95", "fraction", { above: 0, max: 10 }, "got '95': write '95 %'"],
  ["150", "fraction", { above: 0, max: 1 }, "got '150'"],
  ["90", "angle", { min: 0, max: 2 }, "got '90': add a unit"],
  ["1", "angle", { min: 0, max: 2 }, "got '1': write the number 1 (in rad) or add a unit"],
])("'%s' for %s in %j is advised only what is then taken", (text, quantity, limits, ending) => {
  const { message } = readQuantity(text, quantity, limits) as { readonly message: string };
  expect(message.endsWith(ending)).toBe(true);
});

test("a fraction as a text without unit is told both ways to write it", () => {
  expect(faultOf("0.5", "fraction")).toEqual({
    code: "quantity.unit-missing",
    message: "expected a fraction such as '50 %', got '0.5': write the number 0.5 or '50 %'",
    expected: "a fraction such as '50 %'",
    found: "0.5",
  });
});

test.each<[string, Quantity, string | undefined]>([
  ["180 mmm", "length", "mm"],
  ["180 MM", "length", "mm"],
  ["45 l/ss", "flow", "l/s"],
  ["20 degrC", "temperature", "degC"],
  ["1 furlongs/fortnite", "velocity", undefined],
  ["180 m**2", "area", "m2"],
  ["180 km^400", "length", undefined],
  ["180 m^-1e999", "length", undefined],
  ["180 (m2", "area", "m2"],
  ["180 m2/", "area", "m2"],
  ["180 m3/)s", "flow", "m3/s"],
  ["5 VAR", "power", undefined], // an imaginary factor
  ["1 constructor", "length", undefined],
  ["5 toString", "length", undefined],
  ["5 hasOwnProperty/s", "length", undefined],
])("the unit of '%s' (%s) is not known", (text, quantity, nearest) => {
  expect(faultOf(text, quantity)).toMatchObject({ code: "quantity.unit-unknown", found: text });
  expect(faultOf(text, quantity).nearest).toBe(nearest);
});

test("a unit of something else is refused with what was expected and what was got", () => {
  expect(() => parseQuantity("180 Pa", "length")).toThrow(
    expect.objectContaining({
      name: "InputError",
      problems: [
        {
          code: "quantity.dimension",
          path: "text",
          message: "length: expected a length such as '180 mm', got '180 Pa', which is a pressure",
          expected: "a length such as '180 mm'",
          found: "180 Pa",
        },
      ],
    }),
  );
});

test("the message says what a unit of something else measures, where that has a name", () => {
  expect(faultOf("10 mm", "flow").message).toBe("expected a flow such as '45 l/s', got '10 mm', which is a length");
  expect(faultOf("20 %", "flow").message).toMatch(/'20 %', which is a fraction$/);
  expect(faultOf("45 l/s", "massFlow").message).toMatch(/'45 l\/s', which is a flow$/);
  expect(faultOf("5 V", "flow").message).toMatch(/got '5 V'$/);
});

test.each(["1e400 m", "-1e400 m", "1e308 km", `${"9".repeat(400)} mm`])("%s is beyond the largest number", (text) => {
  expect(faultOf(text, "length").code).toBe("quantity.not-finite");
});

test("a wrong quantity name and a number in place of the text throw InputError", () => {
  const of = (problem: object) =>
    expect.objectContaining({ name: "InputError", problems: [expect.objectContaining(problem)] });
  expect(() => parseQuantity("5 m", "lenght" as Quantity)).toThrow(of({ code: "unknown-quantity", nearest: "length" }));
  expect(() => parseQuantity("5 m", "__proto__" as Quantity)).toThrow(of({ code: "unknown-quantity" }));
  expect(() => parseQuantity("5 m", ["length"] as never)).toThrow(
    of({ code: "unknown-quantity", found: "a list of 1" }),
  );
  expect(() => parseQuantity("5 m", Object.create(null))).toThrow(of({ code: "unknown-quantity", found: "an object" }));
  expect(() => parseQuantity(180 as unknown as string, "length")).toThrow(
    of({ code: "quantity.syntax", found: "a number" }),
  );
});

test.each(["-5 K", "-0.01 K", "-300 °C", "-600 degF", "−274 degC"])("no temperature is %s", (text) => {
  const problem = { code: "out-of-range", path: "text", found: `'${text}'` };
  expect(() => parseQuantity(text, "temperature")).toThrow(
    expect.objectContaining({ name: "InputError", problems: [expect.objectContaining(problem)] }),
  );
});

test.each(["0 K", "-273.15 °C", "-459.67 degF", "0 degR"])("%s is absolute zero, and is printed again", (text) => {
  expect(parseQuantity(text, "temperature")).toBe(-273.15);
  expect(formatQuantity(parseQuantity(text, "temperature"), "K")).toBe("0 K");
});

test("the pattern is one that JSON Schema validators take, which read it as Unicode", () => {
  const pattern = new RegExp(quantityPattern.source, "u");
  for (const text of ["180 mm", "90°", "−1.2e-3 m³/h", "50 %"]) expect(text).toMatch(pattern);
  for (const text of ["180", "1,5 m", "1e5", "abc"]) expect(text).not.toMatch(pattern);
});

// Each of these would take minutes, and the test time out, if the work grew as the square of the length.
test.each<[string, string, string]>([
  ["digits", "1".repeat(100_000), "quantity.unit-missing"],
  ["digits and a comma", `${"1".repeat(100_000)},`, "quantity.syntax"],
  ["decimals", `1.${"1".repeat(100_000)}?`, "quantity.syntax"],
  ["exponent", `1e${"1".repeat(100_000)}?`, "quantity.syntax"],
  ["spaces", `1${" ".repeat(100_000)}?`, "quantity.syntax"],
  ["spaces and a unit", `180${" ".repeat(100_000)}Pa`, "quantity.dimension"],
  ["unit", `1 ${"m".repeat(100_000)}`, "quantity.unit-unknown"],
  ["brackets", `1 ${"(".repeat(100_000)}`, "quantity.unit-unknown"],
  ["letters", "m".repeat(100_000), "quantity.syntax"],
  ["41 letters", `1 ${"m ".repeat(20)}m`, "quantity.unit-unknown"],
  ["signs", "-".repeat(100_000), "quantity.syntax"],
  ["prototype", "__proto__ m", "quantity.syntax"],
  ["prototype as unit", "1 __proto__", "quantity.syntax"],
])("a hostile text (%s) is refused with its code and shortened", (_, text, code) => {
  const fault = faultOf(text, "length");
  expect(fault.code).toBe(code);
  expect(fault.found.length).toBeLessThanOrEqual(41);
});

test("any text whatever gives a finite number or a fault, the same each time, and numbers only where the pattern matches", () => {
  const piece = fc.constantFrom(
    "1",
    "0.5",
    "e",
    "-",
    " ",
    "m",
    "/",
    "^",
    "(",
    ")",
    "mm",
    "Pa",
    "°",
    "²",
    "%",
    "*",
    "__proto__",
  );
  const text = fc.oneof(
    fc.string(),
    fc.array(piece, { maxLength: 12 }).map((pieces) => pieces.join("")),
  );
  fc.assert(
    fc.property(text, fc.constantFrom(...names), (given, name) => {
      const reading = readQuantity(given, name);
      expect(readQuantity(given, name)).toEqual(reading);
      if ("value" in reading) {
        expect(Number.isFinite(reading.value)).toBe(true);
        expect(given).toMatch(quantityPattern);
      } else {
        expect(reading.message).toContain(reading.expected);
      }
    }),
    { numRuns: 2000 },
  );
});

test.each<[number, string, number | undefined, string]>([
  [0.0105, "l/s", undefined, "10.5 l/s"],
  [0.01, "l/s", undefined, "10 l/s"],
  [0.5, "%", undefined, "50 %"],
  [12345, "Pa", undefined, "12345 Pa"],
  [12345.6, "Pa", undefined, "12346 Pa"],
  [999.6, "Pa", undefined, "1000 Pa"],
  [99.96, "Pa", undefined, "100 Pa"],
  [0.09996, "m", undefined, "0.1 m"],
  [0.00009, "mm", undefined, "0.09 mm"],
  [0.25, "m³/h", undefined, "900 m³/h"],
  [20, "°C", undefined, "20 °C"],
  [20, "°F", undefined, "68 °F"],
  [20, "K", 5, "293.15 K"],
  [Math.PI / 2, "°", undefined, "90 °"],
  [900, "W/(l/s)", undefined, "0.9 W/(l/s)"],
  [1.81e-5, "Pa s", undefined, "0.0000181 Pa s"],
  [1.5e-9, "m", undefined, "0.0000000015 m"],
  [1.25e-10, "m", undefined, "1.25e-10 m"],
  [1e-10, "m", undefined, "1e-10 m"],
  [123456789012345, "Pa", undefined, "123456789012345 Pa"],
  [1.2345e15, "Pa", undefined, "1.23e15 Pa"],
  [1e300, "Pa", undefined, "1e300 Pa"],
  [-0, "Pa", undefined, "0 Pa"],
  [-0.00001, "Pa", 1, "-0.00001 Pa"],
  [-17.5, "Pa", 2, "-18 Pa"],
  [Math.PI, "m", 1, "3 m"],
  [Math.PI, "m", 17, "3.1415926535897931 m"],
])("%f in %s with %s digits is printed %s", (value, unit, digits, text) => {
  expect(formatQuantity(value, unit, digits)).toBe(text);
});

test("what is printed is read back to the digits printed", () => {
  const units = names.flatMap((name) => describeQuantity(name).usual.map((unit): [Quantity, string] => [name, unit]));
  const size = numberWithin(-1e18, 1e18);
  const value = fc.tuple(size, fc.integer({ min: -30, max: 0 })).map(([x, power]) => x * 10 ** power);
  fc.assert(
    fc.property(fc.constantFrom(...units), value, fc.integer({ min: 1, max: 17 }), ([name, unit], any, digits) => {
      // Nothing is colder than absolute zero, also when rounded.
      const x = name === "temperature" ? Math.max(any, -270) : any;
      const text = formatQuantity(x, unit, digits);
      expect(text).not.toMatch(/^-0(\.0*)? /);
      const [before, after] = [inUnit(x, unit), inUnit(parseQuantity(text, name), unit)];
      // Half a unit of the last digit, and the rounding of two conversions; that of a temperature is on the scale's zero.
      const rounding = 1e-15 * (Math.abs(before) + (name === "temperature" ? 500 : 0));
      expect(Math.abs(after - before)).toBeLessThanOrEqual(
        0.5 * 10 ** (1 - digits) * Math.abs(before) * (1 + 1e-9) + rounding,
      );
    }),
    { numRuns: 3000 },
  );
});

test.each([NaN, Infinity, -Infinity, 1e308])("%f (in nm) is no finite value to print", (value) => {
  expect(() => formatQuantity(value, "nm")).toThrow(
    expect.objectContaining({
      name: "InputError",
      problems: [expect.objectContaining({ code: "out-of-range", path: "value" })],
    }),
  );
});

test.each(["1", null, undefined, {}])("%j is no number to print", (value) => {
  expect(() => formatQuantity(value as number, "m")).toThrow(
    expect.objectContaining({
      problems: [expect.objectContaining({ code: "out-of-range", path: "value", expected: "a finite number" })],
    }),
  );
});

test("a temperature is given in °C in whatever unit it is printed, and none lies below absolute zero", () => {
  expect(formatQuantity(-273.15, "K")).toBe("0 K");
  expect(formatQuantity(-273.15, "°F", 5)).toBe("-459.67 °F");
  for (const unit of ["K", "degC", "°F", "mK"]) {
    expect(() => formatQuantity(-300, unit)).toThrow(
      "value: expected -273.15 or more: give temperatures in °C, regardless of the unit they are printed in, got -300",
    );
  }
  // What is no temperature has no such end.
  expect(formatQuantity(-300, "Pa")).toBe("-300 Pa");
  expect(formatQuantity(-300, "W/K")).toBe("-300 W/K");
});

test.each([0, 18, 2.5, "3", NaN])("%s digits are refused", (digits) => {
  expect(() => formatQuantity(1, "m", digits as number)).toThrow(
    expect.objectContaining({
      name: "InputError",
      problems: [expect.objectContaining({ path: "digits", expected: "a whole number from 1 to 17" })],
    }),
  );
});

test.each(["", "furlongs/fortnite", "5 m", "constructor", "l//s", undefined, null, {}])(
  "'%s' is no unit to print in",
  (unit) => {
    expect(() => formatQuantity(1, unit as string)).toThrow(
      expect.objectContaining({
        name: "InputError",
        problems: [expect.objectContaining({ code: "quantity.unit-unknown", path: "unit" })],
      }),
    );
  },
);

test("a misspelt unit to print in is answered with the nearest", () => {
  expect(() => formatQuantity(1, "degc")).toThrow("did you mean 'degC'?");
});
