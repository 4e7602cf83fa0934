import type { AirState } from "../../air/state.js";
import { narrowingCoefficient, wideningCoefficient } from "../../fittings/area-change.js";
import type { Network } from "../document/document.js";
import { kindOf } from "../elements/kinds/list.js";
import { isTerminal, type TerminalNode } from "../elements/kinds/terminal.js";
import { airText, outsideText } from "../elements/messages.js";
import { bandWarning } from "../elements/regulator.js";
import { type Duct, ductArea } from "../format/elements.js";
import type { Layout } from "../layout/layout.js";
import type { Solution, Warning } from "../results/solution.js";
import { combustionWarnings } from "./combustion-warnings.js";
import { endWarnings } from "./end-warnings.js";
import { sensorWarnings } from "./open-end-sensors.js";
import { designFlowWarnings } from "./regulator-warnings.js";

/** Ratio of areas from which two sections count as the same [-] */
const sameSection = 0.999;
/** Loss of a change of section that is worth a warning [Pa] */
const leastChange = 0.1;
/** Densities that differ by more than this share are not the same air. */
const sameDensity = 1e-6;
/** Share by which one number must be larger for a warning to name another place than the first [-]. */
const clearly = 1e-6;

/** Whether a number is larger by more than rounding, which in symmetric networks would else decide which place is named. */
const exceeds = (value: number, other: number): boolean => value > other * (1 + clearly);

/** Warnings that concern a network as a whole. */
export const networkWarnings = (network: Network, layout: Layout, solution: Solution): Warning[] => {
  return [
    ...columnWarning(layout, network.nodes.filter(isTerminal)),
    ...combustionWarnings(network, solution),
    ...fittingWarnings(solution),
    ...designFlowWarnings(network, layout),
    ...endWarnings(network, layout, solution),
    ...junctionWarnings(network, layout, solution),
    ...mixedWarning(network, layout),
    ...sensorWarnings(network, solution),
    ...stableWarning(solution),
  ];
};

/** Terminals without rooms face gauge 0 at their own heights; with other air than outdoors a room's column is missing. */
const columnWarning = (layout: Layout, terminals: readonly TerminalNode[]): Warning[] => {
  const free = terminals.filter((terminal) => terminal.room === undefined);
  if (new Set(free.map((terminal) => terminal.elevation)).size < 2) return [];
  const outdoor = layout.climate.outdoor.density;
  const other = free.find(({ id }) => {
    const density = layout.airIn(layout.ductsAt(id)[0]).density;
    return Math.abs(density / outdoor - 1) > sameDensity;
  });
  if (other === undefined) return [];
  const message = `terminals without a room stand at different heights and their air is not outdoor air ('${other.id}' for example): the stack effect in the rooms is missing; give them rooms`;
  return [{ code: "room.column-missing", path: `nodes.${other.id}.room`, message }];
};

/**
 * Fittings outside what their sources cover: each geometry separately; of low or high Reynolds numbers, which whole
 * buildings share, the number and the worst.
 */
const fittingWarnings = ({ ducts }: Solution): Warning[] => {
  const warnings: Warning[] = [];
  let slow = 0;
  let worst: { readonly path: string; readonly text: string; readonly reynolds: number } | undefined;
  for (const id in ducts) {
    const { fittings } = ducts[id];
    for (let i = 0; fittings !== undefined && i < fittings.length; i++) {
      for (const one of fittings[i].outside ?? []) {
        const path = `ducts.${id}.fittings.${i}`;
        if (fittings[i].kind === "regulator") {
          warnings.push(bandWarning(`in duct '${id}'`, path, one));
          continue;
        }
        const text = outsideText(`'${fittings[i].kind}' in duct '${id}'`, one);
        if (one.what !== "Reynolds number") warnings.push({ code: "fitting.outside-range", path, message: text });
        else {
          slow++;
          if (worst === undefined || exceeds(worst.reynolds, one.value)) worst = { path, text, reynolds: one.value };
        }
      }
    }
  }
  if (worst === undefined) return warnings;
  const others = slow === 1 ? "" : ` (and ${slow - 1} more)`;
  const message = `${worst.text}; its correction is held there${others}`;
  return [...warnings, { code: "fitting.reynolds", path: worst.path, message }];
};

/** Velocity pressure above which a junction without loss deceives [Pa]. */
const feltAtJunction = 1;

/** Plain junctions where air would lose pressure: at a change of section, and where ways part or join. */
const junctionWarnings = (network: Network, layout: Layout, { ducts }: Solution): Warning[] => {
  const warnings: Warning[] = [];
  let parting = 0;
  let worst: { readonly id: string; readonly pressure: number } | undefined;
  for (let n = 0; n < network.nodes.length; n++) {
    const node = network.nodes[n];
    if (node.kind !== "junction") continue;
    const place = layout.connectivity.firstPlace[n];
    const count = layout.connectivity.ductCountAt(place);
    if (count === 2) {
      const change = changeOfSection(node.id, layout.ductsMeeting(place), ducts);
      if (change !== undefined) warnings.push(change);
    }
    if (count < 3) continue;
    let pressure = 0;
    for (const { id } of layout.ductsMeeting(place)) pressure = Math.max(pressure, ducts[id].velocityPressure);
    if (!(pressure > feltAtJunction)) continue;
    parting++;
    if (worst === undefined || exceeds(pressure, worst.pressure)) worst = { id: node.id, pressure };
  }
  if (worst === undefined) return warnings;
  const others = parting === 1 ? "" : ` (and ${parting - 1} more)`;
  const message = `air divides or combines at junction '${worst.id}' without loss, at a velocity pressure of ${worst.pressure.toFixed(1)} Pa${others}: a tee or a plenum would lose some of it`;
  return [...warnings, { code: "junction.no-loss", path: `nodes.${worst.id}`, message }];
};

/** The loss of an abrupt change of section that two ducts of a junction leave out. */
const changeOfSection = (id: string, ducts: readonly Duct[], results: Solution["ducts"]): Warning | undefined => {
  const [one, other] = ducts;
  const ratio = Math.min(ductArea(one), ductArea(other)) / Math.max(ductArea(one), ductArea(other));
  if (!(ratio < sameSection)) return undefined;
  const [smaller, larger] = ductArea(one) < ductArea(other) ? [one, other] : [other, one];
  const { massFlow, velocityPressure } = results[smaller.id];
  const widens = massFlow >= 0 === (smaller.to === id);
  const loss = (widens ? wideningCoefficient(ratio) : narrowingCoefficient(ratio)) * velocityPressure;
  if (!(loss > leastChange)) return undefined;
  const message = `the section changes at junction '${id}' without loss, from '${smaller.id}' to '${larger.id}': a transition would lose up to ${loss.toFixed(2)} Pa there (abrupt)`;
  return { code: "junction.section-changes", path: `nodes.${id}`, message };
};

/** Places where ducts of different air meet: their densities do not follow the flows that are solved. */
const mixedWarning = (network: Network, layout: Layout): Warning[] => {
  if (!layout.hasSeveralAirs) return [];
  const { firstPlace } = layout.connectivity;
  let mixing = 0;
  let worst: { readonly id: string; readonly light: AirState; readonly heavy: AirState } | undefined;
  for (let n = 0; n < network.nodes.length; n++) {
    const node = network.nodes[n];
    const kind = kindOf(node);
    if (kind.endsPaths || kind.ports(node).length > 0 || layout.connectivity.ductCountAt(firstPlace[n]) < 2) continue;
    const airs = layout.ductsMeeting(firstPlace[n]).map((duct) => layout.airIn(duct));
    const light = airs.reduce((least, air) => (air.density < least.density ? air : least));
    const heavy = airs.reduce((most, air) => (air.density > most.density ? air : most));
    if (!(heavy.density / light.density - 1 > sameDensity)) continue;
    mixing++;
    if (worst === undefined || exceeds(heavy.density / light.density, worst.heavy.density / worst.light.density)) {
      worst = { id: node.id, light, heavy };
    }
  }
  if (worst === undefined) return [];
  const { id, light, heavy } = worst;
  const others = mixing === 1 ? "" : ` (and at ${mixing - 1} more)`;
  const message = `air of different states meets at '${id}': ${airText(light)} and ${airText(heavy)}${others}; the air downstream is as the document or design flows set it, regardless of the solved flows`;
  return [{ code: "air.mixed", path: `nodes.${id}`, message }];
};

const stableWarning = ({ convergence }: Solution): Warning[] => {
  if (convergence.stable !== false) return [];
  const message =
    "a fan runs where a small disturbance grows (its curve rises more steeply than the system): the real system will settle elsewhere or hunt";
  return [{ code: "solution.unstable", path: "convergence.stable", message }];
};
