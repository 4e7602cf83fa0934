import { expect, test } from "vitest";
import { controlCampaign } from "../helpers/control-networks.js";
import { regulatedBuilding, regulatedDocument } from "../helpers/regulated-networks.js";

test.each([
  ["trees of tees", regulatedDocument, 2000],
  ["networks of 300 ducts and tees", regulatedBuilding, 500],
])(
  "random %s with constant-flow regulators, none of which CI sees",
  { timeout: 600_000 },
  (what, documentOf, count) => {
    const last = 1000 + count;
    const { refused, wrong, solved, medianIterations, mostIterations } = controlCampaign(documentOf, 1001, last);
    console.log(
      `${what} with regulators, seeds 1001–${last}: ${solved} solved, iterations median ${medianIterations}, most ${mostIterations}`,
    );
    expect(wrong).toEqual([]);
    expect(refused).toEqual([]);
  },
);
