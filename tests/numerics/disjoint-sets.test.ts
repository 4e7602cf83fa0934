import fc from "fast-check";
import { expect, it } from "vitest";
import { DisjointSets } from "../../src/numerics/disjoint-sets.js";

const size = 20;
const member = fc.nat(size - 1);

it("has two numbers in one set exactly where a chain of pairs leads from one to the other", () => {
  fc.assert(
    fc.property(fc.array(fc.tuple(member, member), { maxLength: 30 }), (pairs) => {
      const sets = new DisjointSets(size);
      for (const [a, b] of pairs) sets.join(a, b);
      for (let start = 0; start < size; start++) {
        const reached = new Set([start]);
        for (const at of reached) {
          for (const [a, b] of pairs) if (a === at || b === at) reached.add(a).add(b);
        }
        for (let other = 0; other < size; other++) {
          expect(sets.leaderOf(start) === sets.leaderOf(other)).toBe(reached.has(other));
        }
      }
    }),
  );
});

it("tells a pair that closes a loop from one that joins two sets", () => {
  const sets = new DisjointSets(3);
  expect([sets.join(0, 1), sets.join(1, 2), sets.join(2, 0), sets.join(1, 1)]).toEqual([true, true, false, false]);
});
