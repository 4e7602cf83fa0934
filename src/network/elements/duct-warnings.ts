import { aspectOf, isRound } from "../../ducts/geometry.js";
import type { Duct } from "../format/elements.js";
import type { Warning } from "../results/solution.js";

/** Relative roughness up to which the friction laws were fitted. */
const roughest = 0.05;
/** Flattest section for which the equivalent diameters hold. */
const flattest = 8;

/** A backdraught damper that is shut against a pressure [Pa]. */
export const shutWarning = ({ id }: Duct, pressure: number): Warning => {
  const message = `the backdraught damper in duct '${id}' is shut; ${pressure.toPrecision(3)} Pa hold it shut`;
  return { code: "duct.backdraught-closed", path: `ducts.${id}`, message };
};

/** Why a friction law is used outside its range, if it is. */
export const rangeWarning = (duct: Duct, reynolds: number, diameter: number): Warning | undefined => {
  const path = `ducts.${duct.id}`;
  const at = `duct '${duct.id}'`;
  if (reynolds > 2000 && reynolds < 4000) {
    const message = `${at} runs at Reynolds number ${Math.round(reynolds)}, between laminar and turbulent: friction ±30 %`;
    return { code: "friction.transition", path, message };
  }
  const relative = duct.roughness / diameter;
  if (relative > roughest) {
    const message = `${at} has a relative roughness of ${relative.toPrecision(3)}; the friction laws hold up to ${roughest}`;
    return { code: "friction.roughness", path, message };
  }
  const aspect = aspectOf(duct.section);
  if (aspect > flattest) {
    const message = `${at} is ${aspect.toPrecision(3)}:1; the equivalent diameters hold up to ${flattest}:1`;
    return { code: "friction.aspect", path, message };
  }
  if (!isRound(duct.section) && reynolds > 0 && reynolds <= 2000) {
    const message = `${at} is not round and runs laminar; its equivalent diameter holds for turbulent flow`;
    return { code: "friction.laminar", path, message };
  }
  return undefined;
};
