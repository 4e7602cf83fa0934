import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Section } from "../../src/ducts/geometry.js";
import { coefficientOf } from "../../src/fittings/coefficient.js";
import {
  fireDamper,
  irisDamper,
  multiBladeDamper,
  shutOffDamper,
  singleBladeDamper,
} from "../../src/fittings/dampers.js";
import type { Spread } from "../../src/fittings/fitting.js";
import { thinPlateCoefficient } from "../../src/fittings/plate.js";
import { numberWithin } from "../helpers/numbers.js";
import tables from "../references/dampers.json" with { type: "json" };

const degree = Math.PI / 180;
const round: Section = { diameter: 0.16 };
const rectangular: Section = { width: 0.4, height: 0.2 };
/** The whole half width of a spread [-] */
const widthOf = ({ shared, own }: Spread): number => shared + own;

const single = (section: Section, degrees: number): number =>
  coefficientOf(singleBladeDamper, { angle: degrees * degree }, { section }).coefficient;

describe("a single blade", () => {
  test.each(tables.singleBladeRound.rows)(
    `at %f° has in a round duct the printed coefficient %f (${tables.singleBladeRound.status})`,
    (angle, r) => {
      expect(single(round, angle)).toBeCloseTo(r, 9);
    },
  );

  test.each(tables.singleBlade.rows)(
    `at %f° has Weisbach's coefficients %f round, %f rectangular (${tables.singleBlade.status})`,
    (angle, r, w) => {
      expect(single(round, angle)).toBeCloseTo(r, 9);
      expect(single(rectangular, angle)).toBeCloseTo(w, 9);
    },
  );

  test.each(tables.singleBladeHandbook.rows)(
    "at %f° lies within its spread of the handbooks: %f, %f",
    (angle, r, w) => {
      const width = widthOf(singleBladeDamper.spread);
      expect(Math.abs(r / single(round, angle) - 1)).toBeLessThan(width);
      expect(Math.abs(w / single(rectangular, angle) - 1)).toBeLessThan(width);
    },
  );

  test.each([20, 30, 40, 50, 60])(
    "at %f° loses as a sharp-edged plate with the same clear passage within a factor of 2",
    (angle) => {
      const plate = thinPlateCoefficient(1 - Math.sin(angle * degree));
      for (const section of [round, rectangular]) {
        expect(single(section, angle) / plate).toBeGreaterThan(0.5);
        expect(single(section, angle) / plate).toBeLessThan(2);
      }
    },
  );

  test("never loses less as it closes, and stays between the values of the table beside it", () => {
    const angle = numberWithin(0, 70);
    fc.assert(
      fc.property(angle, angle, fc.constantFrom(round, rectangular), (one, two, section) => {
        const [low, high] = [Math.min(one, two), Math.max(one, two)];
        expect(single(section, low)).toBeLessThanOrEqual(single(section, high) * (1 + 1e-12));
        const before = single(section, 5 * Math.floor(low / 5));
        const after = single(section, Math.min(70, 5 * Math.ceil(low / 5)));
        expect(single(section, low)).toBeGreaterThanOrEqual(before * (1 - 1e-12));
        expect(single(section, low)).toBeLessThanOrEqual(after * (1 + 1e-12));
      }),
    );
  });

  test("loses the same both ways, on the duct's velocity", () => {
    const state = { section: round, reynolds: 5e4 };
    const forward = coefficientOf(singleBladeDamper, { angle: 0.5 }, state);
    expect(coefficientOf(singleBladeDamper, { angle: 0.5 }, { ...state, backward: true })).toEqual(forward);
    expect(forward.area).toBeCloseTo((Math.PI / 4) * 0.16 ** 2, 12);
    expect(forward.withinRange).toBe(true);
  });

  test("below Re 10,000 is flagged", () => {
    const { withinRange, outside } = coefficientOf(
      singleBladeDamper,
      { angle: 0.5 },
      { section: round, reynolds: 3000 },
    );
    expect(withinRange).toBe(false);
    expect(outside).toEqual([{ what: "Reynolds number", value: 3000, range: { min: 1e4 } }]);
  });

  test.each([-0.01, 91 * degree, Number.NaN])("cannot stand at %f rad", (angle) => {
    expect(() => coefficientOf(singleBladeDamper, { angle }, { section: round })).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path: "angle" })] }),
    );
  });
});

describe("blades towards shut", () => {
  type Kind = "single" | "multi";
  const dampers = {
    single: (angle: number, leakage?: number, section = round) =>
      coefficientOf(singleBladeDamper, { angle: angle * degree, leakage }, { section, reynolds: 50 }),
    multi: (angle: number, leakage?: number, section = rectangular) =>
      coefficientOf(multiBladeDamper, { angle: angle * degree, leakage }, { section, reynolds: 50 }),
  };
  const kinds = fc.constantFrom<Kind>("single", "multi");
  /** Leakage of all blades of a square metre [m³/s], from a tight damper to a loose one. */
  const leakages = fc.double({ min: Math.log(1e-3), max: Math.log(0.2), noNaN: true }).map(Math.exp);
  const areas = { single: (Math.PI / 4) * 0.16 ** 2, multi: 0.4 * 0.2 };

  test("shut lets its leakage through at 100 Pa, and by the square root of the pressure at others", () => {
    fc.assert(
      fc.property(kinds, leakages, (kind, perArea) => {
        const { coefficient, area, withinRange } = dampers[kind](90, perArea * areas[kind]);
        const flowAt = (pressure: number) => area * Math.sqrt(pressure / (0.6 * coefficient));
        expect(flowAt(100) / (perArea * areas[kind])).toBeCloseTo(1, 9);
        expect(flowAt(400) / flowAt(100)).toBeCloseTo(2, 9);
        expect(withinRange).toBe(true);
      }),
    );
  });

  test("a leakage changes nothing up to the last angle of the table; beyond it nothing opens again, and what lies between is flagged", () => {
    const angles = numberWithin(0, 90);
    fc.assert(
      fc.property(kinds, leakages, angles, angles, (kind, perArea, a, b) => {
        const leakage = perArea * areas[kind];
        const last = kind === "single" ? 70 : 80;
        const [low, high] = [Math.min(a, b), Math.max(a, b)];
        const found = dampers[kind](low, leakage);
        expect(found.coefficient).toBeLessThanOrEqual(dampers[kind](high, leakage).coefficient * (1 + 1e-12));
        if (low <= last) expect(found).toEqual(dampers[kind](low));
        else if (low < 90) expect(found.outside.map(({ what }) => what)).toContain("angle");
      }),
    );
  });

  test.each([
    ["single", 71, undefined, "without it the largest angle is 70°"],
    ["multi", 81, undefined, "without it the largest angle is 80°"],
    ["single", 0, 1e-7, "or more"],
    ["single", 90, 0.02, "less than"],
    ["multi", 90, 0.1, "less than"],
  ] as const)("%s at %f° with a leakage of %s is refused: %s", (kind, angle, leakage, message) => {
    expect(() => dampers[kind](angle, leakage)).toThrow(
      expect.objectContaining({
        problems: [
          expect.objectContaining({
            code: "fitting.geometry",
            path: "leakage",
            message: expect.stringContaining(message),
          }),
        ],
      }),
    );
  });
});

const multi = (blades: "parallel" | "opposed", bladeRatio: number, degrees: number): number =>
  coefficientOf(multiBladeDamper, { blades, bladeRatio, angle: degrees * degree }, { section: rectangular })
    .coefficient;

describe("several blades", () => {
  const rows = tables.multiBlade.rows as ["parallel" | "opposed", number, number[]][];
  test.each(rows)(
    `%s, blade ratio %f, have the handbooks' coefficients %j (${tables.multiBlade.status})`,
    (blades, ratio, coefficients) => {
      coefficients.forEach((coefficient, index) => {
        expect(multi(blades, ratio, 10 * index)).toBeCloseTo(coefficient, 9);
      });
    },
  );

  // The table rests on memory; this says that it is no nonsense. The row of blade ratio 1.5 lies furthest off (3.05).
  test.each([30, 40, 50, 60])(
    "opposed at %f° lose as a sharp-edged plate with the same clear passage, by order",
    (angle) => {
      const plate = thinPlateCoefficient(1 - Math.sin(angle * degree));
      for (const [ratio, factor] of [
        [0.3, 2],
        [0.5, 2],
        [1, 2],
        [1.5, 4],
      ]) {
        expect(multi("opposed", ratio, angle) / plate).toBeGreaterThan(1 / factor);
        expect(multi("opposed", ratio, angle) / plate).toBeLessThan(factor);
      }
    },
  );

  const ratios = fc.double({ min: 0.3, max: 1.5, noNaN: true });
  const slack = 1 + 1e-12;

  const kinds = fc.constantFrom("parallel", "opposed");
  const angles = numberWithin(0, 80);
  const printed = fc.integer({ min: 0, max: 8 }).map((tens) => 10 * tens);
  const rising = fc.tuple(ratios, ratios).map(([one, other]) => [Math.min(one, other), Math.max(one, other)] as const);

  test("never lose less as they close", () => {
    fc.assert(
      fc.property(angles, angles, ratios, kinds, (a, b, ratio, blades) => {
        const [low, high] = [Math.min(a, b), Math.max(a, b)];
        expect(multi(blades, ratio, low)).toBeLessThanOrEqual(multi(blades, ratio, high) * slack);
      }),
    );
  });

  test("at the printed angles never lose less as there are more of them, opposed ones never less than parallel ones", () => {
    fc.assert(
      fc.property(printed, rising, kinds, (angle, [few, many], blades) => {
        expect(multi(blades, few, angle)).toBeLessThanOrEqual(multi(blades, many, angle) * slack);
        expect(multi("parallel", few, angle)).toBeLessThanOrEqual(multi("opposed", few, angle) * slack);
      }),
    );
  });

  // Where two rows of the table print the same values, the curve through the one may pass below the other between them:
  // opposed blades up to 0.62 % below parallel ones (2.1°, blade ratio 0.42), parallel ones of a blade ratio of 0.5 up to
  // 2.1 % below those of 0.3 (46.5°).
  test("between the printed angles the same holds, of parallel blades within 2.5 %, of opposed beside parallel within 1 %", () => {
    fc.assert(
      fc.property(angles, rising, (angle, [few, many]) => {
        expect(multi("opposed", few, angle)).toBeLessThanOrEqual(multi("opposed", many, angle) * slack);
        expect(multi("parallel", few, angle)).toBeLessThanOrEqual(multi("parallel", many, angle) * 1.025);
        expect(multi("parallel", few, angle)).toBeLessThanOrEqual(multi("opposed", few, angle) * 1.01);
      }),
      { numRuns: 300 },
    );
  });

  test("outside the blade ratios of the table hold the edge's value and are flagged", () => {
    const { coefficient, outside } = coefficientOf(
      multiBladeDamper,
      { angle: 30 * degree, bladeRatio: 2 },
      { section: rectangular },
    );
    expect(coefficient).toBeCloseTo(9, 9);
    expect(outside).toEqual([{ what: "bladeRatio", value: 2, range: { min: 0.3, max: 1.5 } }]);
  });

  test("have no model in a round duct", () => {
    expect(() => coefficientOf(multiBladeDamper, { angle: 0 }, { section: round })).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "fitting.shape", path: "section" })] }),
    );
  });
});

describe("an iris damper", () => {
  const table = [
    { setting: 1, coefficient: 1.2 },
    { setting: 2, coefficient: 4 },
    { setting: 4, coefficient: 40 },
    { setting: 5, coefficient: 300 },
  ];
  const iris = (setting: number) => coefficientOf(irisDamper, { setting, table }, { section: round });

  test.each(table)("has the coefficient of its own table at $setting: $coefficient", ({ setting, coefficient }) => {
    expect(iris(setting).coefficient).toBeCloseTo(coefficient, 9);
    expect(iris(setting).withinRange).toBe(true);
  });

  test("stays between the settings beside it", () => {
    fc.assert(
      fc.property(fc.double({ min: 2, max: 4, noNaN: true }), (setting) => {
        expect(iris(setting).coefficient).toBeGreaterThanOrEqual(4 * (1 - 1e-12));
        expect(iris(setting).coefficient).toBeLessThanOrEqual(40 * (1 + 1e-12));
      }),
    );
  });

  test("between two settings alone the logarithm goes on a straight line", () => {
    const two = [table[0], { setting: 3, coefficient: 4.8 }];
    const { coefficient } = coefficientOf(irisDamper, { setting: 2, table: two }, { section: round });
    expect(coefficient).toBeCloseTo(2.4, 12);
  });

  test.each([
    [0, 1.2],
    [6, 300],
  ])("at %f, outside its table, holds %f and is flagged", (setting, coefficient) => {
    expect(iris(setting).coefficient).toBeCloseTo(coefficient, 9);
    expect(iris(setting).outside).toEqual([{ what: "setting", value: setting, range: { min: 1, max: 5 } }]);
  });
});

describe("a damper that stands open", () => {
  test.each(tables.plates.rows)("with %f free area loses as a thin plate: %f (computed apart)", (freeArea, plate) => {
    for (const fitting of [fireDamper, shutOffDamper]) {
      expect(coefficientOf(fitting, { freeArea }, { section: round }).coefficient).toBeCloseTo(plate, 5);
    }
  });

  test.each(tables.plates.rows)(
    "with %f free area lies near other plates and grilles (library): within its spread, or within 0.2 where little is lost",
    (freeArea, _, ...peers) => {
      const { coefficient, spread, withinRange } = coefficientOf(fireDamper, { freeArea }, { section: round });
      if (!withinRange) return;
      const width = Math.max(widthOf(spread) * coefficient, 0.2);
      for (const peer of peers) expect(Math.abs(peer - coefficient)).toBeLessThan(width);
    },
  );

  test("without any obstruction loses nothing; with less free area never less", () => {
    expect(thinPlateCoefficient(1)).toBe(0);
    const area = fc.double({ min: 0.05, max: 1, noNaN: true });
    fc.assert(
      fc.property(area, area, (a, b) => {
        expect(thinPlateCoefficient(Math.min(a, b))).toBeGreaterThanOrEqual(thinPlateCoefficient(Math.max(a, b)));
      }),
    );
  });

  test("below half free area is flagged, and says always that a plate stands in for it", () => {
    const { outside, note } = coefficientOf(shutOffDamper, { freeArea: 0.4 }, { section: round });
    expect(outside).toEqual([{ what: "freeArea", value: 0.4, range: { min: 0.5, max: 1 } }]);
    expect(note).toMatch(/stands in/);
  });

  test.each([0, 1.01, Number.NaN])("cannot have %f free area", (freeArea) => {
    expect(() => coefficientOf(fireDamper, { freeArea }, { section: round })).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining({ code: "out-of-range", path: "freeArea" })] }),
    );
  });

  test("a fire damper cautions that its fire rating is not this library's to know", () => {
    expect(fireDamper.caution).toMatch(/no fire rating/);
    expect(fireDamper.caution).toMatch(/local codes/);
  });
});
