/**
 * How wide the corner is rounded where the power that a tee takes passes zero: half the width over the product of the three
 * legs' flows [-]. The forms of `gardel` within what they cover stay above it, at 0.24 and more.
 */
export const cornerWidth = 0.1;

/** Of the cube of the summed flow: less power than this is rounding [-]. */
const leastPower = 1e-12;

/**
 * Adds the same loss δ to both paths of the air through a tee where its forms would give power to the air.
 *
 * The forms take the power D = a·F_a + b·F_b from the air, and a loss δ of both paths takes δ·S more, with the summed flow
 * S. So δ = −D/S where D is negative. The corner is a parabola while |D| is less than w = ε·|a·b·(a + b)|:
 * δ = (w − D)²/(4wS), which leaves D at least at zero, with a continuous slope. Above w nothing is added. The width w
 * vanishes with the flow of each leg, so that the patterns, which meet there, go on meeting.
 *
 * @param a - Mass flow into the tee by leg a [kg/s].
 * @param b - The same by leg b [kg/s].
 * @param out - F_a, F_b and their derivatives, as `TeeLaw.evaluate` writes them; brought up to date.
 * @returns δ [(kg/s)²]
 */
export const addLostPower = (a: number, b: number, out: Float64Array): number => {
  const power = a * out[0] + b * out[1];
  const volume = a * b * (a + b);
  const size = Math.abs(volume);
  if (power >= cornerWidth * size) return 0;
  // The leg that carries the sum: a, b, or the branch against both.
  const branchCarriesSum = a * b > 0;
  const overA = branchCarriesSum || Math.abs(a) >= Math.abs(b) ? 1 : 0;
  const overB = branchCarriesSum || overA === 0 ? 1 : 0;
  const common = overA * a + overB * b;
  const sum = Math.abs(common);
  if (power > cornerWidth * size - leastPower * sum * sum * sum) return 0;

  // How far through the corner: 0 above it, 1 below it.
  const through = power > -cornerWidth * size ? (cornerWidth * size - power) / (2 * cornerWidth * size) : 1;
  const loss = through < 1 ? (cornerWidth * through * through * size) / sum : -power / sum;
  const sign = Math.sign(common);
  const widens = cornerWidth * (1 - through) * Math.sign(volume);
  const powerByA = out[0] + a * out[2] + b * out[4];
  const powerByB = out[1] + a * out[3] + b * out[5];
  const byA = (sign * through * (widens * b * (2 * a + b) - powerByA) - overA * loss) / sum;
  const byB = (sign * through * (widens * a * (a + 2 * b) - powerByB) - overB * loss) / sum;
  // Over the branch the common leg stands higher where it brings the air, lower where it takes it.
  out[0] += overA * sign * loss;
  out[2] += overA * byA;
  out[3] += overA * byB;
  out[1] += overB * sign * loss;
  out[4] += overB * byA;
  out[5] += overB * byB;
  return loss;
};
