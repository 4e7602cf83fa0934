import { expect, test } from "vitest";
import { controlledBuilding } from "../helpers/control-buildings.js";
import { controlCampaign, controlledDocument, controlSummary } from "../helpers/control-networks.js";

test.each([
  ["networks", controlledDocument],
  ["buildings", controlledBuilding],
])(
  "1,000 random controlled %s are solved, or refused with a diagnosis in fewer than two of a thousand",
  {
    timeout: 120_000,
  },
  (what, documentOf) => {
    const found = controlCampaign(documentOf, 1, 1000);
    console.log(controlSummary(what, 1, 1000, found), found.refused);
    expect(found.wrong).toEqual([]);
    expect(found.refused.length).toBeLessThan(2);
  },
);
