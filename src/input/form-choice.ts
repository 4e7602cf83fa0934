import { nearestName } from "../core/nearest.js";

/** The keys of one form of an object. */
export interface FormKeys {
  readonly all: readonly string[];
  /** Those without a default. */
  readonly needed: readonly string[];
}

/** The keys by which forms differ: those that are not common to all. */
export const distinctKeys = (forms: readonly FormKeys[]): FormKeys[] => {
  const differs = (key: string): boolean => !forms.every(({ all }) => all.includes(key));
  return forms.map(({ all, needed }) => ({ all: all.filter(differs), needed: needed.filter(differs) }));
};

/** The known keys that an object has, and those that its misspelt ones probably mean. */
const meantKeys = (value: object, known: ReadonlySet<string>): Set<string> => {
  const given = Object.entries(value).filter(([, held]) => held !== undefined);
  return new Set(given.map(([key]) => (known.has(key) ? key : (nearestName(key, known) ?? key))));
};

/**
 * Which of several forms an object was meant to have, by the keys in which they differ: the one of whose needed keys most
 * are there, and of equals the one with most of its keys there, then the first. A misspelt key counts as the one it is
 * nearest to.
 *
 * @returns The form's place; undefined where no key tells.
 */
export const meantForm = (forms: readonly FormKeys[], value: object): number | undefined => {
  const meant = meantKeys(value, new Set(forms.flatMap(({ all }) => all)));
  const count = (keys: readonly string[]): number => keys.filter((key) => meant.has(key)).length;
  let chosen: { readonly share: number; readonly keys: number; readonly at: number } | undefined;
  distinctKeys(forms).forEach(({ all, needed }, at) => {
    const keys = count(all);
    const share = count(needed) / needed.length;
    const better = chosen === undefined || share > chosen.share || (share === chosen.share && keys > chosen.keys);
    if (keys > 0 && better) chosen = { share, keys, at };
  });
  return chosen?.at;
};
