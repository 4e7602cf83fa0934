import { expect, test } from "vitest";
import * as fans from "../src/fans/index.js";
import * as fittings from "../src/fittings/index.js";
import * as main from "../src/index.js";

const boo = (): never => {
  throw new RangeError("boo");
};
const throwing = new Proxy({}, { get: boo, has: boo, ownKeys: boo, getOwnPropertyDescriptor: boo });
const points = [
  { flow: 0, pressure: 300, power: 40 },
  { flow: 0.2, pressure: 100, power: 40 },
];
const getting = (key: string, rest: object) => Object.defineProperty({ ...rest }, key, { enumerable: true, get: boo });
const inner = { pressureKind: "total", points: [points[0], getting("flow", { pressure: 100 })] };
const values = [undefined, null, 1, "x", {}, [], throwing, [throwing, throwing], inner, () => 1, Symbol("s"), 3n];
const errors = ["InputError", "DocumentError", "SolveError"];

const functions = [main, fans, fittings].flatMap((module) =>
  Object.entries(module).flatMap(([name, held]) =>
    typeof held !== "function" || name.endsWith("Error")
      ? []
      : [[name, held as (...given: unknown[]) => unknown] as const],
  ),
);

test.each(functions)(
  "%s throws errors of this library alone, also for arguments that throw when they are read",
  (_, call) => {
    for (const one of values) {
      for (const other of values) {
        try {
          call(one, other);
        } catch (error) {
          expect(errors).toContain((error as Error).name);
        }
      }
    }
  },
);
