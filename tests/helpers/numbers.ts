import fc from "fast-check";

const steps = 2 ** 31 - 1;

/**
 * Numbers of a range that holds zero or ends there. `fc.double` spreads its numbers over exponents, so that nearly all of
 * them lie within 1e-10 of zero: three in four here are spread evenly over the range instead.
 */
export const numberWithin = (min: number, max: number): fc.Arbitrary<number> =>
  fc.oneof(
    { arbitrary: fc.double({ min, max, noNaN: true }), weight: 1 },
    { arbitrary: fc.nat(steps).map((step) => min + (max - min) * (step / steps)), weight: 3 },
  );
