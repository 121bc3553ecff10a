/** The canonical form against RFC 8785's own samples, and the hashes drawn from it. */

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { bytesOf, canonical, same, sha256Of } from '../../web/notebook/canonical.js';
import { read } from './cases.js';

const CASES = read('canonical.json');

test('numbers of RFC 8785, appendix B', () => {
  for (const { bits, canonical: wanted } of CASES.numbers) {
    const view = new DataView(new ArrayBuffer(8));
    view.setBigUint64(0, BigInt(`0x${bits}`));
    assert.equal(canonical(view.getFloat64(0)), wanted, bits);
  }
});

test('texts, the samples of RFC 8785 among them', () => {
  for (const { json, canonical: wanted } of CASES.texts) assert.equal(canonical(JSON.parse(json)), wanted);
});

test('equal values', () => {
  for (const { one, other, equal } of CASES.equal) {
    assert.equal(same(JSON.parse(one), JSON.parse(other)), equal, `${one} ${other}`);
  }
});

for (const { json, what } of CASES.refused) {
  // JSON.parse cannot see an integer beyond 2^53: the server's reader does.
  if (what.startsWith('an integer')) continue;
  test(`refused: ${what} ${json}`, () => {
    const value = json.includes('NaN') || json.includes('Infinity') ? new Function(`return ${json}`)() : JSON.parse(json);
    assert.throws(() => canonical(value));
  });
}

test('what is no JSON is refused', () => {
  assert.throws(() => canonical(undefined), TypeError);
});

test('bodies and their hashes', async () => {
  for (const body of CASES.bodies) {
    assert.equal(canonical(JSON.parse(body.json)), body.canonical);
    assert.equal(await sha256Of(body.canonical), body.sha256);
  }
});

test('bytes of UTF-8', () => {
  assert.equal(bytesOf('aé€😀'), 1 + 2 + 3 + 4);
});
