/** Customary units of the published fan tables, in SI. */
export const cubicFootPerMinute = 0.3048 ** 3 / 60;
/** Inch of water at 4 °C and standard gravity [Pa]. */
export const inchOfWater = 249.08891;
/** Mechanical horsepower [W]. */
export const horsepower = 745.69987;
