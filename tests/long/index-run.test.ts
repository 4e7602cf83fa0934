import { expect, test } from "vitest";
import { indexCampaign, indexSummary } from "../helpers/open-networks.js";

// Seeds 1–700 were used in development, seeds 1001–2000 were not.
test.each([
  [1, 1000],
  [1001, 2000],
])("a fan of the pressure found gives design flows, and paths end where they lead: seeds %i to %i", (first, last) => {
  const found = indexCampaign(first, last);
  console.log(indexSummary(first, last, found));
  expect(found.faults).toEqual([]);
});
