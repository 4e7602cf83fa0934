import { expect, test } from "vitest";
import { controlCampaign, controlSummary } from "../helpers/control-networks.js";

test("1,000 random controlled networks are solved, or refused with a diagnosis in fewer than one of a hundred", {
  timeout: 120_000,
}, () => {
  const found = controlCampaign(1, 1000);
  console.log(controlSummary(1, 1000, found), found.refused);
  expect(found.wrong).toEqual([]);
  expect(found.refused.length).toBeLessThan(10);
});
