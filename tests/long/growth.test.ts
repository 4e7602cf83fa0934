import { describe, expect, test } from "vitest";
import { checkNetwork } from "../../src/index.js";
import { countOf, of, wrongDocuments } from "../helpers/wrong-documents.js";

/** The shortest of a few runs [ms]. */
const shortest = (runs: number, work: () => void): number => {
  const times = of(runs, () => {
    const start = performance.now();
    work();
    return performance.now() - start;
  });
  return Math.min(...times);
};

// The one place where times are compared: run it on a quiet machine.
describe("checking ten times as many wrong elements takes about ten times as long", () => {
  // Quadratic work would take a hundred times as long; between them lies what a busy machine makes of it.
  test.each(wrongDocuments)("%s", (name, make) => {
    const count = countOf(name);
    const [small, large] = [make(count / 10), make(count)];
    const ratio = (): number => shortest(1, () => checkNetwork(large)) / shortest(3, () => checkNetwork(small));
    // What a pause of the machine does once, quadratic work does each time.
    const ratios = [ratio()];
    while (ratios.length < 4 && Math.min(...ratios) >= 40) ratios.push(ratio());
    expect(Math.min(...ratios)).toBeLessThan(40);
  });
});
