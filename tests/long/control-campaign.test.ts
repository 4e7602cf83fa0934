import { expect, test } from "vitest";
import { controlledBuilding } from "../helpers/control-buildings.js";
import { controlCampaign, controlledDocument, controlSummary } from "../helpers/control-networks.js";

test.each([
  ["networks", controlledDocument],
  ["buildings", controlledBuilding],
])("10,000 random controlled %s, none of which CI sees", { timeout: 600_000 }, (what, documentOf) => {
  const found = controlCampaign(documentOf, 1001, 11_000);
  console.log(controlSummary(what, 1001, 11_000, found), found.refused);
  expect(found.wrong).toEqual([]);
  expect(found.refused.length).toBeLessThan(10);
});
