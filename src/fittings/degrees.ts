/** Degrees as an angle [rad]: a call, which bundlers leave out where nobody uses it, as they do no product. */
export const degrees = (count: number): number => count * (Math.PI / 180);

/** One degree [rad] */
export const degree: number = /* @__PURE__ */ degrees(1);
