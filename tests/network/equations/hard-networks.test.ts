import { expect, test } from "vitest";
import { campaign, type Family } from "../../helpers/hard-networks.js";

test.each<[Family, number, number]>([
  ["ends", 6, 9],
  ["bridges", 6, 8],
  ["hump", 8, 20],
  ["tees", 7, 8],
  ["tees dominate", 8, 29],
])(
  "%s: 40 networks of 300 ducts are solved in a median of %i steps and at most %i, and no fan is left where a disturbance grows",
  (family, median, most) => {
    const { failed, medianIterations, mostIterations, solved, unstable } = campaign(family, 1, 40);
    expect(failed).toEqual([]);
    expect(unstable).toEqual([]);
    expect(solved).toBe(40);
    expect(medianIterations).toBeLessThanOrEqual(median);
    expect(mostIterations).toBeLessThanOrEqual(most);
  },
);
