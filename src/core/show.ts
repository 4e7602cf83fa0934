const longestShown = 40;

/** A text shortened to what a message can hold. */
export const shortened = (text: string): string =>
  text.length > longestShown ? `${text.slice(0, longestShown)}…` : text;

/** A computed number to four digits, for a message. */
export const rounded = (value: number): string => String(Number(value.toPrecision(4)));

/** A value in a few words, for a message: never looks into an object, never throws, never long. */
export const shown = (value: unknown): string => {
  switch (typeof value) {
    case "string":
      return `'${shortened(value)}'`;
    case "undefined":
      return "nothing";
    case "object":
      if (value === null) return "null";
      return Array.isArray(value) ? `a list of ${value.length}` : "an object";
    case "function":
      return "a function";
    case "bigint":
      return `${shortened(String(value))}n`;
    default:
      return shortened(String(value));
  }
};
