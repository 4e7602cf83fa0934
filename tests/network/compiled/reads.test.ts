import { describe, expect, test } from "vitest";
import { parseNetwork } from "../../../src/index.js";
import { Model } from "../../../src/network/compiled/model.js";
import { Parameters } from "../../../src/network/compiled/parameters.js";
import { numbersBelow, ownedBy, pathOf } from "../../../src/network/compiled/paths.js";
import type { Equations } from "../../../src/network/equations/equations.js";
import { filedDocuments } from "../../helpers/all-documents.js";
import { everyKind } from "../../helpers/every-kind.js";

/** All coefficients, with functions of a speed at one speed. */
const plain = (value: unknown): unknown => {
  if (ArrayBuffer.isView(value)) return Array.from(value as Float64Array);
  if (Array.isArray(value)) return value.map(plain);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value).flatMap(([key, held]) => {
      if (key === "fanAt") return [[key, plain((held as (speed: number) => unknown)(0.7))]];
      return typeof held === "function" ? [] : [[key, plain(held)]];
    }),
  );
};
const coefficientsOf = (equations: Equations): unknown => {
  const { names, law, frictionChanged, reynoldsChanged, ...coefficients } = { ...equations } as Record<string, unknown>;
  return plain(coefficients);
};

/** Paths of all numbers of a model's network. */
const pathsIn = ({ network }: Model): string[] => {
  const airs = (["air", "outdoorAir"] as const).filter((list) => network[list] !== undefined);
  const owners = [
    ...airs.map((list) => ({ list, index: 0 })),
    ...(["nodes", "ducts", "openings"] as const).flatMap((list) => network[list].map((_, index) => ({ list, index }))),
  ];
  return owners.flatMap((owner) =>
    Array.from(numbersBelow(ownedBy(network, owner)), (keys) => [pathOf(network, owner), ...keys].join(".")),
  );
};

/** The most numbers of a document that are changed here. */
const most = 150;

describe("after a change of one number what reads it is refreshed, so that all coefficients are those of the changed network", () => {
  test.each([...everyKind(), ...filedDocuments()])("%s", (_, document) => {
    const model = new Model(parseNetwork(document));
    const parameters = new Parameters(model);
    const { elements, equations, layout } = model.system;
    const paths = pathsIn(model);
    const stride = Math.max(1, Math.floor(paths.length / most));
    for (const path of paths.filter((_, i) => i % stride === 0)) {
      const parameter = parameters.at(path);
      for (const factor of [1.02, 0.97, 2]) {
        try {
          parameter.value = parameter.initial === 0 ? factor : parameter.initial * factor;
        } catch {
          continue; // at odds with the rest of the document
        }
        model.refresh();
        const refreshed = coefficientsOf(equations);
        layout.forgetClimate();
        elements.refreshAll();
        expect(refreshed, path).toStrictEqual(coefficientsOf(equations));
        break;
      }
      parameter.value = parameter.initial;
      model.refresh();
    }
  });
});
