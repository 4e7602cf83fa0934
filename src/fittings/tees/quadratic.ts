import type { StraightFlow, TeeShape } from "./model.js";

/** A coefficient straight·(1 − q)² + mixed·q(1 − q) + branch·q² of the branch's flow share q. */
export interface Quadratic {
  readonly straight: number;
  readonly mixed: number;
  readonly branch: number;
}

/** The coefficients of one flow pattern, on the velocity pressure of the summed flow in the main. */
export interface QuadraticForms {
  /** From straight leg to straight leg. */
  readonly run: Quadratic;
  /** Between the branch and the straight leg of the summed flow. */
  readonly branch: Quadratic;
}

/** The forms of a model by the turn of the branch air [rad], the area ratio and the edge radius. */
export type FormsOf = (turn: number, areaRatio: number, edgeRadius: number) => QuadraticForms;

/** first·f + second·g */
const combined = (first: number, f: Quadratic, second: number, g: Quadratic): Quadratic => ({
  straight: first * f.straight + second * g.straight,
  mixed: first * f.mixed + second * g.mixed,
  branch: first * f.branch + second * g.branch,
});

/** Factors of u², uv and v² of a form, where u is the summed flow and v the rest of it, which flows the other way. */
const factors = ({ straight, mixed, branch }: Quadratic): readonly [number, number, number] => [
  branch,
  2 * branch - mixed,
  straight - mixed + branch,
];

/** The same, u and v exchanged. */
const turned = ([uu, uv, vv]: readonly [number, number, number]): readonly [number, number, number] => [vv, uv, uu];

/** Factors of a², ab and b² for leg a, then for leg b, of the patterns in the order that `straightFlow` reads them. */
const table = (diverging: FormsOf, converging: FormsOf, { angle, areaRatio, edgeRadius }: TeeShape): Float64Array => {
  const formsBy = (forms: FormsOf, turn: number): QuadraticForms => forms(turn, areaRatio, edgeRadius);
  // The leg of the summed flow differs from the branch by the branch's coefficient, the other by branch less run.
  const common = (sign: number, { branch, run }: QuadraticForms) => factors(combined(sign, branch, 0, run));
  const other = (sign: number, { branch, run }: QuadraticForms) => factors(combined(sign, branch, -sign, run));
  const fromA = formsBy(diverging, angle);
  const intoB = formsBy(converging, Math.PI - angle);
  const fromB = formsBy(diverging, Math.PI - angle);
  const intoA = formsBy(converging, angle);
  return Float64Array.from([
    ...[...common(1, fromA), ...other(1, fromA)],
    ...[...turned(other(-1, intoB)), ...turned(common(-1, intoB))],
    ...[...turned(other(1, fromB)), ...turned(common(1, fromB))],
    ...[...common(-1, intoA), ...other(-1, intoA)],
  ]);
};

/** The straight flow of a model whose coefficients are quadratic in the flow share: quadratic forms in the leg flows. */
export const quadraticFlow = (diverging: FormsOf, converging: FormsOf, shape: TeeShape): StraightFlow => {
  const factor = table(diverging, converging, shape);
  return (a, b, out) => {
    const at = (a >= b ? 0 : 12) + (a + b >= 0 ? 0 : 6);
    const aa = factor[at];
    const ab = factor[at + 1];
    const bb = factor[at + 2];
    out[0] = aa * a * a + ab * a * b + bb * b * b;
    out[2] = 2 * aa * a + ab * b;
    out[3] = ab * a + 2 * bb * b;
    const aaOfB = factor[at + 3];
    const abOfB = factor[at + 4];
    const bbOfB = factor[at + 5];
    out[1] = aaOfB * a * a + abOfB * a * b + bbOfB * b * b;
    out[4] = 2 * aaOfB * a + abOfB * b;
    out[5] = abOfB * a + 2 * bbOfB * b;
  };
};
