import { expect, test } from "vitest";
import { campaign, type Family } from "../helpers/hard-networks.js";

test.each<Family>(["ends", "bridges", "hump", "tees", "tees dominate"])(
  "%s: 40 networks of 300 ducts are solved, and no fan is left where a disturbance grows",
  (family) => {
    const { failed, unstable, solved } = campaign(family, 1, 40);
    expect(failed).toEqual([]);
    expect(unstable).toEqual([]);
    expect(solved).toBe(40);
  },
);
