import { expect, test } from "vitest";
import { controlCampaign, controlSummary } from "../helpers/control-networks.js";

test("10,000 random controlled networks, none of which CI sees", { timeout: 600_000 }, () => {
  const found = controlCampaign(1001, 11_000);
  console.log(controlSummary(1001, 11_000, found), found.refused);
  expect(found.wrong).toEqual([]);
  expect(found.refused.length).toBeLessThan(100);
});
