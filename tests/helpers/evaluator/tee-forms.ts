/** Loss coefficients of the branch and of the run, on the velocity pressure of the summed flow in the main. */
export interface Coefficients {
  readonly branch: number;
  readonly run: number;
}

/** A state of a tee in which a straight leg carries the sum. */
export interface Split {
  /** Share of the branch in the sum [-] */
  readonly q: number;
  /** Area of the branch over that of the main [-] */
  readonly a: number;
  /** By which the branch air turns [rad] */
  readonly turn: number;
  /** Radius of the edge over the main's diameter [-] */
  readonly edgeRadius: number;
}

/**
 * On which side of a step in a printed table a share or an area ratio stands. Sources leave the steps; a library may
 * round them off, so that near a step both sides have their say.
 */
export interface Sides {
  readonly share: (q: number, step: number) => boolean;
  readonly area: (a: number, step: number) => boolean;
}

export interface Model {
  readonly diverging: (split: Split, below: Sides) => Coefficients;
  readonly converging: (split: Split, below: Sides) => Coefficients;
  /** Whether the two forms meet where the branch carries nothing. */
  readonly meets: boolean;
}

/** Gardel 1957. */
const gardel: Model = {
  diverging: ({ q, a, turn, edgeRadius }) => {
    const p = 1 - q;
    const slope = Math.tan(turn / 2);
    const full = (1.3 * slope - 0.3 + 0.4 / a ** 2 - 0.1 / a) * Math.max(0, 1 - 0.9 * Math.sqrt(edgeRadius / a)); // an edge cannot give pressure
    return {
      branch: 0.95 * p * p + full * q * q + 0.4 * p * q * slope * (1 + 1 / a),
      run: 0.03 * p * p + 0.35 * q * q - 0.2 * p * q,
    };
  },
  converging: ({ q, a, turn, edgeRadius }) => {
    const p = 1 - q;
    const cosine = Math.cos(turn);
    const edge = Math.sqrt(edgeRadius);
    const full = (1.2 - edge) * (cosine / a - 1) + 0.8 - 0.8 / a ** 2 - cosine / a + cosine;
    const straight = 0.62 + 0.38 * a + (1.62 - edge) * (cosine / a - 1);
    return {
      branch: (2 - a) * p * q - 0.92 * p * p - full * q * q,
      run: 0.03 * p * p + (2 - a) * p * q - straight * q * q,
    };
  },
  meets: true,
};

/** Idelchik, 3rd edition, 2006, pp. 416–418 and 453, tables 7-1, 7-3, 7-4, diagram 7-20: the run as large as the main. */
const idelchik: Model = {
  diverging: ({ q, a, turn }, below) => {
    const small = below.share(q, 0.4) ? 1.1 - 0.7 * q : 0.85;
    const large = below.share(q, 0.6) ? 1 - 0.6 * q : 0.6;
    const tau = below.area(a, 0.4) ? 0.4 : (2 * q - 1) * (below.share(q, 0.5) ? 2 : 0.3);
    const [along, across] = [Math.cos(turn) * (q / a), Math.sin(turn) * (q / a)];
    return { branch: (below.area(a, 0.35) ? small : large) * ((1 - along) ** 2 + across ** 2), run: tau * q * q };
  },
  converging: ({ q, a, turn }, below) => {
    const factor = below.share(q, 0.4) ? 0.9 - 0.9 * q : 0.55;
    const k1 = !below.area(a, 0.35) && below.share(q, 0.6) ? 0.5 : 0.8 * q;
    const cosine = Math.cos(turn) / a;
    const bracket = 1 + (q / a) ** 2 - 2 * (1 - q) ** 2 - 2 * q * q * cosine;
    return {
      branch: (below.area(a, 0.35) ? 1 : factor) * bracket,
      run: 2 * q - q * q - (1.4 - q) * q * q * Math.sin(turn) - 2 * k1 * q * cosine,
    };
  },
  meets: false,
};

/** Hager 1984; Bassett, Winterbone and Pearson 2001: diverging as published, converging by the balance of momentum. */
const momentum: Model = {
  diverging: ({ q, a, turn }) => {
    const v = q / a;
    return { branch: 1 + v * v - 2 * v * Math.cos((3 * turn) / 4), run: q * q - 0.5 * q };
  },
  converging: ({ q, a, turn }) => {
    const v = q / a;
    const brought = 2 * q * v * Math.cos(turn);
    return { branch: 1 + v * v - 2 * (1 - q) ** 2 - brought, run: q * (2 - q) - brought };
  },
  meets: true,
};

export const teeModels: Readonly<Record<string, Model>> = { gardel, idelchik, momentum };
