import type { Section } from "../../../src/ducts/section.js";
import { fittingOf } from "../../../src/fittings/catalogue.js";
import { coefficientOf } from "../../../src/fittings/coefficient.js";
import type { AirProperties } from "./air.js";
import type { PlainForm, PlainRating, PlainSection } from "./document.js";
import { areaOf, perimeterOf, ratingLoss, velocityPressure } from "./losses.js";

/** Where a fitting of the catalogue stands; `backward` is air out of a duct at its end, or from b to a of a transition. */
export interface Site {
  readonly section: PlainSection;
  readonly other?: PlainSection;
  readonly backward?: boolean;
}

const reynoldsIn = (section: PlainSection, air: AirProperties, flow: number): number =>
  (air.density * 4 * flow) / (perimeterOf(section) * air.viscosity);

/**
 * Loss [Pa] of a fitting or a piece of equipment of the catalogue at a flow [m³/s] of 0 or more. The one part that is the
 * library's own: what its coefficients are worth, the tests of the catalogue say.
 */
export const catalogueLoss = (form: PlainForm, site: Site, air: AirProperties, flow: number): number => {
  if (flow === 0) return 0;
  const fitting = fittingOf(form.kind);
  const given = form as unknown as Record<string, unknown>;
  const parameters: Record<string, unknown> = {};
  for (const key of Object.keys(fitting.parameters)) if (given[key] !== undefined) parameters[key] = given[key];

  if ("rating" in fitting) {
    const described = fitting.parameters as Record<string, { readonly preset?: unknown }>;
    const presets = Object.fromEntries(Object.entries(described).map(([key, { preset }]) => [key, preset]));
    return ratingLoss(fitting.rating({ ...presets, ...parameters }) as PlainRating, air, flow);
  }
  const { section, other = section, backward = false } = site;
  const smaller = areaOf(other) < areaOf(section) ? other : section;
  const { coefficient, area } = coefficientOf(fitting, parameters, {
    section: section as Section,
    ...(site.other === undefined ? {} : { other: site.other as Section }),
    reynolds: reynoldsIn(smaller, air, flow),
    backward,
  });
  return coefficient * velocityPressure(air.density, flow, area);
};
