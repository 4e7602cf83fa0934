import { expect, test } from "vitest";
import { rectangularSides, roundSizes } from "../../src/ducts/sizes.js";

const lists = [...Object.values(roundSizes), rectangularSides];

test("round ducts have the recommended sizes of EN 1506 (read in two reprints)", () => {
  expect(roundSizes.recommended.sizes).toEqual([
    0.063, 0.08, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1, 1.25,
  ]);
  expect(roundSizes.recommended.source.status).toBe("read");
});

test("round ducts have the additional sizes of EN 1506 (read in two reprints), none of them recommended", () => {
  expect(roundSizes.additional.sizes).toEqual([0.15, 0.3, 0.355, 0.45, 0.56, 0.71, 0.9, 1.12]);
  for (const size of roundSizes.additional.sizes) expect(roundSizes.recommended.sizes).not.toContain(size);
});

test("recommended round sizes grow by 19 to 29 % a step, as the preferred numbers do", () => {
  const { sizes } = roundSizes.recommended;
  for (let i = 1; i < sizes.length; i++) {
    expect(sizes[i] / sizes[i - 1]).toBeGreaterThan(1.19);
    expect(sizes[i] / sizes[i - 1]).toBeLessThan(1.29);
  }
});

test("dwellings use 125 to 200 mm (memory)", () => {
  expect(roundSizes.dwelling.sizes).toEqual([0.125, 0.15, 0.16, 0.18, 0.2]);
  expect(roundSizes.dwelling.source.status).toBe("memory");
});

test("rectangular ducts have the sides of EN 1505 (memory)", () => {
  expect(rectangularSides.sizes).toEqual([0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1, 1.2, 1.4, 1.6, 1.8, 2]);
  expect(rectangularSides.source.status).toBe("memory");
});

test("every list rises and cannot be changed", () => {
  expect(Object.isFrozen(roundSizes)).toBe(true);
  for (const list of lists) {
    expect([Object.isFrozen(list), Object.isFrozen(list.sizes), Object.isFrozen(list.source)]).toEqual([
      true,
      true,
      true,
    ]);
    for (let i = 1; i < list.sizes.length; i++) expect(list.sizes[i]).toBeGreaterThan(list.sizes[i - 1]);
  }
});
