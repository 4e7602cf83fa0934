import { isKnown, mixtureOf, towards } from "../../air/mixing.js";
import type { AirState } from "../../air/state.js";
import type { Climate } from "../elements/climate.js";
import { type PreheaterPart, preheated } from "../elements/heat-recovery.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import type { TerminalNode } from "../elements/kinds/terminal.js";
import type { Duct } from "../format/elements.js";
import type { AirSource, AirStreams, UnitSource } from "./air-streams.js";

/** Air on its way, with what it counts where it meets other air. */
interface Stream {
  readonly air: AirState;
  /** By the design flows of the terminals that it comes from [kg/s]; NaN where one of them has none. */
  readonly massFlow: number;
  /** How many terminals, rooms and outdoor ends it comes from. */
  readonly origins: number;
}

class Inheritance {
  private readonly streams: Stream[] = [];

  constructor(
    private readonly nodes: readonly NetworkNode[],
    private readonly ducts: readonly Duct[],
    private readonly climate: Climate,
  ) {}

  airsOf(streams: AirStreams["streams"]): readonly AirState[] {
    for (const sources of streams) this.streams.push(together(sources.map((source) => this.streamAt(source))));
    return this.streams.map(({ air }) => air);
  }

  private streamFrom(stream: number): Stream {
    return this.streams[stream] ?? { air: this.climate.network, massFlow: Number.NaN, origins: 1 };
  }

  private streamAt(source: AirSource): Stream {
    const { climate, ducts, nodes } = this;
    if ("unit" in source) return this.behindUnit(source);
    if ("stream" in source) {
      const stream = this.streamFrom(source.stream);
      return source.duct === undefined ? stream : { ...stream, air: climate.of(ducts[source.duct].air) };
    }
    const node = nodes[source.node];
    const air = node === undefined ? climate.network : kindOf(node).air(node, climate);
    const terminal = source.terminal === undefined ? undefined : (nodes[source.terminal] as TerminalNode);
    return { air, massFlow: (terminal?.designFlow ?? Number.NaN) * air.density, origins: 1 };
  }

  /** The air that leaves a unit: its exchanger brings both streams nearer to each other, each with its own water. */
  private behindUnit({ unit, service, supply, extract }: UnitSource): Stream {
    const node = this.nodes[unit];
    const { efficiency = 0, preheater } = kindOf(node).treatment?.(node) ?? {};
    const outside = this.streamFrom(supply);
    const inside = this.streamFrom(extract);
    // Equal mass flows are taken, and the design tells what comes from the rooms.
    const intake = warmed(outside.air, preheater, inside.massFlow);
    const [stream, own, other] = service === "supply" ? [outside, intake, inside.air] : [inside, inside.air, intake];
    if (efficiency === 0) return { ...stream, air: own };
    // The temperature of air given by its density is not known.
    if (!isKnown(own) || !isKnown(other)) return { ...stream, air: this.climate.network };
    return { ...stream, air: towards(own, efficiency, other.temperature) };
  }
}

const warmed = (air: AirState, by: PreheaterPart | undefined, massFlow: number): AirState =>
  by !== undefined && isKnown(air) ? towards(air, 1, preheated(by, air.temperature, massFlow)) : air;

/** What streams become where they meet: mixed by their design flows, or where one is not known by their origins. */
const together = (parts: readonly Stream[]): Stream => {
  const massFlow = parts.reduce((sum, part) => sum + part.massFlow, 0);
  const origins = parts.reduce((sum, part) => sum + part.origins, 0);
  const share = (part: Stream): number => (Number.isFinite(massFlow) ? part.massFlow : part.origins);
  return { air: mixtureOf(parts.map((part) => ({ air: part.air, massFlow: share(part) }))), massFlow, origins };
};

/** The air of each stream, from what the document says now. */
export const inheritedAirs = (
  { streams }: AirStreams,
  { nodes, ducts }: { readonly nodes: readonly NetworkNode[]; readonly ducts: readonly Duct[] },
  climate: Climate,
): readonly AirState[] => new Inheritance(nodes, ducts, climate).airsOf(streams);
