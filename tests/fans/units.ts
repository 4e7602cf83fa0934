/** Customary units of the published fan tables, in SI. */
export const cubicFootPerMinute = 0.3048 ** 3 / 60;
/** Conventional inch of water, by definition: 25.4 mm of 1000 kg/m³ under 9.80665 m/s² [Pa]. */
export const inchOfWater = 249.08891;
/** Mechanical horsepower [W]. */
export const horsepower = 745.69987;
