/** A small seeded generator of random numbers, the same everywhere: a linear congruence, its bits stirred. */
export class Random {
  private state: number;

  constructor(seed: number) {
    this.state = Math.imul(seed + 1, 0x9e3779b1);
    this.unit();
  }

  /** From 0 up to, but not, 1. */
  unit(): number {
    this.state = (Math.imul(this.state, 1664525) + 1013904223) | 0;
    const stirred = Math.imul(this.state ^ (this.state >>> 15), 0x2c1b3c6d);
    return ((stirred ^ (stirred >>> 13)) >>> 0) / 2 ** 32;
  }

  below(count: number): number {
    return Math.floor(this.unit() * count);
  }

  pick<T>(list: readonly T[]): T {
    return list[this.below(list.length)];
  }
}

type Holder = Record<string, unknown>;

/** Where a value stands: in an object under a key, or in a list under its number. */
interface Place {
  readonly holder: Holder;
  readonly key: string;
}

const placesIn = (value: unknown, found: Place[] = []): Place[] => {
  if (typeof value !== "object" || value === null) return found;
  for (const key of Object.keys(value)) {
    found.push({ holder: value as Holder, key });
    placesIn((value as Holder)[key], found);
  }
  return found;
};

const valueAt = ({ holder, key }: Place): unknown => holder[key];

const gentleFactors = [0.1, 0.5, 0.9, 0.999, 1.001, 1.1, 2, 10];
const harshNumbers = [
  ...[0, -0, 1, -1, 1e-300, 5e-324, 1e-9, 1e9, 1e15, 1e300, -1e300, 2 ** 53, Number.MAX_VALUE],
  ...[Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY],
];
const texts = [
  ...[
    "180 mm",
    "180 Pa",
    "45 l/s",
    "900 m³/h",
    "20 °C",
    "-300 °C",
    "50 %",
    "90 deg",
    "0 m",
    "-2 m",
    "1,5 m",
    "5",
    "5 m m",
  ],
  ...[
    "1e400 m",
    "1e-400 m",
    "1e-320 m",
    "1e300 Pa",
    "NaN",
    "Infinity",
    "-Infinity m",
    "0x10 m",
    "1e m",
    ".5 m",
    "+.5e1 mm",
  ],
  ...[
    "",
    " ",
    ".",
    "a.b",
    "a b",
    "-",
    "__proto__",
    "constructor",
    "hasOwnProperty",
    "total",
    "supply",
    "extract",
    "room",
  ],
  ...["galvanised steel", "m".repeat(2000), "9".repeat(400), "1 ".repeat(500), "\u0000", "🌀", "٣ m"],
];
const others = (): unknown[] => [
  null,
  undefined,
  true,
  "",
  0,
  [],
  {},
  [[]],
  { value: 1 },
  () => 1,
  Symbol("s"),
  10n,
  new Date(0),
];
const unknownKeys = [
  "lenght",
  "Diameter",
  "__proto__",
  "constructor",
  "toString",
  "length",
  "pressure",
  "kind",
  "0",
  "",
];

/** One change of a document, in place. */
type Mutation = (random: Random, places: readonly Place[], document: Holder) => void;

/** A mutation of a place that is picked among those of some kind; does nothing where there are none. */
const atSome =
  (
    fits: (place: Place) => boolean,
    change: (place: Place, random: Random, places: readonly Place[]) => void,
  ): Mutation =>
  (random, places) => {
    const fitting = places.filter(fits);
    if (fitting.length > 0) change(random.pick(fitting), random, places);
  };

const isNumber = (place: Place): boolean => typeof valueAt(place) === "number";
const isText = (place: Place): boolean => typeof valueAt(place) === "string";
const isReference = ({ key }: Place): boolean => ["id", "from", "to", "room", "name"].includes(key);
const isList = (place: Place): boolean => Array.isArray(valueAt(place));

const scale = atSome(isNumber, ({ holder, key }, random) => {
  holder[key] = (holder[key] as number) * random.pick(gentleFactors);
});
const shift = atSome(isNumber, ({ holder, key }, random) => {
  holder[key] = (holder[key] as number) + random.pick([-1, -0.1, 0.1, 1]);
});
const negate = atSome(isNumber, ({ holder, key }) => {
  holder[key] = -(holder[key] as number);
});
const enlarge = atSome(isNumber, ({ holder, key }, random) => {
  holder[key] = (holder[key] as number) * 10 ** (24 * random.unit() - 12);
});
const harshen = atSome(isNumber, ({ holder, key }, random) => {
  holder[key] = random.pick(harshNumbers);
});
const writeOut = atSome(isNumber, ({ holder, key }, random) => {
  holder[key] =
    `${holder[key]} ${random.pick(["m", "mm", "l/s", "Pa", "kPa", "kg/m3", "°C", "%", "W", "Pa s", "furlong", ""])}`;
});
const reword = atSome(isText, ({ holder, key }, random) => {
  holder[key] = random.pick(texts);
});
const misspell = atSome(isText, ({ holder, key }, random) => {
  const text = holder[key] as string;
  const at = random.below(text.length + 1);
  holder[key] = `${text.slice(0, at)}${random.pick(["", "x", ".", " ", "é", "-"])}${text.slice(at + random.below(2))}`;
});
/** Any id or end of the document in place of another. */
const redirect = atSome(isReference, ({ holder, key }, random, places) => {
  const known = places.filter((place) => isReference(place) && isText(place)).map(valueAt);
  const port = random.pick(["", "", "", ".inlet", ".outlet", ".supply", ".extract", ".a", ".", ".inlet.x"]);
  holder[key] = `${random.pick(known)}${port}`;
});
/** What stands under the same key elsewhere. */
const borrow: Mutation = (random, places) => {
  const { holder, key } = random.pick(places);
  const alike = places.filter((place) => place.key === key);
  holder[key] = structuredClone(valueAt(random.pick(alike)));
};
const exchange: Mutation = (random, places) => {
  const [a, b] = [random.pick(places), random.pick(places)];
  const held = valueAt(a);
  a.holder[a.key] = valueAt(b);
  b.holder[b.key] = held;
};
const drop: Mutation = (random, places) => {
  const { holder, key } = random.pick(places);
  if (Array.isArray(holder)) holder.splice(Number(key), 1);
  else delete holder[key];
};
const repeat = atSome(isList, (place, random) => {
  const list = valueAt(place) as unknown[];
  if (list.length > 0) list.splice(random.below(list.length), 0, structuredClone(random.pick(list)));
});
const reorder = atSome(isList, (place, random) => {
  const list = valueAt(place) as unknown[];
  list.push(...list.splice(0, random.below(list.length + 1)));
});
/** Two of one element, each with its own id. */
const double: Mutation = (random, _, document) => {
  const list = document[random.pick(["nodes", "ducts", "openings"])];
  if (!Array.isArray(list) || list.length === 0) return;
  list.push({ ...structuredClone(random.pick(list)), id: `twin${list.length}` });
};
const retype: Mutation = (random, places) => {
  const { holder, key } = random.pick(places);
  holder[key] = random.pick(others());
};
const addKey: Mutation = (random, places) => {
  const { holder } = random.pick(places);
  const value = random.pick([1, "1 m", {}, null]);
  Object.defineProperty(holder, random.pick(unknownKeys), {
    value,
    enumerable: true,
    configurable: true,
    writable: true,
  });
};
const nest: Mutation = (random, places) => {
  const { holder, key } = random.pick(places);
  const depth = random.pick([1, 1, 2, 500]);
  for (let level = 0; level < depth; level += 1) holder[key] = random.pick([[holder[key]], { [key]: holder[key] }]);
};
const knot: Mutation = (random, places, document) => {
  const { holder, key } = random.pick(places);
  holder[key] = document;
};
const trap: Mutation = (random, places) => {
  const { holder, key } = random.pick(places);
  const get = (): never => {
    throw new Error("a trap in the document");
  };
  Object.defineProperty(holder, key, { get, enumerable: true, configurable: true });
};

/** Small changes come more often, so that many a mutant is a document still. */
const mutations: readonly (readonly [number, Mutation])[] = [
  [14, scale],
  [4, shift],
  [4, negate],
  [8, enlarge],
  [4, harshen],
  [2, writeOut],
  [2, reword],
  [1, misspell],
  [5, redirect],
  [10, borrow],
  [1, exchange],
  [4, drop],
  [1, repeat],
  [2, reorder],
  [3, double],
  [1, retype],
  [1, addKey],
  [0.5, nest],
  [0.2, knot],
  [0.2, trap],
];
const weights = mutations.reduce((sum, [weight]) => sum + weight, 0);

const pickMutation = (random: Random): Mutation => {
  let at = random.unit() * weights;
  for (const [weight, mutation] of mutations) {
    at -= weight;
    if (at < 0) return mutation;
  }
  return scale;
};

/** A document with one to five random changes; the given one stays as it is. */
export const mutated = (document: object, random: Random): unknown => {
  const mutant = structuredClone(document) as Holder;
  do {
    try {
      pickMutation(random)(random, placesIn(mutant), mutant);
    } catch {
      return mutant; // tied into a knot or trapped: that is change enough
    }
  } while (random.unit() < 0.45);
  return mutant;
};
