import fc from "fast-check";
import type { NetworkDocument } from "../../src/index.js";

type Document = Omit<NetworkDocument, "format">;
type Model = "gardel" | "idelchik" | "momentum";

/** Numbers of a range in 10,000 steps: no document is written in units of the last bit. */
export const within = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 10_000 }).map((step) => min + ((max - min) * step) / 10_000);
const ports = ["a", "b", "branch"] as const;

const tees = (model: fc.Arbitrary<Model>) =>
  fc.record({
    model,
    angle: within(Math.PI / 9, (8 * Math.PI) / 9),
    edgeRadius: within(0, 0.12),
    /** The port by which it hangs on the tees before it, and on which of their open ends. */
    port: fc.constantFrom(...ports),
    end: fc.nat(),
    mainGiven: fc.boolean(),
  });

/** Ducts and what stands at their outer ends. */
const runs = fc.record({
  diameter: fc.constantFrom(0.1, 0.125, 0.16, 0.2),
  length: within(0.5, 10),
  coefficient: within(0, 3),
  turned: fc.boolean(),
  pressure: within(-60, 60),
});

const largestTees = 5;

/** Trees of one to five tees between outdoor ends at pressures as they fall, so that air converges, diverges and turns round. */
export const teeNetworks = (
  model: fc.Arbitrary<Model> = fc.constantFrom<Model>("gardel", "idelchik", "momentum"),
): fc.Arbitrary<Document> =>
  fc
    .record({
      tees: fc.array(tees(model), { minLength: 1, maxLength: largestTees }),
      runs: fc.array(runs, { minLength: 2 * largestTees + 1, maxLength: 2 * largestTees + 1 }),
    })
    .map(({ tees: drawn, runs: lines }) => {
      const open: string[] = [];
      const joins: [from: string, to: string][] = [];
      drawn.forEach(({ port, end }, i) => {
        if (i > 0) joins.push([...open.splice(end % open.length, 1), `t${i}.${port}`] as [string, string]);
        open.push(...ports.filter((one) => i === 0 || one !== port).map((one) => `t${i}.${one}`));
      });
      const outer = open.map((end, i): [string, string] => [end, `o${i}`]);
      const diameters = new Map<string, number>();
      const ducts = [...joins, ...outer].map(([one, other], i) => {
        const { diameter, length, coefficient, turned } = lines[i];
        for (const end of [one, other]) diameters.set(end, diameter);
        const [from, to] = turned ? [other, one] : [one, other];
        const fittings = [{ kind: "fixed" as const, coefficient }];
        return { id: `d${i}`, from, to, length, section: { diameter }, fittings };
      });
      const nodes = drawn.map(({ port: _, end: __, mainGiven, ...tee }, i) => {
        const [a, b, branch] = ports.map((port) => diameters.get(`t${i}.${port}`) ?? 0);
        const straight = Math.max(a, b);
        // A branch may have at most 1.2 of the main's area.
        const needed = branch ** 2 > 1.2 * straight ** 2;
        const main = mainGiven || needed ? { main: { diameter: Math.max(straight, branch) } } : {};
        return { id: `t${i}`, kind: "tee" as const, ...tee, ...main };
      });
      const ends = outer.map(([, id], i) => ({
        id,
        kind: "outdoors" as const,
        entry: 0.5,
        exit: 1,
        pressure: lines[joins.length + i].pressure,
      }));
      return { nodes: [...nodes, ...ends], ducts };
    });

/** The same network, the ends of every main swapped. */
export const mirrored = ({ nodes = [], ducts = [], ...root }: Document): Document => {
  const swapped = (end: string): string => end.replace(/\.(a|b)$/, (_, port: string) => (port === "a" ? ".b" : ".a"));
  return {
    ...root,
    nodes: nodes.map((node) => (node.kind === "tee" ? { ...node, angle: Math.PI - Number(node.angle) } : node)),
    ducts: ducts.map((duct) => ({ ...duct, from: swapped(duct.from), to: swapped(duct.to) })),
  };
};
