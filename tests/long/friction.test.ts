import { expect, test } from "vitest";
import type { FrictionLawName } from "../../src/ducts/friction.js";
import { sweepDistances, sweepLimits } from "../ducts/friction-sweep.js";
import sweep from "../references/friction-sweep-all.json" with { type: "json" };

const distances = sweepDistances(sweep);

test.each(Object.keys(sweepLimits) as FrictionLawName[])(
  `%s agrees with the library at all ${sweep.rows.length} points (${sweep.status}, seed ${sweep.seed})`,
  (law) => {
    console.log(`${law}: largest relative difference ${distances[law].toExponential(2)}`);
    expect(distances[law]).toBeLessThan(sweepLimits[law]);
  },
);
