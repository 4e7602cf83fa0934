import { type RealFunction, rootsBetween } from "./roots.js";

/** Value of a polynomial from its coefficients in rising powers. */
export const polynomialAt = (coefficients: readonly number[], x: number): number =>
  coefficients.reduceRight((sum, coefficient) => sum * x + coefficient, 0);

/** Coefficients of the derivative; for a constant the polynomial 0. */
export const derivativeOf = (coefficients: readonly number[]): number[] =>
  coefficients.length > 1 ? coefficients.slice(1).map((coefficient, i) => (i + 1) * coefficient) : [0];

/** Positions between two others where a polynomial has slope 0, in rising order. */
export const turningPoints = (coefficients: readonly number[], from: number, to: number): number[] => {
  const chain: RealFunction[] = [];
  let derivative = derivativeOf(coefficients);
  do {
    const one = derivative;
    chain.push((x) => polynomialAt(one, x));
    derivative = derivativeOf(derivative);
  } while (derivative.length > 1);
  return rootsBetween(chain, from, to);
};

/**
 * The polynomial of a degree that comes nearest to values in the sense of least squares.
 *
 * Positions are scaled to −1 … 1, and the polynomial is built from those that are orthogonal on these very positions, so
 * that no system of equations, and no ill-conditioned matrix of powers, is there to be solved.
 *
 * @param xs - Positions, at least degree + 1 of them different.
 * @returns Coefficients in rising powers of x.
 *
 * Source: G. E. Forsythe, "Generation and use of orthogonal polynomials for data-fitting with a digital computer",
 * J. SIAM 5 (1957) (memory); agrees with NumPy's `polyfit` (library).
 */
export const fittedPolynomial = (xs: readonly number[], ys: readonly number[], degree: number): number[] => {
  const [least, most] = [Math.min(...xs), Math.max(...xs)];
  const [middle, half] = [(least + most) / 2, (most - least) / 2];
  const us = xs.map((x) => (x - middle) / half);
  const dot = (a: readonly number[], b: readonly number[]): number =>
    a.reduce((sum, value, i) => sum + value * b[i], 0);

  const rest = [...ys];
  const fitted: number[] = new Array(degree + 1).fill(0);
  // The newest orthogonal polynomial and the one before: values at the positions, coefficients in u.
  let values = us.map(() => 1);
  let terms = [1];
  let olderValues = us.map(() => 0);
  let olderTerms: number[] = [];
  let olderSquare = 1;
  for (let k = 0; ; k++) {
    const square = dot(values, values);
    const share = dot(rest, values) / square;
    terms.forEach((term, i) => {
      fitted[i] += share * term;
    });
    if (k === degree) break;
    values.forEach((value, i) => {
      rest[i] -= share * value;
    });
    const alpha = values.reduce((sum, value, i) => sum + us[i] * value * value, 0) / square;
    const beta = k === 0 ? 0 : square / olderSquare;
    const nextValues = values.map((value, i) => (us[i] - alpha) * value - beta * olderValues[i]);
    const nextTerms = [0, ...terms].map((term, i) => term - alpha * (terms[i] ?? 0) - beta * (olderTerms[i] ?? 0));
    [olderValues, olderTerms, olderSquare] = [values, terms, square];
    [values, terms] = [nextValues, nextTerms];
  }
  // From powers of u = (x − middle)/half to powers of x, by Horner's rule on polynomials.
  let expanded = [0];
  for (const term of fitted.reverse()) {
    const [shifted, same] = [
      [0, ...expanded],
      [...expanded, 0],
    ];
    expanded = shifted.map((one, i) => (one - middle * same[i]) / half);
    expanded[0] += term;
  }
  return expanded.slice(0, degree + 1);
};
