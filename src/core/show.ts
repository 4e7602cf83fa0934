const longestShown = 40;

/** A text shortened to what a message can hold. */
export const shortened = (text: string): string =>
  text.length > longestShown ? `${text.slice(0, longestShown)}…` : text;

/** A computed number to four digits, for a message. */
export const rounded = (value: number): string => String(Number(value.toPrecision(4)));

/** A revoked proxy throws even where it is asked whether it is a list. */
const listLength = (value: object): number | undefined => {
  try {
    return Array.isArray(value) ? value.length : undefined;
  } catch {
    return undefined;
  }
};

/** A value in a few words, for a message: never looks into an object, never throws, never long. */
export const shown = (value: unknown): string => {
  switch (typeof value) {
    case "string":
      return `'${shortened(value)}'`;
    case "undefined":
      return "nothing";
    case "object": {
      if (value === null) return "null";
      const length = listLength(value);
      return length === undefined ? "an object" : `a list of ${length}`;
    }
    case "function":
      return "a function";
    case "bigint":
      return `${shortened(String(value))}n`;
    default:
      return shortened(String(value));
  }
};
