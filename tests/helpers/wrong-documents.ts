/** The format of the documents. */
export const format = "ductgraph/1";
/** As many elements as are asked for. */
export const of = <T>(count: number, make: (i: number) => T): T[] => Array.from({ length: count }, (_, i) => make(i));
/** A duct from one node to another. */
export const duct = (id: string, from: string, to: string) => ({ id, from, to, length: 1, section: { diameter: 0.1 } });

/** A fan curve. */
export const curve = {
  pressureKind: "static",
  outlet: { diameter: 0.3 },
  points: [
    { flow: 0, pressure: 100, power: 10 },
    { flow: 0.1, pressure: 50, power: 15 },
  ],
};

/** Documents by their number of elements, each wrong in its own way, with how many problems one element has. */
export const wrongDocuments: readonly (readonly [string, (count: number) => unknown, number])[] = [
  ["wrong nodes", (count) => ({ format, nodes: of(count, () => 5) }), 1],
  ["wrong ducts", (count) => ({ format, nodes: [], ducts: of(count, () => ({ ...duct("d", "", ""), id: 5 })) }), 3],
  ["wrong openings", (count) => ({ format, nodes: [], openings: of(count, () => null) }), 1],
  ["nodes of one id", (count) => ({ format, nodes: of(count, () => ({ id: "a", kind: "room" })) }), 1],
  ["nodes of no use", (count) => ({ format, nodes: of(count, (i) => ({ id: `n${i}`, kind: "room" })) }), 1],
  [
    "misspelt ends among many names",
    (count) => ({
      format,
      nodes: of(count, (i) => ({ id: `node-${i}`, kind: "junction" })),
      ducts: of(count, (i) => duct(`d${i}`, `nod-${i}`, `nude-${i}`)),
    }),
    2,
  ],
  [
    "ducts at one port",
    (count) => ({
      format,
      nodes: [
        { id: "f", kind: "fan", curve },
        { id: "o", kind: "outdoors", coefficient: 1 },
      ],
      ducts: of(count, (i) => duct(`d${i}`, "o", "f.inlet")),
    }),
    1,
  ],
  [
    "parts without a reference",
    (count) => ({
      format,
      nodes: of(count, (i) => ({ id: `n${i}`, kind: "junction" })),
      ducts: of(count / 2, (i) => duct(`d${i}`, `n${2 * i}`, `n${2 * i + 1}`)),
    }),
    0.5,
  ],
  [
    "ducts without resistance side by side",
    (count) => ({
      format,
      nodes: of(2, (i) => ({ id: `n${i}`, kind: "outdoors", coefficient: 0 })),
      ducts: of(count, (i) => ({ ...duct(`d${i}`, "n0", "n1"), length: 0 })),
    }),
    1,
  ],
  [
    "a chain without resistance",
    (count) => ({
      format,
      nodes: of(count, (i) => ({
        id: `n${i}`,
        kind: i % (count - 1) === 0 ? "outdoors" : "junction",
        ...(i % (count - 1) === 0 ? { coefficient: 0 } : {}),
      })),
      ducts: of(count - 1, (i) => ({ ...duct(`d${i}`, `n${i}`, `n${i + 1}`), length: 0 })),
    }),
    0,
  ],
  [
    "unknown keys of the document",
    (count) => ({ format, nodes: [], ...Object.fromEntries(of(count, (i) => [`nodse${i}`, 1])) }),
    1,
  ],
  [
    "unknown keys of one node",
    (count) => ({
      format,
      nodes: [{ id: "a", kind: "room", ...Object.fromEntries(of(count, (i) => [`entri${i}`, 1])) }],
    }),
    1,
  ],
];

/** One family for each way that problems take, in such numbers that a spread of them would overflow the stack. */
export const countOf = (name: string): number =>
  /wrong nodes|one port|side by side|keys of the document/.test(name) ? 200_000 : 40_000;
