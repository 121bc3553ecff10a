/** What sync decides without a browser: batches, waits, and whom it believes. */

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { bytesOf } from '../../web/notebook/canonical.js';
import { PART_BYTES, base64Of, blobLines } from '../../web/notebook/rescue.js';
import { PUSH_BYTES, batches } from '../../web/notebook/round.js';
import { SERVICE, Server, ServerTrouble, pushBody } from '../../web/notebook/server.js';
import { LONGEST_WAIT_MS, waitMs } from '../../web/notebook/sync.js';
import { seeded } from './cases.js';

const BASE = 'http://phone.test/api/v1/';

function answering(status, body, headers = { 'Content-Type': 'application/json' }) {
  return new Server(async () => new Response(body, { status, headers }), BASE);
}

async function kindOf(promise) {
  try {
    await promise;
  } catch (trouble) {
    assert.ok(trouble instanceof ServerTrouble, String(trouble));
    return trouble.kind;
  }
  return 'none';
}

test('batches hold at most 500 changes and 1 MiB, and every change once', () => {
  const random = seeded(7);
  for (let round = 0; round < 10; round += 1) {
    const bodies = Array.from({ length: Math.floor(random() * 1500) }, () => ({
      body: '€'.repeat(Math.floor(random() ** 12 * 400_000)),
    }));
    const made = batches(bodies);
    assert.deepEqual(made.flat(), bodies);
    for (const batch of made) {
      assert.ok(batch.length <= 500);
      assert.ok(batch.length === 1 || bytesOf(pushBody(batch.map((one) => one.body))) <= PUSH_BYTES);
    }
  }
});

test('waits double with jitter, up to 5 min, and heed the server', () => {
  assert.equal(waitMs(1, () => 1), 2000);
  assert.equal(waitMs(1, () => 0), 1000);
  assert.equal(waitMs(4, () => 1), 16_000);
  assert.equal(waitMs(50, () => 1), LONGEST_WAIT_MS);
  assert.equal(waitMs(1, () => 0, 60), 60_000);
  assert.equal(waitMs(1, () => 0, 86_400), LONGEST_WAIT_MS);
});

test('a ping proves our server, and its time', async () => {
  const said = { service: SERVICE, epoch: 'e', time: '2026-05-12T04:35:00.000Z', schema: 1, durable_seq: 4 };
  const pinged = await answering(200, JSON.stringify(said)).ping();
  assert.deepEqual(pinged, { epoch: 'e', time_ms: Date.UTC(2026, 4, 12, 4, 35), schema: 1, durable_seq: 4 });
});

test('a captive portal is not believed', async () => {
  const html = { 'Content-Type': 'text/html' };
  assert.equal(await kindOf(answering(200, '<html>Welcome</html>', html).ping()), 'not_ours');
  assert.equal(await kindOf(answering(200, '{"hello": 1}').ping()), 'not_ours');
  assert.equal(await kindOf(answering(200, '{"torn": ').ping()), 'not_ours');
  assert.equal(await kindOf(answering(200, '<html></html>', html).push(['{}'])), 'not_ours');
  assert.equal(await kindOf(answering(200, '{"answers": []}').push(['{}'])), 'not_ours');
  assert.equal(await kindOf(answering(400, 'Bad Request', html).push(['{}'])), 'not_ours');
  assert.equal(await kindOf(answering(200, null, html).blobOffset('aa')), 'not_ours');
});

test('every way of failing has its name', async () => {
  const sentence = JSON.stringify({ error: { code: 'x', message: 'No.' } });
  for (const [status, kind] of [
    [401, 'unpaired'],
    [403, 'not_allowed'],
    [413, 'refused'],
    [400, 'refused'],
    [429, 'busy'],
    [500, 'busy'],
    [503, 'busy'],
    [507, 'server_full'],
  ]) {
    assert.equal(await kindOf(answering(status, sentence).push(['{}'])), kind, String(status));
  }
  const invalid = JSON.stringify({ error: { code: 'cursor_invalid', message: 'Start again.' } });
  assert.equal(await kindOf(answering(409, invalid).pull(null, null, 10)), 'cursor_invalid');
  const gone = new Server(() => Promise.reject(new TypeError('no network')), BASE);
  assert.equal(await kindOf(gone.ping()), 'unreachable');
});

test('requests carry the header of ours and JSON', async () => {
  const seen = [];
  const server = new Server(async (url, init) => {
    seen.push({ url: String(url), ...init });
    return new Response('{"answers": [{"status": "ok", "seq": 1}], "furthest": "e:1:c"}', {
      headers: { 'Content-Type': 'application/json' },
    });
  }, BASE);
  const said = await server.push(['{"id":"a"}']);
  assert.deepEqual(said, { answers: [{ status: 'ok', seq: 1 }], furthest: 'e:1:c' });
  assert.equal(seen[0].url, `${BASE}push`);
  assert.equal(seen[0].body, '{"changes":[{"id":"a"}]}');
  assert.equal(seen[0].headers['Content-Type'], 'application/json');
  assert.equal(seen[0].headers['X-Scout'], '1');
  assert.equal(seen[0].redirect, 'error');
});

test('a push says who sends it, for it may carry what others wrote', () => {
  assert.equal(pushBody(['{"id":"a"}'], 'e:1:c', 'd'), '{"changes":[{"id":"a"}],"furthest":"e:1:c","device":"d"}');
});

test('photos in a rescue file are whole, in parts', () => {
  const bytes = new Uint8Array(2 * PART_BYTES + 5).map((_, place) => (place * 7919) % 251);
  const lines = blobLines('ab', 'image/jpeg', bytes.buffer).map((line) => JSON.parse(line));
  assert.deepEqual(lines.map(({ part, parts }) => [part, parts]), [[1, 3], [2, 3], [3, 3]]);
  const whole = Buffer.concat(lines.map(({ base64 }) => Buffer.from(base64, 'base64')));
  assert.deepEqual(new Uint8Array(whole), bytes);
  assert.equal(base64Of(new Uint8Array([102, 111, 111, 98])), 'Zm9vYg=='); // RFC 4648, 10
});
