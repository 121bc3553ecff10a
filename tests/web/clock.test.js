/** Stamps and ids by the shared cases. */

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { idOf, idSource, newId } from '../../web/notebook/ids.js';
import { stampAfter, stampMs } from '../../web/notebook/stamp.js';
import { read, seeded } from './cases.js';

const CASES = read('clock.json');
const DEVICE = '01900000-0000-7000-8000-000000000000';
const FORM = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;

for (const one of CASES.cases) {
  test(`stamp: ${one.name}`, () => {
    assert.equal(stampAfter(one.now_ms, one.offset_ms, one.heads, one.device), one.stamp);
  });
}

test('stamps sort as text', () => {
  assert.deepEqual([...CASES.order].sort(), CASES.order);
});

test('a stamp is higher than every head', () => {
  const random = seeded(3);
  for (let round = 0; round < 1000; round += 1) {
    const heads = Array.from({ length: 5 }, () => {
      const ms = Math.floor(random() * (10 ** 15 - 2));
      const count = random() < 0.3 ? 0xffff : Math.floor(random() * 0x10000);
      return `${String(ms).padStart(15, '0')}-${count.toString(16).padStart(4, '0')}-ffffffff`;
    });
    const now_ms = Math.floor((random() - 0.2) * 10 ** 14);
    const stamp = stampAfter(now_ms, 0, heads, DEVICE);
    assert.ok(heads.every((head) => stamp > head), `${stamp} ${heads}`);
    assert.ok(stampMs(stamp) >= now_ms);
  }
});

for (const { ms, random, id } of CASES.ids) {
  // The first is the example of RFC 9562, appendix A.6.
  test(`id ${id}`, () => {
    assert.equal(idOf(ms, Uint8Array.from(Buffer.from(random, 'hex'))), id);
  });
}

test('ids rise within one ms, over a full counter and when the clock steps back', () => {
  const next = idSource((size) => new Uint8Array(size).fill(0xff));
  const made = [];
  for (let count = 0; count < 5000; count += 1) made.push(next(1_764_064_800_123));
  made.push(next(1_764_064_700_000), next(1_764_064_900_000));
  assert.deepEqual([...made].sort(), made);
  assert.equal(new Set(made).size, made.length);
  for (const id of made) assert.match(id, FORM);
});

test('ids differ', () => {
  assert.equal(new Set(Array.from({ length: 1000 }, () => newId(5))).size, 1000);
});
