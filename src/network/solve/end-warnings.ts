import type { Network } from "../document/document.js";
import { outsideText } from "../elements/messages.js";
import { takesFrom } from "../elements/still-air-provenance.js";
import { lawsOf } from "../format/catalogue.js";
import type { Layout } from "../layout/layout.js";
import type { Solution, Warning } from "../results/solution.js";

/** Ends of ducts outdoors whose geometry their sources do not cover, and intakes whose face is too small for their air. */
export function* endWarnings(network: Network, layout: Layout, solution: Solution): Generator<Warning> {
  for (const node of network.nodes) {
    if (node.kind !== "outdoors" || node.end === undefined) continue;
    const path = `nodes.${node.id}.end`;
    const what = `'${node.end.kind}' at outdoors '${node.id}'`;
    const said = new Set<string>();
    for (const duct of layout.ductsAt(node.id)) {
      const laws = lawsOf(node.end, node.section ?? duct.section);
      for (const one of laws?.outside ?? []) {
        const message = outsideText(what, one);
        if (!said.has(message)) yield { code: "fitting.outside-range", path, message };
        said.add(message);
      }
      const face = layout.faceAt(layout.placeAt(node.id).point, duct);
      if (laws?.fastest === undefined || face === undefined || !takesFrom(node.id, duct, solution)) continue;
      const velocity = Math.abs(solution.ducts[duct.id].flow) / face;
      if (!(velocity > laws.fastest.velocity)) continue;
      const message = `${what} takes its air at ${velocity.toFixed(2)} m/s on its face, into duct '${duct.id}'; ${laws.fastest.why}: at most ${laws.fastest.velocity} m/s`;
      yield { code: "fitting.face-velocity", path, message };
    }
  }
}
