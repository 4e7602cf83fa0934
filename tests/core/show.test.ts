import { expect, test } from "vitest";
import { shown } from "../../src/core/show.js";

const revoked = (target: object): object => {
  const { proxy, revoke } = Proxy.revocable(target, {});
  revoke();
  return proxy;
};

test("a value is told in a few words, whatever it is", () => {
  expect(shown([1, 2])).toBe("a list of 2");
  expect(shown({})).toBe("an object");
  expect(shown(null)).toBe("null");
  expect(shown(Symbol("x"))).toBe("Symbol(x)");
  expect(shown(revoked({}))).toBe("an object");
  expect(shown(revoked([]))).toBe("an object");
});
