import { expect, test } from "vitest";
import { stillCampaign } from "../helpers/still-networks.js";

test("networks of tees in which nothing moves the air, none of which CI sees", { timeout: 600_000 }, () => {
  const { failed, moving, rested } = stillCampaign(1001, 11_000);
  console.log(`still networks of tees, seeds 1001–11000: ${rested} of 20000 answers at rest, ${failed.length} failed`);
  expect(failed).toEqual([]);
  expect(moving).toEqual([]);
  expect(rested).toBe(20_000);
});
