import { expect, test } from "vitest";
import { fittedNetwork } from "../helpers/fitted-networks.js";
import { indexCampaign, indexSummary, openNetwork } from "../helpers/open-networks.js";

// Seeds 1–1000 were used in development, and those of 1001–2000 that once failed; fitted networks 1–1000 too.
test.each([
  ["open", 1, 1000, openNetwork],
  ["open", 1001, 2000, openNetwork],
  ["fitted", 1, 1000, fittedNetwork],
] as const)(
  "a fan of the pressure found gives design flows, and paths end where they lead: %s networks, seeds %i to %i",
  (name, first, last, networkOf) => {
    const found = indexCampaign(first, last, networkOf);
    console.log(`${name}: ${indexSummary(first, last, found)}`);
    expect(found.faults).toEqual([]);
  },
);
