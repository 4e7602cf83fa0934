import fc from "fast-check";
import { expect, test } from "vitest";
import { standardGravity, standardPressure, standardTemperature } from "../../src/air/atmosphere.js";
import { numberWithin } from "../helpers/numbers.js";
import atmosphere from "../references/standard-atmosphere.json" with { type: "json" };

// The library takes g/R = 34.163195 K/km, 5.6e-7 below the quotient of ISO 2533's own constants: up to 0.016 Pa.
test.each(atmosphere.library.rows)(
  `${atmosphere.library.source}: at %f m the pressure is %f Pa and the temperature %f K`,
  (altitude, pressure, kelvin) => {
    expect(Math.abs(standardPressure(altitude) - pressure)).toBeLessThan(0.02);
    expect(Math.abs(standardTemperature(altitude) + 273.15 - kelvin)).toBeLessThanOrEqual(0.0005 + 1e-9);
  },
);

// Its temperatures were rounded twice (−36.9346 °C stands as −36.94).
test.each(atmosphere.remembered.rows)(
  `${atmosphere.remembered.source} (${atmosphere.remembered.status}): at %f m %f °C and %f · 10 kPa`,
  (altitude, celsius, pressure) => {
    expect(Math.abs(standardTemperature(altitude) - celsius)).toBeLessThanOrEqual(0.0055);
    const half = pressure > 10 ? 0.005 : 0.0005;
    expect(Math.abs(standardPressure(altitude) / 1e4 - pressure)).toBeLessThanOrEqual(half + 1e-9);
  },
);

test("pressure falls by the weight of the air in between: dp/dz = −ρg, gravity falling with height", () => {
  fc.assert(
    fc.property(numberWithin(-990, 10990), (z) => {
      const step = 5;
      const fall = (standardPressure(z - step) - standardPressure(z + step)) / (2 * step);
      const density = standardPressure(z) / (287.05287 * (standardTemperature(z) + 273.15));
      const gravity = standardGravity * (6356766 / (6356766 + z)) ** 2;
      expect(fall / (density * gravity)).toBeCloseTo(1, 6);
    }),
  );
});

test.each([-1000.1, 11000.1, Number.NaN, Number.POSITIVE_INFINITY])("an altitude of %f m is refused", (altitude) => {
  const refused = expect.objectContaining({
    name: "InputError",
    problems: [expect.objectContaining({ code: "out-of-range", path: "altitude" })],
  });
  expect(() => standardPressure(altitude)).toThrow(refused);
  expect(() => standardTemperature(altitude)).toThrow(refused);
});
