import type { Network } from "../document/document.js";
import { fanAt } from "../elements/fan.js";
import { kindOf } from "../elements/kinds/list.js";
import { type ControlPart, type DuctSensor, ductSensorsOf, type SensorPart } from "../format/control.js";
import type { Solution, Warning } from "../results/solution.js";

/** Velocity pressure below which no sensor tells static from total pressure [Pa] */
const leastVelocityPressure = 1e-2;
/** Nearer than this to the pressure of the place, the static pressure at an end counts as the same [Pa] */
const samePressure = 1e-5;

/** Sensors of static pressure where a duct's air loses all its velocity: they read the place that it opens into. */
export const sensorWarnings = (network: Network, solution: Solution): Warning[] => {
  const warnings: Warning[] = [];
  for (const { control, name } of controlsOf(network)) {
    const helpless = solution.fans[name]?.control?.noEffect === true;
    for (const [key, sensor] of staticSensorsOf(control)) {
      const place = openedInto(sensor, network.ducts, solution);
      if (place === undefined) continue;
      const outcome = helpless ? "; so the controller holds nothing, and any speed would do" : "";
      const message = `the sensor of fan '${name}' stands where duct '${sensor.duct}' opens into '${place}' and its air comes to rest: the static pressure there equals the pressure of '${place}' at any fan flow${outcome}; sense farther up the duct, or name the node`;
      warnings.push({ code: "sensor.open-end", path: `fans.${name}.control.${key}`, message });
    }
  }
  return warnings;
};

/** Says so in the results of controllers that read, by an open end, a pressure that their fan does not change. */
export const markNoEffect = (network: Network, { fans, ...solution }: Solution): void => {
  for (const { control, name } of controlsOf(network)) {
    if (control?.kind !== "pressure" || staticSensorsOf(control).length === 0) continue;
    const result = fans[name]?.control;
    if (result === undefined) continue;
    const readPoint = (sensor: SensorPart): string | undefined =>
      "node" in sensor ? sensor.node : openedInto(sensor, network.ducts, solution);
    const isGiven = (place: string): boolean => {
      const node = network.nodes.find(({ id }) => id === place);
      return node !== undefined && kindOf(node).pressure(node) !== undefined;
    };
    const place = readPoint(control.sensor);
    const against = control.against && readPoint(control.against);
    if (place === undefined || (control.against !== undefined && against === undefined)) continue;
    if (place === against || (isGiven(place) && (against === undefined || isGiven(against)))) result.noEffect = true;
  }
};

function* controlsOf({ nodes }: Network): Generator<{ name: string; control: ControlPart | undefined }> {
  for (const node of nodes) {
    for (const { keys, name } of kindOf(node).fans(node)) yield { name, control: fanAt(node, keys).control };
  }
}

/** Those in ducts that read static pressure: at an open end it equals the pressure of the place. */
const staticSensorsOf = (control: ControlPart | undefined): [key: string, sensor: DuctSensor][] =>
  control?.kind === "pressure" && control.pressureKind === "static" ? ductSensorsOf(control) : [];

/** The place whose pressure a sensor in a duct reads; undefined where it reads the duct's own. */
const openedInto = (
  { duct: id, at }: DuctSensor,
  ducts: Network["ducts"],
  { ducts: results, nodes }: Pick<Solution, "ducts" | "nodes">,
): string | undefined => {
  const duct = ducts.find((one) => one.id === id);
  const place = at === "inlet" ? duct?.from : duct?.to;
  const still = place === undefined ? undefined : nodes[place]?.totalPressure;
  const { staticPressure, totalPressure } = results[id][at];
  if (still === undefined || !(totalPressure - staticPressure > leastVelocityPressure)) return undefined;
  return Math.abs(staticPressure - still) <= samePressure ? place : undefined;
};
