import { expect } from "vitest";
import type { Solution } from "../../src/index.js";

type Numbers = Record<string, number>;

/** The flows of an answer by path [m³/s]. */
export const flowsOf = ({ ducts, terminals, openings, fans }: Solution): Numbers =>
  Object.fromEntries(
    Object.entries({ ducts, terminals, openings, fans }).flatMap(([list, results]) =>
      Object.entries(results).map(([id, { flow }]) => [`${list}.${id}`, flow]),
    ),
  );

/** The total pressures of an answer by node or port [Pa]. */
export const pressuresOf = ({ nodes }: Solution): Numbers =>
  Object.fromEntries(
    Object.entries(nodes).flatMap(([id, { totalPressure, ports = {} }]) => [
      ...(totalPressure === undefined ? [] : [[id, totalPressure]]),
      ...Object.entries(ports).map(([port, at]) => [`${id}.${port}`, at.totalPressure]),
    ]),
  );

/** Numbers under other names, times a factor. */
export const changed = (numbers: Numbers, factor: number, rename: (name: string) => string = (name) => name): Numbers =>
  Object.fromEntries(Object.entries(numbers).map(([name, value]) => [rename(name), factor * value]));

/** Expects the same numbers under the same names; `within` says by how much each may differ. */
export const expectEqual = (
  found: Numbers,
  expected: Numbers,
  within: (value: number, largest: number) => number,
): void => {
  expect(Object.keys(found).sort()).toEqual(Object.keys(expected).sort());
  const largest = Math.max(...Object.values(expected).map(Math.abs));
  for (const [name, value] of Object.entries(expected)) {
    const off = Math.abs(found[name] - value);
    expect(off, `${name}: ${found[name]}, not ${value}`).toBeLessThanOrEqual(within(Math.abs(value), largest));
  }
};

/** 1e-9 of the largest. */
export const closely = (_: number, largest: number): number => 1e-9 * largest;

/**
 * Closely enough where laws may be flat: what 1e-10 Pa leaves open of a flow grows as the inverse of a quadratic loss's
 * flow, to its square root at rest.
 */
export const closelyInMotion = (value: number, largest: number): number =>
  (1e-8 * largest ** 2) / Math.max(value, 1e-5 * largest);
