/** Draws curves over one axis as a small SVG: axes, ticks, a legend, nothing else. */

const WIDTH = 420;
const HEIGHT = 268;
const BOX = { left: 58, right: WIDTH - 14, top: 42, bottom: HEIGHT - 44 };
const COLOURS = ["#0b5fa5", "#c2410c", "#2f7d32", "#7b3f99"];
/** Values that span more than this are drawn over their logarithm. */
const WIDE = 30;

/**
 * @param {{ title: string, x: { label: string, range: number[], logarithmic?: boolean }, y: { label: string },
 *   curves: { name: string, points: number[][] }[] }} chart
 */
export function lineChart({ title, x, y, curves }) {
  const values = curves.flatMap(({ points }) => points.map(([, value]) => value));
  const across = scale(x.range, x.logarithmic ?? false, [BOX.left, BOX.right]);
  const up = upwards(values);
  const mid = (BOX.left + BOX.right) / 2;
  const middle = (BOX.top + BOX.bottom) / 2;
  return `${[
    `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${HEIGHT}" viewBox="0 0 ${WIDTH} ${HEIGHT}" font-family="sans-serif" font-size="11" fill="#222">`,
    `<title>${escaped(title)}</title>`,
    `<rect width="${WIDTH}" height="${HEIGHT}" fill="#fff"/>`,
    ...across.ticks.map((at) => grid(across.at(at), BOX.bottom, across.at(at), BOX.top)),
    ...up.ticks.map((at) => grid(BOX.left, up.at(at), BOX.right, up.at(at))),
    `<path d="M${BOX.left} ${BOX.top}V${BOX.bottom}H${BOX.right}" fill="none" stroke="#222"/>`,
    ...across.ticks.map((at) => text(across.at(at), BOX.bottom + 15, "middle", shown(at))),
    ...up.ticks.map((at) => text(BOX.left - 6, up.at(at) + 4, "end", shown(at))),
    text(mid, HEIGHT - 10, "middle", x.label),
    `<text transform="translate(14 ${middle}) rotate(-90)" text-anchor="middle">${escaped(y.label)}</text>`,
    ...curves.map(({ points }, i) => {
      const path = points.map(([at, value]) => `${rounded(across.at(at))} ${rounded(up.at(value))}`).join("L");
      return `<path d="M${path}" fill="none" stroke="${COLOURS[i]}" stroke-width="1.8"/>`;
    }),
    ...legend(curves),
    "</svg>",
  ].join("\n")}\n`;
}

/** From 0 where the values span little, else over whole powers of ten. */
function upwards(values) {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const ends = [BOX.bottom, BOX.top];
  if (least > 0 && most / least > WIDE) {
    return scale([10 ** Math.floor(Math.log10(least)), 10 ** Math.ceil(Math.log10(most))], true, ends);
  }
  const [low, high] = [Math.min(0, least), Math.max(0, most)];
  const step = stepOf(high - low || 1);
  return scale([step * Math.floor(low / step + 1e-9), step * Math.max(1, Math.ceil(high / step - 1e-9))], false, ends);
}

function scale([from, to], logarithmic, [start, end]) {
  const of = logarithmic ? Math.log10 : Number;
  const at = (value) => rounded(start + ((of(value) - of(from)) / (of(to) - of(from))) * (end - start));
  return { at, ticks: logarithmic ? decades(from, to) : steps(from, to) };
}

/** About five steps of 1, 2 or 5 times a power of ten. */
function stepOf(span) {
  const power = 10 ** Math.floor(Math.log10(span / 4));
  return power * [1, 2, 5, 10].find((factor) => span / (factor * power) <= 6);
}

function steps(from, to) {
  const step = stepOf(to - from);
  const first = Math.ceil(from / step - 1e-9);
  return Array.from({ length: Math.floor(to / step + 1e-9) - first + 1 }, (_, i) => (first + i) * step);
}

/** Powers of ten; over few of them also 2 and 5 times each. */
function decades(from, to) {
  const factors = to / from > 1000 ? [1] : [1, 2, 5];
  const ticks = [];
  for (let power = Math.floor(Math.log10(from)); power <= Math.log10(to); power++) {
    for (const factor of factors) ticks.push(factor * 10 ** power);
  }
  return ticks.filter((tick) => tick >= from * (1 - 1e-9) && tick <= to * (1 + 1e-9));
}

/** Names above the box, each after a piece of its curve, in one line or two. */
function legend(curves) {
  let [left, y] = [BOX.left, 14];
  return curves.flatMap(({ name }, i) => {
    const width = 34 + 5.6 * name.length;
    if (left > BOX.left && left + width > WIDTH) [left, y] = [BOX.left, y + 15];
    const start = left;
    left += width;
    const line = `<path d="M${rounded(start)} ${y}h16" stroke="${COLOURS[i]}" stroke-width="1.8"/>`;
    return [line, text(rounded(start + 20), y + 4, "start", name)];
  });
}

const grid = (x1, y1, x2, y2) => `<path d="M${x1} ${y1}L${x2} ${y2}" stroke="#ddd"/>`;
const text = (x, y, anchor, words) => `<text x="${x}" y="${y}" text-anchor="${anchor}">${escaped(words)}</text>`;
const rounded = (value) => Number(value.toFixed(1));
const shown = (value) => String(Number(value.toPrecision(6))).replace("-", "−");
const escaped = (words) => words.replaceAll("&", "&amp;").replaceAll("<", "&lt;");
