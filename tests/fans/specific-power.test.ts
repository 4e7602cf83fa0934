import { describe, expect, test } from "vitest";
import { electricalPower } from "../../src/fans/chain.js";
import {
  airHeating,
  specificFanPower,
  toWattHoursPerCubicMetre,
  toWattsPerLitrePerSecond,
} from "../../src/fans/specific-power.js";
import published from "../references/specific-fan-power.json" with { type: "json" };

const { links } = published;

describe(`${links.source} (${links.status})`, () => {
  test.each(links.rows)(
    "%d Pa at %d: %d W/(m³/s), %d W/(l/s), %d Wh/m³",
    (pressure, efficiency, perCubic, perLitre, work) => {
      const flow = 0.13;
      const { mainsInput } = electricalPower(flow * pressure, { impeller: efficiency, motor: 1 });
      const power = specificFanPower(mainsInput, flow);
      expect(power).toBeCloseTo(perCubic, 3);
      expect(toWattsPerLitrePerSecond(power)).toBeCloseTo(perLitre, 6);
      expect(Math.abs(toWattHoursPerCubicMetre(power) - work)).toBeLessThanOrEqual(5.1e-5);
    },
  );
});

describe("heat added to the air", () => {
  test("120.72 W into 0.12 kg/s of 1006 J/(kg·K) are 1 K; half of it outside the stream half a kelvin", () => {
    expect(airHeating(120.72, 0.12, 1)).toBeCloseTo(1, 12);
    expect(airHeating(120.72, 0.12, 0.5)).toBeCloseTo(0.5, 12);
  });

  // 1000 Pa by an adiabatic fan of efficiency 1 into air of 1.2 kg/m³: 1000/(1.2·1006) K.
  test("a specific fan power of 1000 W/(m³/s) warms air of 1.2 kg/m³ by 0.83 K", () => {
    expect(airHeating(specificFanPower(1000, 1), 1.2, 1)).toBeCloseTo(0.828, 3);
  });
});

test.each<[string, () => unknown, string, string]>([
  ["a negative power", () => specificFanPower(-1, 1), "out-of-range", "power"],
  ["no flow", () => specificFanPower(1, 0), "out-of-range", "flow"],
  ["NaN in W/(l/s)", () => toWattsPerLitrePerSecond(Number.NaN), "out-of-range", "power"],
  ["NaN in Wh/m³", () => toWattHoursPerCubicMetre(Number.NaN), "out-of-range", "power"],
  ["no mass flow", () => airHeating(100, 0, 1), "out-of-range", "massFlow"],
  ["a share in percent", () => airHeating(100, 1, 100), "out-of-range", "share"],
  ["no share", () => airHeating(100, 1, undefined as unknown as number), "out-of-range", "share"],
])("%s is refused", (_, call, code, path) => {
  expect(call).toThrow(
    expect.objectContaining({ name: "InputError", problems: [expect.objectContaining({ code, path })] }),
  );
});
