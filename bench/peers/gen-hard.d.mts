/** A hard network as a `ductgraph/1` document. */
export function hard(kind: "ends" | "bridges" | "hump" | "tees", size: number, seed: number): unknown;
