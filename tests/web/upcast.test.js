/** Lifting old changes, by the shared cases with their made-up table. */

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

import { same } from '../../web/notebook/canonical.js';
import { upcast } from '../../web/notebook/upcast.js';
import { read } from './cases.js';

const CASES = read('upcast.json');

for (const one of CASES.cases) {
  test(`upcast: ${one.name}`, () => {
    const before = structuredClone(one.change);
    const lifted = upcast(one.change, CASES);
    assert.ok(same(lifted, one.expect), JSON.stringify(lifted));
    assert.deepEqual(one.change, before, 'what was written is left as it was');
    assert.ok(same(upcast(lifted, CASES), lifted));
  });
}

test('what is malformed passes to its reader', () => {
  const malformed = [
    {},
    { schema: '1' },
    { schema: true },
    { schema: 0 },
    { schema: 1, set: [] },
    { schema: 1, kind: 'perch', set: { label: 1 }, base: 7 },
    { schema: 9, set: {} },
  ];
  for (const raw of malformed) assert.deepEqual(upcast(raw, CASES), raw);
});

test('the table that the server hands out can be read here', () => {
  const table = JSON.parse(readFileSync(new URL('../../scout/notebook/upcasts.json', import.meta.url), 'utf8'));
  const change = { schema: table.schema, kind: 'perch', set: { name: 'A' }, base: { name: [] } };
  assert.equal(upcast(change, table), change);
  const known = ['becomes', 'rename', 'convert', 'split'];
  for (const step of table.table) assert.ok(known.some((way) => way in step), JSON.stringify(step));
});
