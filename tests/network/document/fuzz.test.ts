import { expect, test } from "vitest";
import { fuzz } from "../../helpers/fuzz.js";

test("10,000 mutated documents each end in an answer that keeps the laws, a DocumentError or a SolveError", () => {
  const { summary, faults } = fuzz(1, 10_000);
  console.log(summary);
  expect(faults).toEqual([]);
});
