import { type NetworkDocument, parseNetwork, SolveError, solveNetwork } from "../../src/index.js";
import { between, type Random, randomOf } from "./control-networks.js";
import { expectSolved } from "./evaluator.js";

const legs = ["a", "b", "branch"] as const;
const models = ["gardel", "idelchik", "momentum"] as const;

const pick = <T>(random: Random, choices: readonly T[]): T => choices[Math.floor(random() * choices.length)];

/** A tee of any kind that is allowed; most are slender, whose published forms can give power to the air. */
const teeOf = (random: Random, leastRatio: number) => {
  const slender = random() < 0.7;
  const turn = between(random, 20, slender ? 35 : 160);
  const ratio = slender ? between(random, 0.35, 1.2) : 10 ** between(random, Math.log10(leastRatio), Math.log10(1.2));
  const main = between(random, 0.1, 0.3);
  const other = random() < 0.7 ? main : between(random, 0.5, 1) * main;
  const [a, b] = random() < 0.5 ? [main, other] : [other, main];
  return {
    node: {
      model: pick(random, models),
      angle: ((random() < 0.5 ? turn : 180 - turn) * Math.PI) / 180,
      edgeRadius: random() < 0.5 ? 0 : between(random, 0, 0.12),
    },
    diameters: { a, b, branch: Math.sqrt(0.9999 * ratio) * main },
  };
};

/** Short ducts, in which air that is given power goes on for long. */
const lengthOf = (random: Random): number => 10 ** between(random, -2, 0.5);

/**
 * One to three tees whose legs all end at one or two junctions, by short ducts; small ducts lead outdoors. In networks of
 * even seeds branches have 0.001 of the main's area and more, and nothing at all moves the air. In those of odd seeds they
 * have 0.1 and more, and 1e-9 m³/s are brought in, so that rest is not found before the tees are asked.
 *
 * @param torn - Whether each leg ends outdoors instead, with wind on it: the same ducts in motion.
 */
const stillNetwork = (seed: number, torn: boolean): NetworkDocument => {
  const random = randomOf(seed);
  const count = pick(random, [1, 1, 2, 3]);
  const junctions = pick(random, [1, 2]);
  const wind = 10 ** between(random, -2, 2);
  const nodes: object[] = [];
  const ducts: object[] = [];
  for (let j = 0; j < junctions; j++) {
    const inflow = seed % 2 === 0 || j > 0 ? {} : { inflow: 1e-9 };
    nodes.push({ id: `j${j}`, kind: "junction", ...inflow }, { id: `o${j}`, kind: "outdoors", entry: 0.5, exit: 1 });
    ducts.push({ id: `o${j}`, from: `j${j}`, to: `o${j}`, length: 1, section: { diameter: 0.05 } });
  }
  for (let i = 0; i < count; i++) {
    const { node, diameters } = teeOf(random, seed % 2 === 0 ? 0.001 : 0.1);
    nodes.push({ id: `t${i}`, kind: "tee", ...node });
    for (const leg of legs) {
      const id = `t${i}${leg}`;
      const to = torn ? id : `j${Math.floor(junctions * random())}`;
      if (torn) nodes.push({ id, kind: "outdoors", entry: 0.5, exit: 1, pressure: between(random, -wind, wind) });
      const section = { diameter: diameters[leg] };
      const fittings = [{ kind: "fixed", coefficient: 0.02 }];
      ducts.push({ id, from: `t${i}.${leg}`, to, length: lengthOf(random), section, fittings });
    }
  }
  return { format: "ductgraph/1", nodes, ducts } as unknown as NetworkDocument;
};

/** Air as fast as this has a velocity pressure of 6e-5 Pa: it is what a tolerance of 1e-6 Pa leaves open. */
const stillness = 0.01;

/** Laws that are quadratic at rest are a long way to it. */
const maxIterations = 1000;

/** What came of a campaign. */
export interface StillCampaign {
  readonly rested: number;
  /** Seeds whose air went on moving, and how fast [m/s]. */
  readonly moving: string[];
  readonly failed: string[];
}

/** Solves networks of tees in which nothing moves the air, cold and from what wind left; judges the answer in wind too. */
export const stillCampaign = (first: number, last: number): StillCampaign => {
  const moving: string[] = [];
  const failed: string[] = [];
  let rested = 0;
  for (let seed = first; seed <= last; seed++) {
    try {
      const still = parseNetwork(stillNetwork(seed, false));
      const inWind = parseNetwork(stillNetwork(seed, true));
      const start = solveNetwork(inWind);
      expectSolved(inWind, start);
      for (const solution of [solveNetwork(still, { maxIterations }), solveNetwork(still, { start, maxIterations })]) {
        const fastest = Math.max(...Object.values(solution.ducts).map(({ velocity }) => Math.abs(velocity)));
        if (fastest <= stillness) rested++;
        else moving.push(`${seed}: ${fastest}`);
      }
    } catch (error) {
      failed.push(`${seed}: ${error instanceof SolveError ? error.status : String(error)}`);
    }
  }
  return { rested, moving, failed };
};
