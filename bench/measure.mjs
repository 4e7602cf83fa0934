/** The middle of some numbers. */
export const median = (numbers) => [...numbers].sort((a, b) => a - b)[numbers.length >> 1];

/** Milliseconds that a task takes. */
export const timed = (task) => {
  const start = performance.now();
  task();
  return performance.now() - start;
};

/** Exponent by which times grow with sizes, from the first to the last. */
export const growth = (sizes, times) =>
  Math.log(times[times.length - 1] / times[0]) / Math.log(sizes[sizes.length - 1] / sizes[0]);
