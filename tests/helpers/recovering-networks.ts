import fc from "fast-check";
import type { NetworkDocument } from "../../src/index.js";
import { type Manner, networks } from "./networks.js";

/**
 * Random networks with a unit of both streams, which gives an exchanger, so that most of their ducts inherit their air; one
 * in four names its own. In half of them terminals serve what their side of the unit does, in the others anything.
 */
export const recoveringNetworks = (manner: Manner = {}): fc.Arbitrary<NetworkDocument> =>
  fc
    .tuple(networks(manner), fc.integer({ min: 0, max: 100 }), fc.boolean())
    .map(([document, percent, usual]): NetworkDocument | undefined => {
      const unit = document.nodes.find(({ kind }) => kind === "airHandler");
      if (unit?.kind !== "airHandler" || unit.supply === undefined || unit.extract === undefined) return undefined;
      const nodes = document.nodes.map((node) => {
        if (node === unit) return { ...unit, exchanger: { efficiency: percent / 100 } };
        if (!usual || node.kind !== "terminal") return node;
        const service = node.id.startsWith("ue") ? "extract" : "supply";
        return { ...node, service, loss: { coefficient: 20 }, open: undefined };
      });
      const ducts = document.ducts?.map((duct, i) => (i % 4 === 0 ? duct : { ...duct, air: undefined }));
      // As in a file: a key without a value is not there.
      return JSON.parse(JSON.stringify({ ...document, nodes, ducts })) as NetworkDocument;
    })
    .filter((document) => document !== undefined);
