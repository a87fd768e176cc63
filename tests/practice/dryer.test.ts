import { expect, test } from "vitest";
import { dryMass, loadAt, netAfter, practiceLoads } from "../../src/practice/dryer.ts";
import { hours } from "../../src/units/quantity.ts";

const net = (place: number, dryingHours: number): number =>
  netAfter(loadAt(place), null, hours(dryingHours));
const excess = (place: number, dryingHours: number): number =>
  net(place, dryingHours) / dryMass(loadAt(place), null) - 1;
const places = practiceLoads.map((_, place) => place);

test.each(places)("load %d starts at its fresh mass and only ever loses", (place) => {
  expect(net(place, 0)).toBeCloseTo(loadAt(place).freshGrams, 9);
  for (let t = 0; t < 60; t += 0.25) expect(net(place, t + 0.25)).toBeLessThan(net(place, t));
});

test.each(places)("load %d ends at its dry matter and the water a dryer leaves", (place) => {
  const load = loadAt(place);
  const solids = load.freshGrams * (1 - (load.waterPct + load.waterOffPct) / 100);
  expect(net(place, 500)).toBeCloseTo(solids * 1.02, 6);
});

test("the slowest tray is within 0.3 % of its dry mass after 26 to 30 hours, the others before", () => {
  const [thick = 0, ...others] = places.toReversed();
  expect(excess(thick, 26)).toBeGreaterThan(0.003);
  expect(excess(thick, 30)).toBeLessThan(0.003);
  for (const other of others) {
    expect(excess(other, 16)).toBeGreaterThan(0.003);
    expect(excess(other, 26)).toBeLessThan(0.003);
  }
});

test("after the first pull the thick tray is the one that is behind", () => {
  const left = places.map((place) => excess(place, 15));
  expect(Math.max(...left)).toBe(left.at(-1));
});

// First-order decay has a closed form: once the ice is gone, an hour takes the same share of the excess each time.
test.each(places)("after the ice is gone load %d loses at its own first-order rate", (place) => {
  const { frontHours, boundRate } = loadAt(place);
  const later = excess(place, frontHours + 4) / excess(place, frontHours + 3);
  expect(Math.log(later)).toBeCloseTo(-boundRate, 6);
});

test("a person's own figure for the water moves the dry mass with it", () => {
  const load = loadAt(0);
  expect(dryMass(load, 79.8)).toBeCloseTo(load.freshGrams * 0.2 * 1.02, 6);
  expect(netAfter(load, 79.8, hours(0))).toBeCloseTo(load.freshGrams, 9);
});
