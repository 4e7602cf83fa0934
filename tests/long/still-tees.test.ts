import { expect, test } from "vitest";
import { stillCampaign } from "../helpers/still-networks.js";

test("networks of tees in which nothing moves the air, none of which CI sees", { timeout: 600_000 }, () => {
  const { failed, moving, rested } = stillCampaign(1001, 6000);
  console.log(`still networks of tees, seeds 1001–6000: ${rested} of 10000 answers at rest, ${failed.length} failed`);
  expect(failed).toEqual([]);
  expect(moving).toEqual([]);
  expect(rested).toBe(10_000);
});
