import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  type ExchangerState,
  exchangerTemperatures,
  type FrostState,
  frostReducedSupply,
  heatCapacity,
  preheaterPower,
} from "../../src/air/exchanger.js";
import { numberWithin as amount } from "../helpers/numbers.js";
import counterflow from "../references/counterflow.json" with { type: "json" };

const states: fc.Arbitrary<ExchangerState> = fc.record({
  efficiency: amount(0, 1),
  supplyMassFlow: amount(0.01, 2),
  extractMassFlow: amount(0.01, 2),
  outdoor: amount(-40, 45),
  extract: amount(10, 30),
});
const balanced: ExchangerState = {
  efficiency: 0.8,
  supplyMassFlow: 0.1,
  extractMassFlow: 0.1,
  outdoor: 0,
  extract: 20,
};

describe("a dry exchanger", () => {
  test("with equal flows warms by the efficiency times the difference and cools by as much", () => {
    const { supply, exhaust, heat } = exchangerTemperatures(balanced);
    expect(supply).toBeCloseTo(16, 12);
    expect(exhaust).toBeCloseTo(4, 12);
    expect(heat).toBeCloseTo(0.8 * 0.1 * heatCapacity * 20, 9);
  });

  test("of efficiency 0, bypassed, changes nothing", () => {
    expect(exchangerTemperatures({ ...balanced, efficiency: 0 })).toEqual({ supply: 0, exhaust: 20, heat: 0 });
  });

  test("conserves heat, heats no stream beyond the other's entry and cools none below it", () => {
    fc.assert(
      fc.property(states, (state) => {
        const { supply, exhaust, heat } = exchangerTemperatures(state);
        const given = state.extractMassFlow * heatCapacity * (state.extract - exhaust);
        const taken = state.supplyMassFlow * heatCapacity * (supply - state.outdoor);
        expect(Math.abs(given - taken)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(given)));
        expect(Math.abs(heat - taken)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(heat)));
        const [low, high] = [Math.min(state.outdoor, state.extract), Math.max(state.outdoor, state.extract)];
        for (const temperature of [supply, exhaust]) {
          expect(temperature).toBeGreaterThanOrEqual(low - 1e-9);
          expect(temperature).toBeLessThanOrEqual(high + 1e-9);
        }
      }),
    );
  });

  test("swaps its results when its streams are swapped", () => {
    fc.assert(
      fc.property(states, (state) => {
        const turned = exchangerTemperatures({
          efficiency: state.efficiency,
          supplyMassFlow: state.extractMassFlow,
          extractMassFlow: state.supplyMassFlow,
          outdoor: state.extract,
          extract: state.outdoor,
        });
        const { supply, exhaust, heat } = exchangerTemperatures(state);
        expect(turned.supply).toBeCloseTo(exhaust, 9);
        expect(turned.exhaust).toBeCloseTo(supply, 9);
        expect(turned.heat).toBeCloseTo(-heat, 6);
      }),
    );
  });

  test(`gives the heat of a counterflow exchanger with one flow reduced: ${counterflow.source} (${counterflow.status})`, () => {
    for (const [efficiency, ratio, effectiveness] of counterflow.rows) {
      for (const flows of [
        { supplyMassFlow: 0.2 * ratio, extractMassFlow: 0.2 },
        { supplyMassFlow: 0.2, extractMassFlow: 0.2 * ratio },
      ]) {
        const { heat } = exchangerTemperatures({ ...balanced, ...flows, efficiency });
        const counter = effectiveness * 0.2 * ratio * heatCapacity * 20;
        expect(Math.abs(heat / counter - 1)).toBeLessThan(1e-9);
      }
    }
  });

  test("hands over no less than the efficiency on the smaller flow, and no more than all that the smaller can take", () => {
    fc.assert(
      fc.property(states, (state) => {
        const { efficiency, supplyMassFlow, extractMassFlow, outdoor, extract } = state;
        const most = Math.min(supplyMassFlow, extractMassFlow) * heatCapacity * Math.abs(extract - outdoor);
        const heat = Math.abs(exchangerTemperatures(state).heat);
        expect(heat).toBeGreaterThanOrEqual(efficiency * most * (1 - 1e-12) - 1e-12);
        expect(heat).toBeLessThanOrEqual(most * (1 + 1e-12));
      }),
    );
  });

  test("goes over into equal flows without a step, to the last digits", () => {
    fc.assert(
      fc.property(amount(0, 1), amount(0, 1e-9), (efficiency, less) => {
        const nearly = exchangerTemperatures({ ...balanced, efficiency, supplyMassFlow: 0.1 * (1 - less) });
        expect(Math.abs(nearly.exhaust - (20 - 20 * efficiency))).toBeLessThanOrEqual(20 * less + 1e-13);
      }),
    );
  });

  test("cools its exhaust the further, the more supply air it has", () => {
    fc.assert(
      fc.property(states, amount(1, 5), (state, more) => {
        const colder = { ...state, outdoor: state.extract - 30 };
        const { exhaust } = exchangerTemperatures({ ...colder, supplyMassFlow: more * state.supplyMassFlow });
        expect(exhaust).toBeLessThanOrEqual(exchangerTemperatures(colder).exhaust + 1e-12);
      }),
    );
  });

  test("of flows as far apart as numbers go lets the smaller take it all, unless its efficiency is 0", () => {
    const apart = { ...balanced, supplyMassFlow: 1e-320, extractMassFlow: 1e300 };
    expect(exchangerTemperatures(apart)).toEqual({ supply: 20, exhaust: 20, heat: expect.any(Number) });
    expect(exchangerTemperatures({ ...apart, efficiency: 0 }).supply).toBe(0);
    expect(exchangerTemperatures({ ...apart, efficiency: 1 }).supply).toBe(20);
  });
});

/** An exchanger of the same conductance at a share of its supply flow. */
const reduced = (state: ExchangerState, share: number): ExchangerState => {
  const supplyMassFlow = share * state.supplyMassFlow;
  const [full, left] = [state.supplyMassFlow, supplyMassFlow].map((one) => Math.max(one, state.extractMassFlow));
  const conductance = (state.efficiency / (1 - state.efficiency)) * full;
  const efficiency = state.efficiency === 1 ? 1 : conductance / (conductance + left);
  return { ...state, supplyMassFlow, efficiency };
};

describe("frost protection by less supply air", () => {
  test("brings the exhaust to the limit exactly where it reduces at all, and leaves the full flow where it need not", () => {
    fc.assert(
      fc.property(states, amount(0, 25), (state, below) => {
        const limit = state.extract - below;
        const share = frostReducedSupply({ ...state, limit });
        expect(share).toBeGreaterThanOrEqual(0);
        expect(share).toBeLessThanOrEqual(1);
        if (share < 1e-6) return;
        const { exhaust } = exchangerTemperatures(reduced(state, share));
        expect(exhaust).toBeGreaterThanOrEqual(limit - 1e-9);
        if (share < 1) expect(exhaust).toBeCloseTo(limit, 9);
      }),
    );
  });

  test(`is the share at which a counterflow exchanger's exhaust leaves at the limit: ${counterflow.source} (${counterflow.status})`, () => {
    for (const [efficiency, outdoor, extract, limit, share] of counterflow.frost) {
      const found = frostReducedSupply({ ...balanced, efficiency, outdoor, extract, limit });
      expect(Math.abs(found - share)).toBeLessThan(1e-9);
    }
  });

  test("the docstring's example: −12 °C outdoors, 80 %, limit 0 °C", () => {
    expect(frostReducedSupply({ ...balanced, outdoor: -12, limit: 0 })).toBeCloseTo(0.655, 3);
  });

  test("holds the conductance of the full flows where supply is reduced from above the extract flow to below it", () => {
    for (const [efficiency, outdoor, extract, limit, full, left] of counterflow.unequal) {
      const found = frostReducedSupply({
        ...balanced,
        supplyMassFlow: 0.1 * full,
        efficiency,
        outdoor,
        extract,
        limit,
      });
      expect(Math.abs(full * found - left)).toBeLessThan(1e-9);
    }
  });

  test("an ideal exchanger asks for the supply flow that takes just the heat above the limit", () => {
    expect(frostReducedSupply({ ...balanced, efficiency: 1, outdoor: -12, limit: 4 })).toBeCloseTo(0.5, 12);
  });

  test("colder outdoor air never allows more supply air", () => {
    fc.assert(
      fc.property(states, amount(0, 20), amount(0, 15), (state, colder, below) => {
        const limit = state.extract - below;
        const outdoor = Math.max(-60, state.outdoor - colder);
        expect(frostReducedSupply({ ...state, outdoor, limit })).toBeLessThanOrEqual(
          frostReducedSupply({ ...state, limit }) + 1e-12,
        );
      }),
    );
  });
});

describe("a preheater", () => {
  test("takes about 1 kW for 5 K at 160 l/s (invented demo building)", () => {
    expect(preheaterPower(0.16 * 1.2, -9, -4)).toBeCloseTo(0.192 * 1006 * 5, 9);
  });

  test("takes nothing where the air is warm enough, and grows with flow and rise", () => {
    expect(preheaterPower(0.2, 3, -4)).toBe(0);
    expect(preheaterPower(0.2, -10, -4)).toBe(2 * preheaterPower(0.1, -10, -4));
  });

  test("before an exchanger keeps its exhaust at the limit when it warms to the temperature that the balance asks", () => {
    const limit = 1;
    const to = 20 - (20 - limit) / 0.8;
    const { exhaust } = exchangerTemperatures({ ...balanced, outdoor: to });
    expect(exhaust).toBeCloseTo(limit, 12);
  });
});

const refused = (call: () => unknown, ...paths: string[]): void => {
  expect(call).toThrow(
    expect.objectContaining({ name: "InputError", problems: paths.map((path) => expect.objectContaining({ path })) }),
  );
};

test("wrong states are refused with all their faults at once", () => {
  const wrong = { ...balanced, efficiency: 85, supplyMassFlow: 0, outdoor: Number.NaN };
  refused(() => exchangerTemperatures(wrong), "efficiency", "supplyMassFlow", "outdoor");
  refused(() => exchangerTemperatures({ ...balanced, limit: 0 } as ExchangerState), "limit");
  refused(() => exchangerTemperatures(undefined as unknown as ExchangerState), "state");
  refused(() => frostReducedSupply({ ...balanced, limit: 21 }), "limit");
  refused(() => frostReducedSupply({ ...balanced, limit: Number.NaN }), "limit");
  refused(() => frostReducedSupply(balanced as FrostState), "limit");
  refused(() => preheaterPower(-1, 0, 1), "massFlow");
  refused(() => preheaterPower(1, Number.NaN, 1), "from");
  refused(() => preheaterPower(1, 0, 101), "to");
});
