/** Writes the document's JSON Schema, as the built package gives it, to dist/schema.json. */
import { writeFileSync } from "node:fs";
import { networkSchema } from "ductgraph";

writeFileSync("dist/schema.json", `${JSON.stringify(networkSchema(), null, 2)}\n`);
