/** A pivot below this share of the largest entry of its row cannot be told from 0. */
const leastPivot = 1e-12;

/**
 * Solves a few equations by elimination with row exchanges.
 *
 * @param matrix - Rows; used up.
 * @param right - The right-hand side; the solution takes its place.
 * @returns The solution; undefined where the matrix is singular.
 *
 * Source: Gauss elimination with partial pivoting, as in any text on numerical methods.
 */
export const solveDense = (matrix: number[][], right: number[]): number[] | undefined => {
  const count = right.length;
  for (let k = 0; k < count; k++) {
    let top = k;
    for (let i = k + 1; i < count; i++) if (Math.abs(matrix[i][k]) > Math.abs(matrix[top][k])) top = i;
    const size = matrix[top].reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    if (!(Math.abs(matrix[top][k]) > leastPivot * size)) return undefined;
    [matrix[k], matrix[top]] = [matrix[top], matrix[k]];
    [right[k], right[top]] = [right[top], right[k]];
    for (let i = k + 1; i < count; i++) {
      const share = matrix[i][k] / matrix[k][k];
      for (let j = k; j < count; j++) matrix[i][j] -= share * matrix[k][j];
      right[i] -= share * right[k];
    }
  }
  for (let k = count - 1; k >= 0; k--) {
    for (let j = k + 1; j < count; j++) right[k] -= matrix[k][j] * right[j];
    right[k] /= matrix[k][k];
  }
  return right;
};
