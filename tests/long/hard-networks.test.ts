import { describe, expect, test } from "vitest";
import { campaign, type Family, summaryOf } from "../helpers/hard-networks.js";

// Seeds 1–1000 were used in development, seeds 1001–2000 were not.
describe.each([
  [1, 1000],
  [1001, 2000],
])("seeds %i to %i", (first, last) => {
  test.each<Family>(["ends", "bridges", "hump", "tees", "tees dominate"])("%s", { timeout: 600_000 }, (family) => {
    const found = campaign(family, first, last);
    console.log(summaryOf(family, first, last, found));
    expect(found.failed).toEqual([]);
    expect(found.unstable).toEqual([]);
  });
});
