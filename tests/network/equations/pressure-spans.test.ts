import { expect, test } from "vitest";
import { layoutOf, parseNetwork } from "../../../src/network/document/document.js";
import { pressureAtSpeed, pressureSpan } from "../../../src/network/equations/pressure-spans.js";
import type { ControlTerm } from "../../../src/network/equations/terms.js";
import { assemble } from "../../../src/network/solve/assemble.js";
import { controlledBuilding } from "../../helpers/control-buildings.js";
import { between, controlledDocument, randomOf } from "../../helpers/control-networks.js";

/** The controlled fans of random networks and buildings. */
const fans: readonly ControlTerm[] = [controlledDocument, controlledBuilding].flatMap((documentOf) =>
  Array.from({ length: 20 }, (_, k) => assemble(layoutOf(parseNetwork(documentOf(k + 1)))).equations.controls).flat(),
);

const hasOneCurve = (fan: ControlTerm): boolean => fan.fanAt(fan.minSpeed).curve === fan.fanAt(fan.maxSpeed).curve;

/** Mass flows from backwards to beyond the curve at the highest speed [kg/s]. */
const flowsOf = (fan: ControlTerm, seed: number): number[] => {
  const { curve, flow } = fan.fanAt(fan.maxSpeed);
  const last = curve.knots[curve.knots.length - 1] / flow;
  const random = randomOf(seed);
  return [0, ...Array.from({ length: 8 }, () => between(random, -1, 1.5) * last)];
};

/** The pressures at speeds close to one another. */
const sampled = (fan: ControlTerm, massFlow: number): number[] =>
  Array.from({ length: 401 }, (_, i) => {
    const speed = fan.minSpeed + (i / 400) * (fan.maxSpeed - fan.minSpeed);
    return pressureAtSpeed(fan, Math.min(speed, fan.maxSpeed), massFlow);
  });

test("no pressure of a fan at any speed lies outside its span, and of a fan with one curve both ends are taken", () => {
  const curves = { one: 0, several: 0 };
  fans.forEach((fan, f) => {
    for (const massFlow of flowsOf(fan, f)) {
      const [least, largest] = pressureSpan(fan, massFlow);
      const pressures = sampled(fan, massFlow);
      const [found, most] = [Math.min(...pressures), Math.max(...pressures)];
      const rounding = 1e-9 * Math.max(Math.abs(found), Math.abs(most));
      expect(least).toBeLessThanOrEqual(found + rounding);
      expect(largest).toBeGreaterThanOrEqual(most - rounding);
      curves[hasOneCurve(fan) ? "one" : "several"]++;
      // Between curves the span may be wider, by a step of 32 at the steepest.
      const near = (hasOneCurve(fan) ? 1e-3 : 0.3) * (most - found) + rounding;
      expect(least).toBeGreaterThanOrEqual(found - near);
      expect(largest).toBeLessThanOrEqual(most + near);
    }
  });
  expect(Math.min(curves.one, curves.several)).toBeGreaterThan(60);
});

test("a fan that others blow through resists most at a speed between its limits, where 33 speeds do not look", () => {
  // p = 100 − 1000·q² at speed 1; beyond q = 0.4 straight on: s²·100 − 160·s² − 800·(q − 0.4·s)·s.
  const points = Array.from({ length: 41 }, (_, i) => ({ flow: i / 100, pressure: 100 - (i / 100) ** 2 * 1000 }));
  const control = { kind: "flow", flow: 0.1, minSpeed: 0.1, maxSpeed: 1 };
  const { equations } = assemble(
    layoutOf(
      parseNetwork({
        format: "ductgraph/1",
        nodes: [
          { id: "in", kind: "outdoors", coefficient: 1 },
          { id: "fan", kind: "fan", curve: { pressureKind: "total", points }, control },
          { id: "out", kind: "outdoors", coefficient: 1 },
        ],
        ducts: [
          { id: "a", from: "in", to: "fan.inlet", length: 1, section: { diameter: 0.3 } },
          { id: "b", from: "fan.outlet", to: "out", length: 1, section: { diameter: 0.3 } },
        ],
      } as never),
    ),
  );
  const [fan] = equations.controls;
  const { curve, flow, scale } = fan.fanAt(1);
  const slope = curve.right;
  const last = curve.values[curve.values.length - 1];
  const massFlow = 0.5 / flow;
  // On the straight line s²·(last − slope·0.4) + s·slope·q, which is least at half of −slope·q/(last − slope·0.4).
  const square = last - slope * 0.4;
  const speed = (-slope * 0.5) / (2 * square);
  expect(speed).toBeGreaterThan(0.1);
  expect(speed).toBeLessThan(1);
  const [least] = pressureSpan(fan, massFlow);
  expect(least).toBeCloseTo(scale * (square * speed ** 2 + speed * slope * 0.5), 9);
});
