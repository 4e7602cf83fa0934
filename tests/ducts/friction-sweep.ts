import { type FrictionLawName, frictionFactor } from "../../src/ducts/friction.js";

/** Points of tests/references/friction-sweep.py. */
export interface Sweep {
  readonly columns: readonly string[];
  readonly rows: readonly (readonly number[])[];
}

/** Largest relative difference from the library that a law may show. */
export const sweepLimits: Readonly<Record<FrictionLawName, number>> = {
  // The library's own root errs by up to 3.4e-14, as a root of 40 digits shows; ours by 1e-15.
  colebrook: 1e-13,
  haaland: 5e-15,
  // The library writes 6.97^0.9 = 5.73997 for the printed 5.74; the printed form with its number gives its values to 2.2e-16.
  "swamee-jain": 2e-6,
  serghides: 5e-15,
  churchill: 5e-15,
};

/** Largest relative difference of each law over the points; NaN where a factor is none. */
export const sweepDistances = ({ columns, rows }: Sweep): Record<FrictionLawName, number> => {
  const laws = Object.keys(sweepLimits) as FrictionLawName[];
  const largest = (law: FrictionLawName): number => {
    const reynolds = law === "churchill" ? 1 : 0;
    const column = columns.indexOf(law);
    const differences = rows.map((row) => Math.abs(frictionFactor(row[reynolds], row[2], law) / row[column] - 1));
    return differences.reduce((most, difference) => Math.max(most, difference), 0);
  };
  return Object.fromEntries(laws.map((law) => [law, largest(law)])) as Record<FrictionLawName, number>;
};
