import { expect, test } from "vitest";
import { checkNetwork } from "../../src/index.js";
import { bare, solved } from "../helpers/documents.js";

const codesOf = (document: object): string[] =>
  checkNetwork({ format: "ductgraph/1", ...document }).problems.map(({ code }) => code);

/** A duct with a regulator of 25 l/s between 50 and 250 Pa, driven by a pressure outdoors. */
const driven = (pressure: number, more: object = {}, duct: object = {}) =>
  solved({
    nodes: [
      { id: "o", kind: "outdoors", entry: 0, exit: 1, pressure },
      { id: "p", kind: "outdoors", entry: 0, exit: 1 },
    ],
    ducts: [
      bare("d", "o", "p", {
        section: { diameter: 0.125 },
        fittings: [{ kind: "regulator", flow: "25 l/s", minPressure: 50, maxPressure: 250, ...more }],
        ...duct,
      }),
    ],
  });

test("a regulator holds its flow within its accuracy while it takes a pressure inside its band", () => {
  for (const pressure of [60, 100, 150, 200, 250]) {
    const { ducts, warnings } = driven(pressure);
    expect(Math.abs(ducts.d.flow / 0.025 - 1)).toBeLessThan(0.05);
    expect(ducts.d.fittings?.[0].withinRange).toBe(true);
    expect(warnings).toEqual([]);
  }
});

test("below its band it stands open: the flow follows the root of the pressure, and a warning says what it takes", () => {
  const [weak, strong] = [driven(10), driven(40)];
  expect(strong.ducts.d.flow / weak.ducts.d.flow).toBeCloseTo(2, 6);
  expect(weak.warnings.map(({ code }) => code)).toEqual(["regulator.out-of-band"]);
  expect(weak.warnings[0].message).toContain("outside its band of 50 to 250 Pa");
});

test("above its band it stands as far shut as it goes", () => {
  const flow = driven(1000).ducts.d.flow;
  expect(flow).toBeGreaterThan(0.025 * 1.05);
  expect(flow).toBeLessThan(0.025 * 1.05 * 2);
});

test("two in a row share the pressure, and each of two runs holds its own flow", () => {
  const two = driven(200, { count: 2 });
  expect(two.ducts.d.fittings?.[0].loss).toBeLessThan(200);
  expect(two.ducts.d.fittings?.[0].withinRange).toBe(true);
  const runs = driven(150, {}, { parallel: 2 });
  expect(runs.ducts.d.flow).toBeCloseTo(2 * driven(150).ducts.d.flow, 9);
});

test("a band that is none is a fault", () => {
  const nodes = [
    { id: "o", kind: "outdoors", coefficient: 1 },
    { id: "p", kind: "outdoors", coefficient: 1 },
  ];
  const fittings = [{ kind: "regulator", flow: 0.02, minPressure: 50, maxPressure: 50 }];
  expect(codesOf({ nodes, ducts: [bare("d", "o", "p", { fittings })] })).toEqual(["value.range"]);
});
