import { catalogueLoss } from "./catalogue.js";
import type { PlainNode } from "./document.js";
import { pressureTolerance } from "./findings.js";
import { abruptCoefficient, areaOf, velocityPressure } from "./losses.js";
import { ductAt } from "./ports.js";
import type { Reading } from "./reading.js";

/** A change of section between two ducts. */
export const evaluateTransition = (reading: Reading, node: PlainNode): void => {
  const { findings } = reading;
  const [a, b] = [`${node.id}.a`, `${node.id}.b`];
  const [atA, atB] = [ductAt(reading, a), ductAt(reading, b)];
  const air = reading.airInDuct(atA);
  const flow = reading.gatheredAt(a) / air.density;
  findings.mass(node.id, reading.gatheredAt(a) + reading.gatheredAt(b));

  const form = node.form ?? { kind: "abrupt" };
  const [runsA, runsB] = [atA.parallel ?? 1, atB.parallel ?? 1];
  let loss: number;
  if (form.kind === "abrupt") {
    const areas = [runsA * areaOf(atA.section), runsB * areaOf(atB.section)];
    const [from, to] = flow < 0 ? areas.reverse() : areas;
    loss = abruptCoefficient(from, to) * velocityPressure(air.density, flow, Math.min(from, to));
  } else {
    if (runsA !== runsB)
      throw new Error(`${node.id}: the evaluator knows no '${form.kind}' of ${runsA} to ${runsB} runs`);
    const site = { section: atA.section, other: atB.section, backward: flow < 0 };
    loss = catalogueLoss(form, site, air, Math.abs(flow) / runsA);
  }
  const found = reading.pressureAt(a) - reading.pressureAt(b);
  findings.pressure(`nodes.${node.id}`, found, Math.sign(flow) * loss);

  const place = `nodes.${node.id}.losses`;
  (reading.lossesAt(node.id)?.paths ?? []).forEach((path, k) => {
    const lost = reading.pressureAt(`${node.id}.${path.from}`) - reading.pressureAt(`${node.id}.${path.to}`);
    findings.equal(`${place}.paths.${k}`, path, "loss", lost, pressureTolerance);
  });
};
