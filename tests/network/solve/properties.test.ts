import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  indexRun,
  type Network,
  type NetworkDocument,
  parseNetwork,
  pressurePath,
  type Solution,
  solveNetwork,
} from "../../../src/index.js";
import { changed, closely, closelyInMotion, expectEqual, flowsOf, pressuresOf } from "../../helpers/comparison.js";
import type { PlainNetwork } from "../../helpers/evaluator/document.js";
import { areaOf, terminalLoss } from "../../helpers/evaluator/losses.js";
import { Reading } from "../../helpers/evaluator/reading.js";
import { expectSolved } from "../../helpers/evaluator.js";
import { loopSums } from "../../helpers/loops.js";
import { asTexts, networks, twins, within } from "../../helpers/networks.js";

/*
 * Laws that hold in every network, on random ones. Where networks with hump-shaped fans are left out, it is because they
 * may have several answers.
 */

type Node = NetworkDocument["nodes"][number];
type Duct = NonNullable<NetworkDocument["ducts"]>[number];

const runs = 80;

/** Holds a fact of random networks, always the same ones. */
const holds = <Args extends [unknown, ...unknown[]]>(
  arbitraries: { [K in keyof Args]: fc.Arbitrary<Args[K]> },
  fact: (...args: Args) => void,
): void => fc.assert(fc.property(...arbitraries, fact), { seed: 20260, numRuns: runs });

/** Solves as closely as it goes, so that equal networks have equal answers. */
const solve = (document: Network | NetworkDocument): Solution => solveNetwork(document, { tolerance: 1e-4 });
const share = 1e-9;

const expectSameFlows = (found: Solution, expected: Solution): void =>
  expectEqual(flowsOf(found), flowsOf(expected), closelyInMotion);
/** Flows and pressures. */
const expectSame = (found: Solution, expected: Solution): void => {
  expectSameFlows(found, expected);
  expectEqual(pressuresOf(found), pressuresOf(expected), closely);
};

const withDucts = (document: NetworkDocument, change: (duct: Duct, index: number) => Duct[]): NetworkDocument => ({
  ...document,
  ducts: document.ducts?.flatMap(change),
});
const withNodes = (document: NetworkDocument, change: (node: Node, index: number) => Node[]): NetworkDocument => ({
  ...document,
  nodes: document.nodes.flatMap(change),
});
const idOf = (end: string): string => end.split(".")[0];
const kindAt = ({ nodes }: NetworkDocument, end: string): string | undefined =>
  nodes.find(({ id }) => id === idOf(end))?.kind;

describe("every answer", () => {
  test("keeps mass at every node and the law of every element, by the second evaluator", () => {
    holds([networks({ humps: true, short: true })], (document) => {
      const network = parseNetwork(document);
      expectSolved(network, solveNetwork(network));
      expectSolved(network, solve(network), 1e-4);
    });
  });

  test("has no pressure left over round any loop", () => {
    let loops = 0;
    holds([networks({ humps: true, short: true })], (document) => {
      const network = parseNetwork(document);
      const solution = solveNetwork(network);
      const sums = loopSums(network, solution);
      loops += sums.length;
      const branches = network.ducts.length + network.nodes.length + network.openings.length;
      for (const sum of sums) expect(Math.abs(sum)).toBeLessThanOrEqual(1e-6 * branches);
    });
    expect(loops).toBeGreaterThan(5 * runs);
  });

  test("of one air has fans that give what all else takes: the sum of flow times pressure", () => {
    holds([networks({ fansOnly: true })], (document) => {
      const { ducts, terminals, fans, airHandlers } = solve(document);
      const streams = Object.values(airHandlers).flatMap(({ supply, extract }) => [supply, extract]);
      const given = [
        ...Object.entries(fans).map(([name, fan]) => (name.startsWith("unit.") ? 0 : fan.airPower)),
        ...streams.map((stream) => (stream === undefined ? 0 : stream.flow * stream.externalTotalPressure)),
      ];
      const taken = [
        ...Object.values(ducts).map(({ flow, totalLoss }) => flow * totalLoss),
        ...Object.values(terminals).map(({ flow, pressureLoss }) => flow * pressureLoss),
      ];
      const sum = (values: number[]): number => values.reduce((total, value) => total + value, 0);
      for (const loss of taken) expect(loss).toBeGreaterThanOrEqual(0);
      expect(Math.abs(sum(given) / sum(taken) - 1)).toBeLessThanOrEqual(1e-9);
    });
  });

  test("falls along the air's way from where it comes to the room, and back outdoors", () => {
    let paths = 0;
    holds([networks()], (document) => {
      const network = parseNetwork(document);
      const solution = solve(network);
      const reading = new Reading(network, solution);
      for (const node of network.nodes) {
        if (node.kind !== "terminal" || Math.abs(solution.terminals[node.id].flow) < 1e-6) continue;
        const path = pressurePath(network, solution, node.id);
        const last = path[path.length - 1];
        const [list, id] = last.path.split(".");
        if (list === "terminals") {
          // Air may go on by another terminal's valve: the path then ends in that one's room.
          const valve = network.nodes.find((one) => one.id === id) as typeof node;
          const faced = valve.room === undefined ? 0 : reading.pressureAtHeight(valve.room, valve.elevation);
          expect(Math.abs(last.totalPressure - faced)).toBeLessThanOrEqual(1e-8);
        } else {
          const duct = network.ducts.find((one) => one.id === id)!;
          const end = solution.ducts[id].flow > 0 ? duct.to : duct.from;
          expect(Math.abs(last.totalPressure - reading.pressureAt(end))).toBeLessThanOrEqual(1e-8);
        }
        paths += 1;
      }
    });
    expect(paths).toBeGreaterThan(2 * runs);
  });
});

describe("what a document says and how it says it", () => {
  test("parsing what was parsed changes nothing", () => {
    holds([networks({ humps: true, short: true })], (document) => {
      const network = parseNetwork(document);
      const again = parseNetwork(JSON.parse(JSON.stringify(network)));
      expect(again).not.toBe(network);
      expect(again).toEqual(network);
    });
  });

  test("quantities as texts in any unit are the same quantities", () => {
    holds([networks({ humps: true, short: true })], (document) => {
      const [numbers, texts] = [parseNetwork(document), parseNetwork(asTexts(document))];
      const pairs = (a: unknown, b: unknown, path: string): void => {
        if (typeof a === "number" && typeof b === "number") {
          expect(Math.abs(a - b), path).toBeLessThanOrEqual(
            1e-14 * Math.max(Math.abs(a), path.includes("temp") ? 300 : 0),
          );
        } else if (typeof a === "object" && a !== null) {
          expect(Object.keys(b as object)).toEqual(Object.keys(a));
          for (const [key, value] of Object.entries(a)) pairs(value, (b as typeof a)[key as never], `${path}.${key}`);
        } else expect(b).toBe(a);
      };
      pairs(numbers, texts, "");
    });
    holds([networks()], (document) => expectSame(solve(asTexts(document)), solve(document)));
  });

  test("names do not matter", () => {
    const name = (end: string): string => end.replace(/^[^.]+/, (id) => `Z-${[...id].reverse().join("")}`);
    holds([networks({ rough: true })], (document) => {
      const renamed: NetworkDocument = {
        ...document,
        nodes: document.nodes.map((node) => ({
          ...node,
          id: name(node.id),
          ...("room" in node && node.room !== undefined ? { room: name(node.room) } : {}),
        })),
        ducts: document.ducts?.map((duct) => ({
          ...duct,
          id: name(duct.id),
          from: name(duct.from),
          to: name(duct.to),
        })),
        openings: document.openings?.map((one) => ({
          ...one,
          id: name(one.id),
          from: name(one.from),
          to: name(one.to),
        })),
      };
      const [found, expected] = [solve(renamed), solve(document)];
      const inList = (path: string): string => path.replace(/^(\w+)\.(.*)$/, (_, list, id) => `${list}.${name(id)}`);
      expectEqual(flowsOf(found), changed(flowsOf(expected), 1, inList), closely);
      expectEqual(pressuresOf(found), changed(pressuresOf(expected), 1, name), closely);
    });
  });

  test("the order of nodes, ducts and openings does not matter", () => {
    const shuffled = <T>(list: readonly T[] | undefined, keys: readonly number[]): T[] =>
      (list ?? [])
        .map((item, i) => ({ item, key: keys[i % keys.length] * (1 + i) }))
        .sort((a, b) => a.key - b.key)
        .map(({ item }) => item);
    const orders = fc.array(fc.integer({ min: -9, max: 9 }), { minLength: 5, maxLength: 20 });
    holds([networks({ rough: true }), orders], (document, keys) => {
      const other: NetworkDocument = {
        ...document,
        nodes: shuffled(document.nodes, keys),
        ducts: shuffled(document.ducts, keys),
        openings: shuffled(document.openings, keys),
      };
      const [found, expected] = [solve(other), solve(document)];
      expectEqual(flowsOf(found), flowsOf(expected), closely);
      expectEqual(pressuresOf(found), pressuresOf(expected), closely);
    });
  });

  test("turning a duct or an opening round turns its signs and ends only", () => {
    holds([networks({ rough: true }), fc.infiniteStream(fc.boolean())], (document, choices) => {
      const turned = new Set<string>();
      const turn = <T extends { id: string; from: string; to: string }>(list: string, one: T): T => {
        if (choices.next().value) return one;
        turned.add(`${list}.${one.id}`);
        return { ...one, from: one.to, to: one.from };
      };
      const other: NetworkDocument = {
        ...document,
        ducts: document.ducts?.map((duct) => turn("ducts", duct)),
        openings: document.openings?.map((one) => turn("openings", one)),
      };
      const [found, expected] = [solve(other), solve(document)];
      const flows = flowsOf(found);
      for (const path of turned) flows[path] = -flows[path];
      expectEqual(flows, flowsOf(expected), closely);
      expectEqual(pressuresOf(found), pressuresOf(expected), closely);
      const most = Math.max(...Object.values(pressuresOf(expected)).map(Math.abs));
      for (const path of turned) {
        if (!path.startsWith("ducts.")) continue;
        const [one, two] = [found, expected].map(({ ducts }) => ducts[path.slice(6)]);
        const pairs = [
          [one.entryLoss, -two.entryLoss],
          [one.exitLoss, -two.exitLoss],
          [one.buoyancy, -two.buoyancy],
          [one.inlet.totalPressure, two.outlet.totalPressure],
          [one.outlet.staticPressure, two.inlet.staticPressure],
        ];
        for (const [a, b] of pairs) expect(Math.abs(a - b), path).toBeLessThanOrEqual(1e-8 * most);
      }
    });
  });
});

describe("heights and levels", () => {
  test("the whole network may stand higher: pressures count against outdoor air at the same height", () => {
    holds([networks(), within(-50, 200)], (document, rise) => {
      const raised = {
        ...withNodes(document, (node) => [{ ...node, elevation: Number(node.elevation ?? 0) + rise }]),
        openings: document.openings?.map((one) =>
          one.elevation === undefined ? one : { ...one, elevation: Number(one.elevation) + rise },
        ),
      };
      expectSame(solve(raised), solve(document));
    });
  });

  /** Gives each terminal without a room one of its own at gauge 0 and its own height, with some other air. */
  const withRooms = (document: NetworkDocument): NetworkDocument =>
    withNodes(document, (node) => {
      if (node.kind !== "terminal" || node.room !== undefined) return [node];
      const { id, elevation = 0 } = node;
      const room = { id: `${id}-room`, kind: "room" as const, elevation, pressure: 0, air: { density: 1.1 } };
      return [{ ...node, room: room.id }, room];
    });

  test("a terminal without a room faces a room at gauge 0 at its own height", () => {
    holds([networks()], (document) => {
      const [found, expected] = [solve(withRooms(document)), solve(document)];
      expectSameFlows(found, expected);
    });
  });

  test("all given pressures may be higher: only their differences move air", () => {
    holds([networks(), within(-100, 100)], (document, more) => {
      const roomed = withRooms(document);
      const lifted = withNodes(roomed, (node) => {
        if (node.kind === "outdoors") return [{ ...node, pressure: Number(node.pressure ?? 0) + more }];
        if (node.kind !== "room" || node.pressure === undefined) return [node];
        return [{ ...node, pressure: Number(node.pressure) + more }];
      });
      const [found, expected] = [solve(lifted), solve(roomed)];
      expectSameFlows(found, expected);
    });
  });

  test("a duct cut in two by a junction at any height carries what it carried", () => {
    holds([networks(), fc.nat(100), within(-5, 15), within(0.01, 0.99)], (document, number, elevation, part) => {
      const at = number % (document.ducts?.length ?? 1);
      const cut = withDucts(
        { ...document, nodes: [...document.nodes, { id: "cut", kind: "junction", elevation }] },
        (duct, index) => {
          if (index !== at) return [duct];
          const { fittings: _, ...bare } = duct;
          const length = Number(duct.length);
          return [
            { ...duct, to: "cut", length: length * part },
            { ...bare, id: "second", from: "cut", length: length * (1 - part) },
          ];
        },
      );
      const flows = flowsOf(solve(cut));
      const expected = flowsOf(solve(document));
      const first = `ducts.${document.ducts?.[at].id}`;
      expect(Math.abs(flows["ducts.second"] - flows[first])).toBeLessThanOrEqual(
        share * Math.max(...Object.values(expected).map(Math.abs)),
      );
      delete flows["ducts.second"];
      expectEqual(flows, expected, closelyInMotion);
    });
  });

  test("without fans, wind and warm air nothing moves", () => {
    holds([networks({ fansOnly: true })], (document) => {
      const stopped = { pressure: 20, flow: 0.1 };
      const resting = withNodes(document, (node) => {
        if (node.kind === "fan") return [{ ...node, speed: 0, stopped }];
        if (node.kind !== "airHandler") return [node];
        const { supply, extract, ...rest } = node;
        const still = <S extends { fan: object }>(stream: S | undefined, name: string) =>
          stream === undefined ? {} : { [name]: { ...stream, fan: { ...stream.fan, speed: 0, stopped } } };
        return [{ ...rest, ...still(supply, "supply"), ...still(extract, "extract") }];
      });
      const solution = solve(resting);
      for (const pressure of Object.values(pressuresOf(solution))) expect(Math.abs(pressure)).toBeLessThanOrEqual(1e-8);
      // A quadratic loss of 1e-10 Pa lets some 1e-7 m³/s pass.
      for (const flow of Object.values(flowsOf(solution))) expect(Math.abs(flow)).toBeLessThanOrEqual(1e-5);
    });
  });
});

describe("side by side", () => {
  test("equal halves carry equal flows, and what joins them carries none", () => {
    holds([twins({ rough: true })], (document) => {
      const flows = flowsOf(solve(document));
      const most = 1e-8 * Math.max(...Object.values(flows).map(Math.abs));
      for (const [path, flow] of Object.entries(flows)) {
        const other = path.replace(".a", ".b");
        if (/^\w+\.a/.test(path)) expect(Math.abs(flow - flows[other]), path).toBeLessThanOrEqual(most);
        // Between two bridges air may turn round and round, with little to hold it.
        if (path.includes("bridge")) expect(Math.abs(flow), path).toBeLessThanOrEqual(10 * most);
      }
    });
  });

  test("runs in parallel are as many equal ducts", () => {
    let compared = 0;
    holds([networks(), fc.nat(100), fc.integer({ min: 2, max: 4 })], (document, number, count) => {
      // A port takes one duct; a terminal with several has a box; an outdoors section is that of a whole duct.
      const joinable = (document.ducts ?? []).filter(({ from, to }) =>
        [from, to].every((end) => ["junction", "plenum", "room"].includes(kindAt(document, end) ?? "")),
      );
      if (joinable.length === 0) return;
      const { id } = joinable[number % joinable.length];
      const single = ({ parallel: _, ...duct }: Duct, i: number): Duct => ({
        ...duct,
        id: i === 0 ? id : `${id}-${i}`,
      });
      const together = withDucts(document, (duct) => [duct.id === id ? { ...duct, parallel: count } : duct]);
      const apart = withDucts(document, (duct) =>
        duct.id === id ? Array.from({ length: count }, (_, i) => single(duct, i)) : [duct],
      );
      const flows = flowsOf(solve(apart));
      for (let i = 1; i < count; i++) {
        flows[`ducts.${id}`] += flows[`ducts.${id}-${i}`];
        delete flows[`ducts.${id}-${i}`];
      }
      expectEqual(flows, flowsOf(solve(together)), closelyInMotion);
      compared += 1;
    });
    expect(compared).toBeGreaterThan(runs / 3);
  });

  test("systems that share nothing do not know of each other", () => {
    holds([networks({ fansOnly: true, alone: true }), networks({ fansOnly: true, alone: true })], (one, other) => {
      const suffixed = (end: string): string => end.replace(/^[^.]+/, (id) => `${id}-other`);
      const moved = other.nodes.map((node) => ({ ...node, id: suffixed(node.id) }));
      const laid = other.ducts?.map((duct) => ({
        ...duct,
        id: suffixed(duct.id),
        from: suffixed(duct.from),
        to: suffixed(duct.to),
      }));
      const both = { ...one, nodes: [...moved, ...one.nodes], ducts: [...(one.ducts ?? []), ...(laid ?? [])] };
      const found = flowsOf(solve(both));
      const alone = { ...flowsOf(solve(one)) };
      const { air, friction } = one;
      const beside = flowsOf(solve({ format: "ductgraph/1", air, friction, nodes: other.nodes, ducts: other.ducts }));
      for (const [path, flow] of Object.entries(beside)) alone[path.replace(/^(\w+\.)/, "$1").concat("-other")] = flow;
      expectEqual(found, alone, closelyInMotion);
    });
  });
});

describe("fans", () => {
  /** More resistance in one duct; the flow of the only fan before and after. */
  const flowBeforeAndAfter = (document: NetworkDocument, number: number, coefficient: number): [number, number] => {
    const at = number % (document.ducts?.length ?? 1);
    const throttled = withDucts(document, (duct, index) => [
      index === at ? { ...duct, fittings: [...(duct.fittings ?? []), { kind: "fixed", coefficient }] } : duct,
    ]);
    return [solve(document).fans.fan0.flow, solve(throttled).fans.fan0.flow];
  };
  const only = { fansOnly: true, alone: true };

  test("a falling fan without other sources never gives more for more resistance in a tree, whatever its laws", () => {
    holds([networks({ ...only, tree: true }), fc.nat(100), within(0.1, 50)], (document, number, coefficient) => {
      const [before, after] = flowBeforeAndAfter(document, number, coefficient);
      expect(after).toBeLessThanOrEqual(before * (1 + share));
    });
  });

  // With loops and laws of different exponents a bridge may force air round a worse way, so that closing it helps.
  test("nor with loops, where all losses follow the square of the flow", () => {
    holds([networks({ ...only, quadratic: true }), fc.nat(100), within(0.1, 50)], (document, number, coefficient) => {
      const [before, after] = flowBeforeAndAfter(document, number, coefficient);
      expect(after).toBeLessThanOrEqual(before * (1 + share));
    });
  });

  const atSpeeds = (document: NetworkDocument, n: number): NetworkDocument =>
    withNodes(document, (node) => {
      const faster = <F extends { speed?: number }>(fan: F): F => ({ ...fan, speed: n * (fan.speed ?? 1) });
      if (node.kind === "fan") return [faster(node)];
      if (node.kind !== "airHandler") return [node];
      const { supply, extract, ...rest } = node;
      return [
        {
          ...rest,
          ...(supply === undefined ? {} : { supply: { ...supply, fan: faster(supply.fan) } }),
          ...(extract === undefined ? {} : { extract: { ...extract, fan: faster(extract.fan) } }),
        },
      ];
    });

  const powersOf = ({ fans }: Solution): Record<string, number> =>
    Object.fromEntries(
      Object.entries(fans).flatMap(([name, { power }]) => (power === undefined ? [] : [[name, power]])),
    );

  test("n times as fast they give n times the flow, n² the pressure and take n³ the power against quadratic losses", () => {
    holds([networks({ fansOnly: true, quadratic: true }), within(0.3, 3)], (document, n) => {
      const [found, expected] = [solve(atSpeeds(document, n)), solve(document)];
      expectEqual(flowsOf(found), changed(flowsOf(expected), n), closelyInMotion);
      expectEqual(pressuresOf(found), changed(pressuresOf(expected), n ** 2), closely);
      expectEqual(powersOf(found), changed(powersOf(expected), n ** 3), closely);
    });
  });

  test("in air of n times the density they give the same flow, n times the pressure and take n times the power", () => {
    holds([networks({ fansOnly: true, quadratic: true }), within(0.5, 2)], (document, n) => {
      const [found, expected] = [n, 1].map((density) => solve({ ...document, air: { density } }));
      expectSameFlows(found, expected);
      expectEqual(pressuresOf(found), changed(pressuresOf(expected), n), closely);
      expectEqual(powersOf(found), changed(powersOf(expected), n), closely);
    });
  });
});

describe("the index run", () => {
  /** A terminal's own law at its design flow, fully open [Pa], with its air and its design mass flow [kg/s]. */
  const design = (network: PlainNetwork, reading: Reading, id: string) => {
    const { open, loss, service, designFlow } = network.nodes.find((node) => node.id === id)! as Required<
      PlainNetwork["nodes"][number] & { open: PlainNetwork["nodes"][number]["loss"] }
    >;
    const ducts = reading.ductsAt(id);
    const air = reading.airOf(ducts[0].air);
    const area = ducts.reduce((sum, { section, parallel = 1 }) => sum + parallel * areaOf(section), 0);
    return { air, designFlow, openLoss: terminalLoss(open ?? loss, service, area, air, designFlow) };
  };

  /** The network with a fan that gives just `pressure` at its design flow, and valves that take the excesses. */
  const balanced = (network: Network, fanName: string): Network => {
    const run = indexRun(network, fanName);
    const reading = new Reading(network, {} as Solution);
    let massFlow = 0;
    const losses = new Map<string, object>();
    for (const { terminal, excess } of run.terminals) {
      const { air, designFlow, openLoss } = design(network, reading, terminal);
      massFlow += designFlow * air.density;
      const rating = { pressure: openLoss + excess, flow: designFlow };
      losses.set(terminal, { ...rating, density: air.density, viscosity: air.viscosity });
    }
    const fanOfDesign = <F extends { curve?: object }>(fan: F, port: string): F => {
      const { density } = reading.airOf(reading.ductsAt(port)[0].air);
      const flow = massFlow / density;
      const points = [
        { flow: 0, pressure: run.requiredPressure + 50 },
        { flow: 2 * flow, pressure: run.requiredPressure - 50 },
      ];
      return { ...fan, speed: 1, curve: { ...fan.curve, pressureKind: "total", density, points } };
    };
    const [unit, side] = fanName.split(".");
    const nodes = network.nodes.map((node) => {
      if (losses.has(node.id)) return { ...node, loss: losses.get(node.id) };
      if (node.id !== unit) return node;
      if (node.kind === "fan") return fanOfDesign(node, `${unit}.inlet`);
      const stream = (node as unknown as Record<string, { fanAt?: string; fan: object }>)[side];
      const [before, after] = side === "supply" ? ["intake", "supply"] : ["extract", "exhaust"];
      const port = `${unit}.${stream.fanAt === "outlet" ? after : before}`;
      return { ...node, [side]: { ...stream, fan: fanOfDesign(stream.fan, port) } };
    });
    return parseNetwork({ ...network, nodes });
  };

  test("its pressure and the excesses at the valves make every terminal run at its design flow", () => {
    let terminals = 0;
    holds([networks({ designed: true })], (document) => {
      const network = parseNetwork(document);
      for (const fanName of Object.keys(solve(network).fans)) {
        const run = indexRun(network, fanName);
        const set = balanced(network, fanName);
        const solution = solve(set);
        expectSolved(set, solution, 1e-4);
        expect(run.terminals[0]).toEqual({ ...run.terminals[0], terminal: run.terminal, excess: 0 });
        for (const { terminal, excess } of run.terminals) {
          expect(excess).toBeGreaterThanOrEqual(0);
          expect(Math.abs(solution.terminals[terminal].ratio! - 1), `${fanName} ${terminal}`).toBeLessThanOrEqual(1e-6);
          terminals += 1;
        }
        expect(Math.abs(solution.fans[fanName].totalPressure - run.requiredPressure)).toBeLessThanOrEqual(1e-6);
      }
    });
    expect(terminals).toBeGreaterThan(2 * runs);
  });

  test("its path ends at the room that the index terminal serves, or outdoors", () => {
    holds([networks({ designed: true })], (document) => {
      const network = parseNetwork(document);
      for (const fanName of Object.keys(solve(network).fans)) {
        const { path, terminal } = indexRun(network, fanName);
        const [first, last] = [path[0], path[path.length - 1]];
        const node = network.nodes.find(({ id }) => id === terminal)!;
        if (node.kind !== "terminal") throw new Error("no terminal");
        const reading = new Reading(network, { nodes: {} } as Solution);
        const room = network.nodes.find(({ id }) => id === node.room);
        const given = room !== undefined && "pressure" in room ? (room.pressure ?? 0) : 0;
        const { density } = room === undefined ? reading.outdoorAir : reading.airIn(room);
        const column = (density - reading.outdoorAir.density) * 9.80665 * (node.elevation - (room?.elevation ?? 0));
        const faced = given - (room === undefined ? 0 : column);
        const [inRoom, outdoors] = node.service === "supply" ? [last, first] : [first, last];
        expect(Math.abs(inRoom.totalPressure - faced)).toBeLessThanOrEqual(1e-4);
        const outside = network.nodes.filter(({ kind }) => kind === "outdoors");
        const pressures = outside.map((one) => ("pressure" in one ? (one.pressure ?? 0) : 0));
        expect(Math.min(...pressures.map((one) => Math.abs(one - outdoors.totalPressure)))).toBeLessThanOrEqual(1e-4);
      }
    });
  });
});
