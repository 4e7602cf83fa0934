/** A pivot below this share of the largest entry of its row cannot be told from 0. */
const leastPivot = 1e-12;

/**
 * Solves equations by elimination with row exchanges.
 *
 * @param matrix - By rows; used up.
 * @param right - The right-hand side; the solution takes its place.
 * @returns Whether there is a solution; false where the matrix is singular.
 *
 * Source: Gauss elimination with partial pivoting, as in any text on numerical methods.
 */
export const solveDense = (matrix: Float64Array, right: Float64Array): boolean => {
  const count = right.length;
  for (let k = 0; k < count; k++) {
    let top = k;
    for (let i = k + 1; i < count; i++) {
      if (Math.abs(matrix[i * count + k]) > Math.abs(matrix[top * count + k])) top = i;
    }
    let size = 0;
    for (let j = 0; j < count; j++) size = Math.max(size, Math.abs(matrix[top * count + j]));
    if (!(Math.abs(matrix[top * count + k]) > leastPivot * size)) return false;
    if (top !== k) exchange(matrix, right, k, top);
    const pivot = matrix[k * count + k];
    for (let i = k + 1; i < count; i++) {
      const share = matrix[i * count + k] / pivot;
      if (share === 0) continue;
      for (let j = k + 1; j < count; j++) matrix[i * count + j] -= share * matrix[k * count + j];
      right[i] -= share * right[k];
    }
  }
  for (let k = count - 1; k >= 0; k--) {
    for (let j = k + 1; j < count; j++) right[k] -= matrix[k * count + j] * right[j];
    right[k] /= matrix[k * count + k];
  }
  return true;
};

const exchange = (matrix: Float64Array, right: Float64Array, one: number, other: number): void => {
  const count = right.length;
  for (let j = 0; j < count; j++) {
    const value = matrix[one * count + j];
    matrix[one * count + j] = matrix[other * count + j];
    matrix[other * count + j] = value;
  }
  [right[one], right[other]] = [right[other], right[one]];
};
