import { inputThrough } from "../../fans/chain.js";
import { standardDensity } from "../../fans/curve.js";
import type { FanModel } from "../../fans/model.js";
import type { ChainPart } from "../format/drive-chain.js";
import type { FanResult } from "../results/solution.js";

/** Power over the flow at 1.2 kg/m³ [W/(m³/s)]; undefined where no air flows forward. */
export const specificPower = (power: number, massFlow: number): number | undefined =>
  massFlow > 0 ? (power * standardDensity) / massFlow : undefined;

/** What a running fan takes and what becomes of it; nothing where its power is not known. */
export const fanPower = (
  { chain, motorOutside = false }: { readonly chain?: ChainPart; readonly motorOutside?: boolean },
  model: FanModel,
  flow: number,
): Pick<FanResult, "power" | "powerEstimated" | "specificFanPower" | "heatToAir"> => {
  const terms = chain && inputThrough(model, chain, flow);
  const power = chain === undefined ? model.power?.(flow) : terms?.mainsInput;
  if (power === undefined) return {};
  const specificFanPower = specificPower(power, flow * model.density);
  // What the motor gives ends as heat in its stream by way of the impeller or the ducts; what it loses only beside it.
  // Controls power is the controls', which are outside the stream, like the controller of a chain.
  const inside = terms === undefined ? power - model.controlsPower : terms.motorInput;
  const heatToAir = motorOutside ? terms?.motorOutput : inside;
  return {
    power,
    // At the impeller the fan laws hold well; only at the mains do they not.
    ...(model.powerEstimated && chain === undefined ? { powerEstimated: true } : {}),
    ...(specificFanPower === undefined ? {} : { specificFanPower }),
    ...(heatToAir === undefined ? {} : { heatToAir }),
  };
};
