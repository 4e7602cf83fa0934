import { describe, expect, test } from "vitest";
import { bare, codesOf, solved } from "../../helpers/documents.js";

/** A flow imposed on one duct that ends outdoors without any loss at its ends. */
const driven = (inflow: number, duct: object, more: object = {}) =>
  solved({
    nodes: [
      { id: "j", kind: "junction", inflow, ...((more as { at?: object }).at ?? {}) },
      { id: "out", kind: "outdoors", entry: 0, exit: 0, ...((more as { to?: object }).to ?? {}) },
    ],
    ducts: [bare("d", "j", "out", { frictionFactor: undefined, length: 10, ...duct })],
    ...((more as { root?: object }).root ?? {}),
  }).ducts.d;

describe("a duct", () => {
  test("of a given factor loses f·(L/D)·½ρv² (Darcy and Weisbach)", () => {
    // v = 0.02/(π·0.1²/4) = 2.546479 m/s; 0.02·(10/0.1)·0.6·v² = 7.781467 Pa
    expect(driven(0.02, { frictionFactor: 0.02 }).frictionLoss).toBeCloseTo(7.781467, 5);
  });

  test("of a rectangle takes the round duct of the same flow, or the hydraulic diameter at the true velocity", () => {
    const section = { width: 0.4, height: 0.2 };
    const circular = driven(0.3, { section });
    // d = 0.304675 m (Huebscher): Re = 4q/(π d ν)
    expect(circular.reynolds).toBeCloseTo((4 * 0.3 * 1.2) / (Math.PI * 0.304675 * 1.81e-5), -1);
    const hydraulic = driven(0.3, { section, equivalent: "hydraulic" });
    expect(hydraulic.reynolds).toBeCloseTo((1.2 * (0.3 / 0.08) * 0.2666667) / 1.81e-5, -1);
    expect(circular.velocity).toBeCloseTo(3.75, 9);
  });

  test("by its maker's rating loses that, times its length, at the flow of one run", () => {
    const frictionRating = { pressure: 3, length: 2, flow: 0.01 };
    expect(driven(0.02, { frictionRating, parallel: 2 }).frictionLoss).toBeCloseTo(15, 9);
  });

  test("of three runs carries a third in each", () => {
    const one = driven(0.01, {});
    const three = driven(0.03, { parallel: 3 });
    expect(three.totalLoss).toBeCloseTo(one.totalLoss, 9);
    expect(three.velocity).toBeCloseTo(one.velocity, 12);
  });

  test("that rises with warm air is helped by (ρ_o − ρ)·g·Δz", () => {
    const { buoyancy } = driven(0.01, { air: { density: 1.1 } }, { to: { elevation: 5 } });
    expect(buoyancy).toBeCloseTo(-0.1 * 9.80665 * 5, 9);
  });

  test("after a narrower one regains static pressure: total pressure goes on, velocity pressure falls", () => {
    const { ducts } = solved({
      nodes: [
        { id: "j", kind: "junction", inflow: 0.05 },
        { id: "k", kind: "junction" },
        { id: "out", kind: "outdoors", entry: 0, exit: 1 },
      ],
      ducts: [bare("narrow", "j", "k"), bare("wide", "k", "out", { section: { diameter: 0.2 } })],
    });
    const gained = ducts.wide.inlet.staticPressure - ducts.narrow.outlet.staticPressure;
    expect(gained).toBeCloseTo(ducts.narrow.velocityPressure * (1 - 1 / 16), 6);
  });

  test("without length or flow has no loss, and no friction factor where there is no flow", () => {
    expect(driven(0.02, { length: 0, fittings: [{ kind: "fixed", coefficient: 1 }] }).frictionLoss).toBe(0);
    const still = driven(0, {});
    expect(still.totalLoss).toBeCloseTo(0, 12);
    expect(still.frictionFactor).toBeUndefined();
  });

  test("between laminar and turbulent flow, or beyond what its laws were fitted to, says so", () => {
    const codes = (inflow: number, duct: object) =>
      codesOf(
        solved({
          nodes: [
            { id: "j", kind: "junction", inflow },
            { id: "out", kind: "outdoors", entry: 0, exit: 1 },
          ],
          ducts: [bare("d", "j", "out", { frictionFactor: undefined, ...duct })],
        }),
      );
    expect(codes(0.0035, {})).toEqual(["friction.transition"]); // Re = 2954
    expect(codes(0.05, { roughness: 0.006 })).toEqual(["friction.roughness"]);
    expect(codes(0.3, { section: { width: 0.9, height: 0.1 } })).toEqual(["friction.aspect"]);
    expect(codes(0.001, { section: { width: 0.1, height: 0.1 } })).toEqual(["friction.laminar"]);
    expect(codes(0.05, {})).toEqual([]);
  });
});
