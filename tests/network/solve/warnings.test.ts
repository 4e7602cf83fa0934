import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import {
  compileNetwork,
  type NetworkDocument,
  parseNetwork,
  type Solution,
  solveNetwork,
  type Warning,
} from "../../../src/index.js";
import { Layout } from "../../../src/network/layout/layout.js";
import { networkWarnings } from "../../../src/network/solve/warnings.js";
import { bare } from "../../helpers/documents.js";

const pathOf = (warnings: readonly Warning[], code: string): string | undefined =>
  warnings.find((warning) => warning.code === code)?.path;

/** Where a warning stands in the solution of a document that was changed before the warnings were drawn from it. */
const pathWith = (
  document: NetworkDocument,
  code: string,
  change: (solution: Solution) => void,
): string | undefined => {
  const network = parseNetwork(document);
  const solution = solveNetwork(network);
  change(solution);
  return pathOf(networkWarnings(network, new Layout(network), solution), code);
};

const bridge: NetworkDocument = JSON.parse(
  readFileSync(new URL("../../networks/independent/balanced-bridge.json", import.meta.url), "utf8"),
);

/** Two equal ways of slow air through one mitred bend each. */
const bends: NetworkDocument = {
  format: "ductgraph/1",
  nodes: [
    { id: "in", kind: "outdoors", entry: 0.5, exit: 1, pressure: 0.05 },
    { id: "out", kind: "outdoors", entry: 0.5, exit: 1 },
  ],
  ducts: ["one", "other"].map((id) => ({
    id,
    from: "in",
    to: "out",
    length: 20,
    section: { diameter: 0.1 },
    fittings: [{ kind: "mitredBend" }],
  })),
} as NetworkDocument;

/** Two plenums in each of which warm air meets cold air, `warmer` K more in the second. */
const mixing = (warmer: number): NetworkDocument => {
  const side = (name: string, temperature: number) => [
    bare(`${name}-cold`, "in", name, { air: { temperature: 0 } }),
    bare(`${name}-warm`, "in", name, { air: { temperature } }),
    bare(`${name}-out`, name, "out"),
  ];
  return {
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", entry: 0.5, exit: 1, pressure: 10 },
      { id: "out", kind: "outdoors", entry: 0.5, exit: 1 },
      { id: "one", kind: "plenum" },
      { id: "other", kind: "plenum" },
    ],
    ducts: [...side("one", 30), ...side("other", 30 + warmer)],
  } as NetworkDocument;
};

describe("of places that are equally bad a warning names the first", () => {
  test("in every answer of a symmetric network", () => {
    const changes = { "nodes.s.entry": 0.25, "nodes.s.elevation": 0.1 };
    const nodes = bridge.nodes.map((node) => (node.id === "s" ? { ...node, entry: 0.25, elevation: 0.1 } : node));
    const warm = compileNetwork(bridge).solve(changes);
    const cold = solveNetwork({ ...bridge, nodes } as NetworkDocument);
    for (const { warnings } of [warm, cold]) expect(pathOf(warnings, "junction.no-loss")).toBe("nodes.u");
  });

  test("of junctions, until another has clearly faster air", () => {
    const faster = (share: number) =>
      pathWith(bridge, "junction.no-loss", ({ ducts }) => {
        for (const id of ["d1", "d2"])
          ducts[id].velocityPressure = (1 + share) * ducts[id.replace("d", "u")].velocityPressure;
      });
    expect(faster(1e-9)).toBe("nodes.u");
    expect(faster(1e-5)).toBe("nodes.d");
  });

  test("of fittings, until another has a clearly lower Reynolds number", () => {
    const slower = (share: number) =>
      pathWith(bends, "fitting.reynolds", ({ ducts }) => {
        const [one, other] = ["one", "other"].map((id) => ducts[id].fittings?.[0].outside?.[0]);
        if (one !== undefined && other !== undefined) other.value = (1 - share) * one.value;
      });
    expect(slower(1e-9)).toBe("ducts.one.fittings.0");
    expect(slower(1e-5)).toBe("ducts.other.fittings.0");
  });

  test("of places where airs meet, until others clearly differ more", () => {
    const unchanged = () => {};
    expect(pathWith(mixing(1e-6), "air.mixed", unchanged)).toBe("nodes.one");
    expect(pathWith(mixing(0.01), "air.mixed", unchanged)).toBe("nodes.other");
  });
});
