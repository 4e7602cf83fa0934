import fc from "fast-check";
import { expect, it } from "vitest";
import { IndexList } from "../../src/numerics/index-list.js";

it("holds what was put in, in order, however many were expected", () => {
  fc.assert(
    fc.property(fc.array(fc.integer({ min: -1, max: 1e6 })), fc.nat(20), (numbers, expected) => {
      const list = new IndexList(expected);
      numbers.forEach((number, i) => {
        expect(list.push(number)).toBe(i);
      });
      expect(list.length).toBe(numbers.length);
      expect([...list.toArray()]).toEqual(numbers);
    }),
  );
});
