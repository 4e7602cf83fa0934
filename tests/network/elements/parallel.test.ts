import fc from "fast-check";
import { expect, test } from "vitest";
import { type NetworkDocument, type Solution, solveNetwork } from "../../../src/index.js";
import { closelyInMotion, expectEqual, pressuresOf } from "../../helpers/comparison.js";
import { networks } from "../../helpers/networks.js";

type Duct = NonNullable<NetworkDocument["ducts"]>[number];

/**
 * The same network with a duct for each run. A port takes one duct, and an outdoors end with a section of its own is one
 * end for all runs of a duct: ducts there stay as they are.
 */
const inSingleRuns = (document: NetworkDocument): NetworkDocument => ({
  ...document,
  ducts: (document.ducts ?? []).flatMap((duct): Duct[] => {
    const { parallel = 1, ...run } = duct;
    const shared = document.nodes.some(
      (node) =>
        (node.id === duct.from || node.id === duct.to) && node.kind === "outdoors" && node.section !== undefined,
    );
    if (shared || `${duct.from}${duct.to}`.includes(".")) return [duct];
    return Array.from({ length: parallel }, (_, k) => ({ ...run, id: k === 0 ? duct.id : `${duct.id}-run${k}` }));
  }),
});

/** The flow in all runs of each duct [m³/s]. */
const flowsOfAllRuns = ({ ducts }: Solution): Record<string, number> => {
  const sums: Record<string, number> = {};
  for (const [id, { flow }] of Object.entries(ducts)) {
    const name = id.split("-run")[0];
    sums[name] = (sums[name] ?? 0) + flow;
  }
  return sums;
};

test("n runs in one duct equal n ducts: at boxes, plenums, rooms, junctions and outdoors", () => {
  let split = 0;
  fc.assert(
    fc.property(networks({ rough: true }), (document) => {
      const single = inSingleRuns(document);
      if (single.ducts?.length === document.ducts?.length) return;
      split++;
      const [together, apart] = [document, single].map((one) => solveNetwork(one, { tolerance: 1e-4 }));
      expectEqual(flowsOfAllRuns(apart), flowsOfAllRuns(together), closelyInMotion);
      expectEqual(pressuresOf(apart), pressuresOf(together), (_, largest) => 1e-9 * Math.max(largest, 1));
    }),
    { numRuns: 300 },
  );
  expect(split).toBeGreaterThan(100);
});
