import { expect, test } from "vitest";
import { controlledBuilding } from "../../helpers/control-buildings.js";
import { controlCampaign, controlledDocument, controlSummary } from "../../helpers/control-networks.js";

test.each([
  ["networks", controlledDocument, { medianHeld: 8, mostHeld: 12, medianIterations: 20, mostIterations: 54 }],
  ["buildings", controlledBuilding, { medianHeld: 8, mostHeld: 51, medianIterations: 38, mostIterations: 190 }],
])(
  "1,000 random controlled %s are solved, or refused with a diagnosis in fewer than two of a thousand, flows held to 1e-9 of the largest, in no more steps than when this was written",
  {
    timeout: 120_000,
  },
  (what, documentOf, steps) => {
    const found = controlCampaign(documentOf, 1, 1000);
    console.log(controlSummary(what, 1, 1000, found), found.refused);
    expect(found.wrong).toEqual([]);
    expect(found.refused.length).toBeLessThan(2);
    expect(found.largestMiss).toBeLessThanOrEqual(1.001);
    for (const [which, most] of Object.entries(steps)) {
      expect(found[which as keyof typeof steps], which).toBeLessThanOrEqual(most);
    }
  },
);
