import { atmosphereSource } from "../../air/atmosphere.js";
import { type Air, type AirState, airState, moistAirSource, viscositySource } from "../../air/state.js";
import type { AirPart } from "../format/air.js";
import { givenProvenance, type Provenance } from "../results/provenance.js";

/**
 * Air as an element gives it, made whole: a temperature without pressure or altitude takes them from the network's air.
 *
 * @param base - The network's own air.
 */
export const completeAir = (part: AirPart, base: AirPart): Air => {
  const { pressure, altitude } = part as { readonly pressure?: number; readonly altitude?: number };
  if ("density" in part || pressure !== undefined || altitude !== undefined || "density" in base) return part;
  return base.pressure === undefined ? { ...part, altitude: base.altitude ?? 0 } : { ...part, pressure: base.pressure };
};

/** What an air rests on. */
export function* airProvenance(part: AirPart, base: AirPart, of: string): Generator<Provenance> {
  const air = completeAir(part, base);
  if ("density" in air) yield givenProvenance(of);
  else {
    for (const source of [moistAirSource, viscositySource]) yield { source, of };
    if (air.pressure === undefined) yield { source: atmosphereSource, of };
  }
}

/** What an air that follows from others rests on beside them; of a density that is given, nothing else. */
export function* inheritedProvenance(air: AirState, of: string): Generator<Provenance> {
  if (air.temperature === undefined) return;
  for (const source of [moistAirSource, viscositySource]) yield { source, of };
}

/** The air states of a network. */
export interface Climate {
  /** Of ducts, junctions and plenums that name no other. */
  readonly network: AirState;
  /** Outdoors. */
  readonly outdoor: AirState;
  /** Of an element: its own where it names one, else the network's. */
  of(part: AirPart | undefined): AirState;
}

/** The climate of a network with this air and outdoor air (default: the network's). */
export const climateOf = (air: AirPart, outdoorAir: AirPart | undefined): Climate => {
  const network = airState(completeAir(air, air));
  return {
    network,
    outdoor: outdoorAir === undefined ? network : airState(completeAir(outdoorAir, air)),
    of: (part) => (part === undefined ? network : airState(completeAir(part, air))),
  };
};
