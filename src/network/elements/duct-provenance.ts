import { isWithin } from "../../core/ranges.js";
import type { Source } from "../../core/sources.js";
import { compressionCovered, compressionSources } from "../../ducts/flexible.js";
import { bridgeSource, type FrictionLawName, frictionSources, laminarSource } from "../../ducts/friction-laws.js";
import { circularDiameterOf, circularSources, hydraulicDiameterOf, hydraulicSource } from "../../ducts/geometry.js";
import { roughnessMaterials } from "../../ducts/roughness.js";
import type { Spread } from "../../fittings/fitting.js";
import { shapeOf } from "../../fittings/shape.js";
import { partProvenance } from "../format/catalogue.js";
import type { Duct } from "../format/elements.js";
import { givenProvenance, type Provenance } from "../results/provenance.js";

/** Between laminar and turbulent every duct settles for itself. */
const unsettled: Spread = { family: "friction between laminar and turbulent", shared: 0, own: 0.3 };
/** Tests of one make and of several differ by as much. */
const compressedSpread: Spread = { family: "compressed flexible duct", shared: 0, own: 0.3 };

/** What a shut backdraught damper lets through. */
const damperSource: Source = {
  author: "common practice",
  title: "a shut backdraught damper leaks almost nothing; makers publish how much",
  status: "memory",
};

/** What the results of a duct rest on, its air and its ends apart. */
export function* ductProvenance(duct: Duct, law: FrictionLawName, reynolds: number): Generator<Provenance> {
  const of = `ducts.${duct.id}`;
  if (duct.length > 0) yield* frictionProvenance(duct, of, law, reynolds);
  for (let i = 0; i < duct.fittings.length; i++) {
    yield* partProvenance(duct.fittings[i], `${of}.fittings.${i}`, duct.section);
  }
  if (duct.backdraught === true) yield { source: damperSource, of: `${of}.backdraught` };
}

function* frictionProvenance(duct: Duct, of: string, law: FrictionLawName, reynolds: number): Generator<Provenance> {
  if (duct.frictionRating !== undefined) {
    yield givenProvenance(`${of}.frictionRating`);
    return;
  }
  const hydraulic = duct.equivalent === "hydraulic" && duct.frictionFactor === undefined;
  const shape = shapeOf(duct.section);
  if (shape !== "round") yield { source: hydraulic ? hydraulicSource : circularSources[shape], of: `${of}.section` };
  if (duct.frictionFactor !== undefined) {
    yield givenProvenance(`${of}.frictionFactor`);
    return;
  }
  const between = reynolds > 2000 && reynolds < 4000;
  const source = lawSource(law, reynolds);
  yield { source, of: `${of}.frictionFactor`, ...(between ? { spread: unsettled } : {}) };
  if (source !== laminarSource) yield roughnessProvenance(duct, of);
  if (duct.compression === 0) return;
  const diameter = hydraulic ? hydraulicDiameterOf(duct.section) : circularDiameterOf(duct.section);
  const tested = isWithin(diameter, compressionCovered.diameter);
  const note = tested ? {} : { note: "tested from 150 to 250 mm: the formula is continued" };
  for (const one of compressionSources) {
    yield { source: one, of: `${of}.compression`, spread: compressedSpread, ...note };
  }
}

/** Where a friction factor comes from at a Reynolds number. */
const lawSource = (law: FrictionLawName, reynolds: number): Source => {
  if (law === "churchill" || reynolds >= 4000) return frictionSources[law];
  return reynolds <= 2000 ? laminarSource : bridgeSource;
};

const roughnessProvenance = ({ material, roughness }: Duct, of: string): Provenance => {
  const at = `${of}.roughness`;
  const known = roughnessMaterials.find(({ name }) => name === material);
  if (known === undefined || known.roughness !== roughness) return givenProvenance(at);
  const [low, high] = [known.low, known.high].map((metres) => Number((1000 * metres).toPrecision(6)));
  return { source: known.source, of: at, note: `${known.name}: ${low} to ${high} mm is published` };
};
