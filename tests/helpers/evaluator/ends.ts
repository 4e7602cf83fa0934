import type { AirProperties } from "./air.js";
import { catalogueLoss } from "./catalogue.js";
import type { PlainDuct } from "./document.js";
import { abruptCoefficient, areaOf, velocityPressure } from "./losses.js";
import type { Reading } from "./reading.js";

/**
 * Loss [Pa] where a duct meets a node, at a flow [m³/s] of all its runs, 0 or more.
 *
 * @param enters - Whether the air enters the duct there.
 */
export const endLoss = (
  reading: Reading,
  duct: PlainDuct,
  place: string,
  enters: boolean,
  air: AirProperties,
  flow: number,
): number => {
  const node = reading.nodeOf(place);
  const runFlow = flow / (duct.parallel ?? 1);
  const area = areaOf(duct.section);
  const runs = reading.ductsAt(place).reduce((sum, { parallel = 1 }) => sum + parallel, 0);
  const box = node.kind === "terminal" && (node.box ?? runs > 1);
  if (node.kind === "plenum" || node.kind === "room" || box) {
    const onRun = velocityPressure(air.density, runFlow, area);
    if (enters) {
      const ofNode = node.area === undefined ? (node.entry ?? 0.5) : abruptCoefficient(node.area, area);
      return (duct.entry ?? ofNode) * onRun;
    }
    return (node.area === undefined ? 1 : abruptCoefficient(area, node.area)) * onRun;
  }
  if (node.kind !== "outdoors") return 0;

  // With a section of its own, the end is one for all runs.
  const [section, through] = node.section === undefined ? [duct.section, runFlow] : [node.section, flow];
  const flush = node.end?.kind === "flush";
  if (node.end !== undefined && !flush) return catalogueLoss(node.end, { section, backward: !enters }, air, through);
  const { entry, exit } = flush ? { entry: 0.5, exit: 1 } : node;
  const coefficient = node.coefficient ?? (enters ? entry! : exit!);
  return coefficient * velocityPressure(air.density, through, areaOf(section));
};
