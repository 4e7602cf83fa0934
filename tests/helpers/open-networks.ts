import { type NetworkDocument, pressurePath, SolveError, solveNetwork } from "../../src/index.js";
import { between, randomOf } from "./control-networks.js";
import { fansOf, judged, pathFaults } from "./index-law.js";

/*
 * Random networks in which the air has other ways than through terminals: ducts to outdoors and into rooms, leaky
 * plenums, fans side by side and one after the other, bypasses, loops, air brought in and taken out at junctions.
 */

type Part = Record<string, unknown>;

/** One system as it grows: everything is written for supply air and turned round for extract air. */
class System {
  readonly nodes: Part[] = [];
  readonly ducts: Part[] = [];
  readonly openings: Part[] = [];

  constructor(
    readonly name: string,
    private readonly service: "supply" | "extract",
    private readonly random: () => number,
  ) {}

  chance(share: number): boolean {
    return this.random() < share;
  }

  some(from: number, to: number): number {
    return Number(between(this.random, from, to).toPrecision(4));
  }

  one<T>(list: readonly T[]): T {
    return list[Math.floor(this.random() * list.length)];
  }

  node(id: string, kind: string, more: object = {}): string {
    this.nodes.push({ id: `${this.name}${id}`, kind, ...more });
    return `${this.name}${id}`;
  }

  /** A duct by which supply air goes from one end to another. */
  duct(from: string, to: string, diameter: number, length = this.some(1, 12)): void {
    const [a, b] = this.service === "supply" ? [from, to] : [to, from];
    const fittings = this.chance(0.4) ? [{ kind: "fixed", coefficient: this.some(0.1, 2) }] : [];
    this.ducts.push({
      id: `${this.name}d${this.ducts.length}`,
      from: a,
      to: b,
      length,
      section: { diameter },
      fittings,
    });
  }

  /** A fan by which supply air goes on from one end to another. */
  fan(id: string, from: string, to: string, control: object = {}): void {
    const [p, q] = [this.some(60, 500), this.some(0.1, 0.5)];
    const points = [
      { flow: 0, pressure: p },
      { flow: q / 2, pressure: 0.8 * p },
      { flow: q, pressure: 0 },
    ];
    const fan = this.node(id, "fan", { curve: { pressureKind: "total", points }, ...control });
    const ports = this.service === "supply" ? ["inlet", "outlet"] : ["outlet", "inlet"];
    this.duct(from, `${fan}.${ports[0]}`, 0.2);
    this.duct(`${fan}.${ports[1]}`, to, 0.2);
  }

  terminal(id: string, hub: string, room: string | undefined): void {
    const designFlow = this.some(0.01, 0.06);
    const loss = { pressure: this.some(4, 40), flow: designFlow };
    const open = this.chance(0.3) ? { open: { pressure: loss.pressure / 2, flow: designFlow } } : {};
    const elevation = this.chance(0.3) ? { elevation: this.some(0, 6) } : {};
    const faced = room === undefined ? {} : { room };
    const rest = { service: this.service, designFlow, loss, ...open, ...elevation, ...faced };
    this.duct(hub, this.node(id, "terminal", rest), 0.125);
  }
}

/** Grows one system with all its open ends. */
const grow = (system: System): void => {
  const some = (from: number, to: number): number => system.some(from, to);
  const one = <T>(list: readonly T[]): T => system.one(list);
  const outside = system.node("o", "outdoors", {
    coefficient: 1,
    ...(system.chance(0.2) ? { pressure: some(-8, 8) } : {}),
  });
  const intake = system.node("i", "plenum");
  system.duct(outside, intake, 0.25);
  const kinds = ["junction", "plenum"] as const;
  const hubs: { id: string; kind: string }[] = [];
  const addHub = (): string => {
    const kind = one(kinds);
    const inflow = kind === "junction" && system.chance(0.15) ? { inflow: some(-0.01, 0.01) } : {};
    const id = system.node(`h${hubs.length}`, kind, inflow);
    hubs.push({ id, kind });
    return id;
  };
  const root = addHub();
  // One controlled fan a system: two may hold what follows from each other, which the document's checks refuse.
  const control = { kind: "flow", flow: some(0.05, 0.2) };
  const controlled = system.chance(0.4) ? one(["A", "B0", "B1"]) : "";
  const mayHold = (name: string): object => (name === controlled ? { control } : {});
  system.fan("A", intake, root, mayHold("A"));
  const count = 1 + Math.floor(system.some(0, 4));
  for (let k = 0; k < count; k++) {
    const from = one(hubs).id;
    const to = addHub();
    if (system.chance(0.25)) system.fan(`B${k}`, from, to, mayHold(`B${k}`));
    else system.duct(from, to, 0.16);
  }
  const room = system.node("r", "room", system.chance(0.3) ? { pressure: some(-4, 4) } : {});
  system.openings.push({ id: `${system.name}gap`, from: room, to: outside, area: some(0.002, 0.05) });
  hubs.forEach(({ id }, h) => {
    const terminals = h === 0 && hubs.length > 1 ? 0 : 1 + Math.floor(some(0, 2.5));
    for (let t = 0; t < terminals; t++) system.terminal(`t${h}${t}`, id, system.chance(0.4) ? room : undefined);
  });
  const hub = (): string => one(hubs).id;
  if (system.chance(0.3)) system.duct(hub(), system.node("bleed", "outdoors", { coefficient: 1 }), some(0.05, 0.125));
  if (system.chance(0.3)) system.duct(hub(), room, some(0.05, 0.125));
  if (system.chance(0.3)) system.duct(hub(), intake, some(0.05, 0.1));
  if (system.chance(0.35)) system.fan("C", system.chance(0.5) ? intake : outside, hub());
  if (system.chance(0.25) && hubs.length > 2) system.duct(hubs[0].id, hubs[hubs.length - 1].id, 0.125);
  const leaky = hubs.filter(({ kind }) => kind === "plenum");
  if (system.chance(0.4) && leaky.length > 0) {
    const [from, to] = [one(leaky).id, one([outside, room])];
    system.openings.push({ id: `${system.name}leak`, from, to, area: some(0.0001, 0.003) });
  }
};

/** A network of one or two systems with open ends, in outdoor air as heavy or heavier; ratings are at the density of its air. */
export const openNetwork = (seed: number): NetworkDocument => {
  const random = randomOf(seed);
  const systems = [new System("a", random() < 0.6 ? "supply" : "extract", random)];
  if (random() < 0.2) systems.push(new System("b", random() < 0.5 ? "supply" : "extract", random));
  for (const system of systems) grow(system);
  const cold = random() < 0.4 ? { outdoorAir: { density: 1.32 } } : {};
  return {
    format: "ductgraph/1",
    air: { density: 1.2 },
    ...cold,
    nodes: systems.flatMap(({ nodes }) => nodes),
    ducts: systems.flatMap(({ ducts }) => ducts),
    openings: systems.flatMap(({ openings }) => openings),
  } as unknown as NetworkDocument;
};

/** What came of a campaign. */
export interface IndexCampaign {
  /** Index runs held against their networks, and the terminals that they list. */
  readonly held: number;
  readonly terminals: number;
  /** Of the terminals, those with a share below 1. */
  readonly partly: number;
  /** Others that draw a fan's air as they are set, and of these, those that it could serve at design flow too. */
  readonly drawing: number;
  readonly open: number;
  /** Fans that their terminals do not need, and fans otherwise without an index run. */
  readonly needless: number;
  readonly refused: number;
  /** Paths through terminals of networks solved as they stand. */
  readonly paths: number;
  readonly faults: readonly string[];
}

/** Asks for the index run of every fan of networks for a range of seeds, and for the path through every terminal. */
export const indexCampaign = (first: number, last: number, networkOf = openNetwork): IndexCampaign => {
  const faults: string[] = [];
  const found = { held: 0, terminals: 0, partly: 0, drawing: 0, open: 0, needless: 0, refused: 0, paths: 0 };
  for (let seed = first; seed <= last; seed++) {
    const document = networkOf(seed);
    const note = (fault: string): number => faults.push(`${seed}: ${fault}`);
    try {
      const solution = solveNetwork(document, { tolerance: 1e-3 });
      for (const { id, kind } of document.nodes) {
        if (kind !== "terminal") continue;
        found.paths++;
        for (const fault of pathFaults(document, solution, id, pressurePath(document, solution, id))) note(fault);
      }
    } catch (error) {
      if (!(error instanceof SolveError)) throw error;
    }
    for (const { name: fan } of fansOf(document)) {
      const finding = judged(document, fan);
      if (finding.kind === "refused") {
        found.refused++;
        // Controllers may leave no choice, or hold their values and rest at limits in several states: that is said.
        const controlled = fansOf(document).some(({ part }) => part.control !== undefined);
        const known = /already fix the flow|more than one state|too little to too much/.test(finding.why);
        if (!controlled || !known) note(`${fan}: ${finding.why}`);
        continue;
      }
      for (const fault of finding.faults) note(`${fan}: ${fault}`);
      if (finding.kind === "needless") {
        found.needless++;
        continue;
      }
      found.held++;
      found.drawing += finding.beside.drawing;
      found.open += finding.beside.open;
      for (const { share } of finding.run.terminals) {
        found.terminals++;
        if (share < 1 - 1e-9) found.partly++;
      }
    }
  }
  return { ...found, faults };
};

/** One line for a report. */
export const indexSummary = (first: number, last: number, found: IndexCampaign): string =>
  `index runs, seeds ${first}–${last}: ${found.held} held with ${found.terminals} terminals, ${found.partly} in part, ${found.drawing} others that draw, ${found.open} of them at design flow too; ${found.needless} fans not needed; ${found.refused} refused; ${found.paths} paths; ${found.faults.length} faults`;
