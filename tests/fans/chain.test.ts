import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type DriveChain, electricalPower, fanInput, type PowerChain } from "../../src/fans/chain.js";
import { atSpeed } from "../../src/fans/laws.js";
import published from "../references/fan-tables.json" with { type: "json" };
import { amount } from "./arbitraries.js";
import { cubicFootPerMinute, horsepower, inchOfWater } from "./units.js";

const motor = {
  ratedOutput: 100,
  points: [
    { load: 0.25, efficiency: 0.6 },
    { load: 0.5, efficiency: 0.75 },
    { load: 1, efficiency: 0.8 },
  ],
};

describe("powers from the air back to the mains", () => {
  test("each part adds its own loss: by hand 60 W of air, η 0.6, 0.95, 0.8, 0.96", () => {
    const terms = electricalPower(60, { impeller: 0.6, transmission: 0.95, motor: 0.8, controller: 0.96 });
    expect(terms.airPower).toBe(60);
    expect(terms.impellerPower).toBeCloseTo(100, 12);
    expect(terms.motorOutput).toBeCloseTo(105.263157895, 8);
    expect(terms.motorInput).toBeCloseTo(131.578947368, 8);
    expect(terms.mainsInput).toBeCloseTo(137.061403509, 8);
    expect(terms.overallEfficiency).toBeCloseTo(0.6 * 0.95 * 0.8 * 0.96, 12);
  });

  test("a part that is not there takes nothing", () => {
    const terms = electricalPower(60, { impeller: 0.6, motor: 1 });
    expect(terms.mainsInput).toBe(terms.impellerPower);
    expect(electricalPower(0, { impeller: 0.6, motor: 1 })).not.toHaveProperty("overallEfficiency");
  });

  test(`${published.abulencia.source}: shaft power (${published.abulencia.status})`, () => {
    const { flow, pressure, efficiency, power } = published.abulencia.power;
    const airPower = flow * cubicFootPerMinute * pressure * inchOfWater;
    // Printed 17.55 hp from the rounded constant 1.575e-4; exact units give 17.567.
    expect(electricalPower(airPower, { impeller: efficiency, motor: 0.9 }).motorOutput / horsepower).toBeCloseTo(
      power,
      1,
    );
  });

  test("a motor at part load takes what its points say, above them at the last efficiency", () => {
    const input = (shaft: number): number => electricalPower(shaft, { impeller: 1, motor }).motorInput;
    for (const { load, efficiency } of motor.points)
      expect(input(100 * load)).toBeCloseTo((100 * load) / efficiency, 10);
    expect(input(130)).toBeCloseTo(130 / 0.8, 10);
  });

  test("below its points its loss stays, 25 W/0.6 − 25 W: idling is not free, and nothing jumps", () => {
    const input = (shaft: number): number => electricalPower(shaft, { impeller: 1, motor }).motorInput;
    expect(input(0)).toBeCloseTo(25 / 0.6 - 25, 10);
    expect(input(10)).toBeCloseTo(10 + 25 / 0.6 - 25, 10);
    expect(input(25 - 1e-9)).toBeCloseTo(input(25), 7);
  });

  test("no part gives more than it takes", () => {
    fc.assert(
      fc.property(
        amount(0, 1e4),
        amount(0.01, 1),
        amount(0.01, 1),
        amount(0.01, 1),
        (air, impeller, transmission, controller) => {
          const terms = electricalPower(air, { impeller, transmission, motor, controller });
          const chain = [terms.airPower, terms.impellerPower, terms.motorOutput, terms.motorInput, terms.mainsInput];
          for (let i = 1; i < chain.length; i++) expect(chain[i]).toBeGreaterThanOrEqual(chain[i - 1]);
          expect(terms.overallEfficiency).toBeLessThanOrEqual(1);
        },
      ),
    );
  });
});

describe("a curve with the efficiency of its impeller", () => {
  const curve = {
    pressureKind: "total" as const,
    controlsPower: 2,
    points: [
      { flow: 0, pressure: 300, efficiency: 0 },
      { flow: 0.1, pressure: 250, efficiency: 0.5 },
      { flow: 0.2, pressure: 50, efficiency: 0.2 },
    ],
  };

  test("gives the electrical input by the chain, controls power added at the mains", () => {
    const terms = fanInput(curve, { motor: 0.8, controller: 0.95 }, 0.1);
    expect(terms?.impellerPower).toBeCloseTo(50, 12);
    expect(terms?.mainsInput).toBeCloseTo(50 / 0.8 / 0.95 + 2, 12);
    expect(terms?.overallEfficiency).toBeCloseTo(25 / (50 / 0.8 / 0.95 + 2), 12);
  });

  test("at half speed the impeller takes an eighth, the mains more than that", () => {
    const [full, half] = [fanInput(curve, { motor }, 0.1), fanInput(atSpeed(curve, 0.5), { motor }, 0.05)];
    expect(half?.impellerPower).toBeCloseTo((full?.impellerPower as number) / 8, 12);
    expect(half?.motorInput).toBeGreaterThan((full?.motorInput as number) / 4);
  });

  test("where it tells no power, or is blown through, there is none", () => {
    expect(fanInput(curve, { motor }, 0)).toBeUndefined();
    expect(fanInput(curve, { motor }, 0.4)).toBeUndefined();
    const points = curve.points.map(({ flow, pressure }) => ({ flow, pressure }));
    expect(fanInput({ pressureKind: "total", points }, { motor }, 0.1)).toBeUndefined();
  });
});

describe("every fault is named with its place", () => {
  const good = { impeller: 0.6, motor: 0.8 };
  const point = { load: 1, efficiency: 0.8 };
  test.each<[string, unknown, unknown, string, string]>([
    ["an efficiency in percent", 10, { ...good, motor: 80 }, "out-of-range", "chain.motor"],
    ["an efficiency of 0", 10, { ...good, impeller: 0 }, "out-of-range", "chain.impeller"],
    ["no impeller", 10, { motor: 0.8 }, "out-of-range", "chain.impeller"],
    ["no motor", 10, { impeller: 0.6 }, "out-of-range", "chain.motor"],
    ["NaN", 10, { ...good, transmission: Number.NaN }, "out-of-range", "chain.transmission"],
    ["a negative air power", -1, good, "out-of-range", "airPower"],
    ["an air power that is no number", Number.NaN, good, "out-of-range", "airPower"],
    ["a misspelt part", 10, { ...good, contoller: 0.9 }, "unknown-key", "chain.contoller"],
    [
      "one point of load",
      10,
      { ...good, motor: { ratedOutput: 1, points: [point] } },
      "chain.points-few",
      "chain.motor.points",
    ],
    ["no rated output", 10, { ...good, motor: { points: motor.points } }, "out-of-range", "chain.motor.ratedOutput"],
    [
      "loads that do not rise",
      10,
      { ...good, motor: { ...motor, points: [point, point] } },
      "out-of-range",
      "chain.motor.points.1.load",
    ],
    ["a misspelt key", 10, { ...good, motor: { ...motor, rated: 1 } }, "unknown-key", "chain.motor.rated"],
    [
      "a misspelt key of a point",
      10,
      { ...good, motor: { ...motor, points: [point, { ...point, load: 2, l: 1 }] } },
      "unknown-key",
      "chain.motor.points.1.l",
    ],
    ["no chain", 10, undefined, "not-an-object", "chain"],
  ])("%s", (_, airPower, chain, code, path) => {
    expect(() => electricalPower(airPower as number, chain as PowerChain)).toThrow(
      expect.objectContaining({ name: "InputError", problems: [expect.objectContaining({ code, path })] }),
    );
  });

  test("the impeller of a curve has its efficiency already", () => {
    const curve = {
      pressureKind: "total" as const,
      points: [
        { flow: 0, pressure: 2 },
        { flow: 1, pressure: 1 },
      ],
    };
    expect(() => fanInput(curve, good as DriveChain, 0.1)).toThrow(/impeller/);
  });
});
