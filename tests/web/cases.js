/** The cases in tests/reference/merge, which Python and JavaScript must both answer. */

import { readFileSync } from 'node:fs';

/** Read one file of cases. */
export function read(name) {
  return JSON.parse(readFileSync(new URL(`../reference/merge/${name}`, import.meta.url), 'utf8'));
}

/** A small source of numbers between 0 and 1 from a seed, so that a failure can be had again. */
export function seeded(seed) {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0; // Numerical Recipes' constants
    return state / 2 ** 32;
  };
}

/** Shuffle a copy. */
export function shuffled(list, random) {
  const copy = [...list];
  for (let last = copy.length - 1; last > 0; last -= 1) {
    const place = Math.floor(random() * (last + 1));
    [copy[last], copy[place]] = [copy[place], copy[last]];
  }
  return copy;
}
