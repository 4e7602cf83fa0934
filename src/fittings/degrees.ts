/** Degrees as an angle [rad]: a call, which bundlers leave out if nothing uses it; a product they would keep. */
export const degrees = (count: number): number => count * (Math.PI / 180);

/** One degree [rad] */
export const degree: number = /* @__PURE__ */ degrees(1);
