import { expect, test } from "vitest";
import { type NetworkDocument, parseNetwork, type Solution, solveNetwork } from "../../../src/index.js";
import { controlledBuilding } from "../../helpers/control-buildings.js";
import { controlledDocument } from "../../helpers/control-networks.js";

type Part = { control?: object; speed?: number };

/** The document with every controlled fan at the speed that was found for it. */
const atFoundSpeeds = (document: NetworkDocument, { fans }: Solution): NetworkDocument => {
  const fixed = (part: Part, name: string): Part =>
    part.control === undefined ? part : { ...part, control: undefined, speed: fans[name].speed };
  const nodes = document.nodes.map((node) => {
    if (node.kind === "fan") return fixed(node as Part, node.id);
    if (node.kind !== "airHandler") return node;
    const side = (name: "supply" | "extract") => ({
      ...node[name],
      fan: fixed(node[name]?.fan as Part, `${node.id}.${name}`),
    });
    return { ...node, supply: side("supply"), extract: side("extract") };
  });
  return { ...document, nodes } as NetworkDocument;
};

test.each([
  ["networks", controlledDocument],
  ["buildings", controlledBuilding],
])(
  "control of 200 random %s gives the answer at fixed speed, at the speeds that it found, within 1e-9 of the flows",
  (_, documentOf) => {
    for (let seed = 20_001; seed <= 20_200; seed++) {
      const document = documentOf(seed);
      const held = solveNetwork(parseNetwork(document), { tolerance: 1e-4 });
      const fixed = solveNetwork(parseNetwork(atFoundSpeeds(document, held)), { tolerance: 1e-4, start: held });
      const largest = Math.max(...Object.values(held.ducts).map(({ flow }) => Math.abs(flow)));
      for (const [id, { flow }] of Object.entries(held.ducts)) {
        const difference = Math.abs(fixed.ducts[id].flow - flow) / largest;
        expect(difference, `seed ${seed}, duct ${id}`).toBeLessThan(1e-9);
      }
    }
  },
);
