const { log, log10, sqrt } = Math;

/** Colebrook–White by Newton's method for x = 1/√f. */
const colebrook = (reynolds: number, roughness: number): number => {
  let x = 8;
  for (let step = 0; step < 50; step += 1) {
    const argument = roughness / 3.7 + (2.51 * x) / reynolds;
    const change = (x + 2 * log10(argument)) / (1 + (2 / Math.LN10) * (2.51 / reynolds / argument));
    // Far from the root x must stay positive.
    x = Math.max(x - change, x / 10);
    // The error falls with its square: after a step this small nothing is left to mend.
    if (Math.abs(change) <= 1e-9 * x) break;
  }
  return x ** -2;
};

const haaland = (reynolds: number, roughness: number): number =>
  (-1.8 * log10((roughness / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2;

const swameeJain = (reynolds: number, roughness: number): number =>
  (-2 * log10(roughness / 3.7 + 5.74 / reynolds ** 0.9)) ** -2;

const serghides = (reynolds: number, roughness: number): number => {
  const next = (x: number): number => -2 * log10(roughness / 3.7 + (2.51 * x) / reynolds);
  const a = -2 * log10(roughness / 3.7 + 12 / reynolds);
  const b = next(a);
  const c = next(b);
  return (a - (b - a) ** 2 / (c - 2 * b + a)) ** -2;
};

const churchill = (reynolds: number, roughness: number): number => {
  // Below Re 1 its turbulent part is lost in rounding, and its powers would overflow.
  if (reynolds < 1) return 64 / reynolds;
  const a = (2.457 * log(1 / ((7 / reynolds) ** 0.9 + 0.27 * roughness))) ** 16;
  const b = (37530 / reynolds) ** 16;
  return 8 * ((8 / reynolds) ** 12 + 1 / sqrt((a + b) ** 3)) ** (1 / 12);
};

const turbulentLaws: Record<string, (reynolds: number, roughness: number) => number> = {
  colebrook,
  haaland,
  "swamee-jain": swameeJain,
  serghides,
};

/** Darcy friction factor at Re > 0 and relative roughness ε/D: 64/Re to 2000, the turbulent law from 4000, a cubic between. */
export const darcyFactor = (name: string, reynolds: number, roughness: number): number => {
  if (reynolds < 1e-300) return 0; // air at rest, for which 64/Re is no number
  if (name === "churchill") return churchill(reynolds, roughness);
  const law = turbulentLaws[name];
  if (law === undefined) throw new Error(`the evaluator knows no friction law '${name}'`);
  if (reynolds <= 2000) return 64 / reynolds;
  if (reynolds >= 4000) return law(reynolds, roughness);

  // The cubic by its ends' values and slopes; five points give the turbulent slope to about 1e-11 of itself.
  const at = (shift: number): number => law(4000 + shift, roughness);
  const slope = (at(-4) - 8 * at(-2) + 8 * at(2) - at(4)) / 24;
  const t = (reynolds - 2000) / 2000;
  return (
    0.032 * (1 + 2 * t) * (1 - t) ** 2 +
    2000 * (-64 / 2000 ** 2) * t * (1 - t) ** 2 +
    at(0) * t ** 2 * (3 - 2 * t) +
    2000 * slope * t ** 2 * (t - 1)
  );
};
