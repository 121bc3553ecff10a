/**
 * One round of syncing: prove the server, make up with another journal, push, pull, send photos. Fails by
 * throwing; whatever was done by then stays done, and another round goes on from there.
 * Not for: when to go round (`sync`), or HTTP (`server`).
 *
 * @typedef {import('./types.d.ts').Answer} Answer
 * @typedef {import('./types.d.ts').Journey} Journey
 * @typedef {import('./types.d.ts').JournalRow} JournalRow
 * @typedef {import('./server.js').Server} Server
 * @typedef {import('./store.js').Store} Store
 * @typedef {import('./applier.js').Applier} Applier
 * @typedef {{pushed?: number, pulled?: number, blob_bytes?: number}} Progress
 * @typedef {{server: Server, store: Store, applier: Applier, now: () => number, progress: (more: Progress) => void}} Means
 */

import { bytesOf, canonical } from './canonical.js';
import { NO_JOURNEY, putJourney } from './journey.js';
import { changeBlob, toldOf, waitingBlobs } from './photos.js';
import { inOne } from './records.js';
import { ServerTrouble } from './server.js';

export const PUSH_CHANGES = 500;
export const PUSH_BYTES = 1_048_576;
export const PIECE_BYTES = 1_048_576;
const OFFER_IDS = 5000;
const PULL_ROWS = 1000;
const RESTARTS = 2;

/**
 * Go round once. Answers whether something waits for a newer server.
 * @param {Means} means
 * @returns {Promise<{server_older: boolean}>}
 */
export async function goRound(means) {
  await meet(means);
  let server_older = false;
  /** @type {ServerTrouble | null} */
  let barred = null;
  for (let restarts = 0; ; restarts += 1) {
    try {
      if ((await journeyOf(means)).restart) await makeUp(means);
      barred = null;
      server_older = await pushAll(means).catch((trouble) => {
        if (!(trouble instanceof ServerTrouble) || trouble.kind !== 'not_allowed') throw trouble;
        barred = trouble; // who may no longer write still reads
        return false;
      });
      await pullAll(means);
      break;
    } catch (trouble) {
      const other = trouble instanceof ServerTrouble && trouble.kind === 'cursor_invalid';
      if (!other || restarts >= RESTARTS) throw trouble;
      await keep(means, { restart: true });
    }
  }
  if (barred !== null) throw barred;
  await sendPhotos(means);
  await askAboutPhotos(means);
  await keep(means, { last_sync: means.now() });
  return { server_older };
}

/** @param {Means} means @returns {Promise<Journey>} */
async function journeyOf({ store }) {
  return (await (await store.db()).get('kv', 'journey')) ?? NO_JOURNEY;
}

/** @param {Means} means @param {Partial<Journey>} journey */
async function keep({ store }, journey) {
  await inOne(await store.db(), (tx) => putJourney(tx, journey));
}

/**
 * Ping: whose journal it is, what is backed up, how far the phone's clock is off.
 * @param {Means} means
 */
async function meet(means) {
  const sent = means.now();
  const { epoch, time_ms, durable_seq } = await means.server.ping();
  const offset_ms = Math.round(time_ms - (sent + means.now()) / 2);
  const before = await journeyOf(means);
  const restart = before.restart || (before.epoch !== null && before.epoch !== epoch);
  await keep(means, { epoch, durable_seq: restart ? 0 : durable_seq, offset_ms, restart });
}

/**
 * Make up with a journal that is another: forget every seq, offer all that is held, learn what is there.
 * Until that is answered nothing counts as sent; broken off, it is done again from the start.
 * @param {Means} means
 */
async function makeUp(means) {
  const { store, server, applier } = means;
  await applier.ask('forgetSeqs', {});
  const db = await store.db();
  const parked = new Set(await db.getAllKeysFromIndex('journal', 'parked'));
  /** @type {string | undefined} */
  let last;
  for (let more = true; more; ) {
    const range = last === undefined ? null : IDBKeyRange.lowerBound(last, true);
    const keys = await db.getAllKeys('journal', range, OFFER_IDS);
    more = keys.length === OFFER_IDS;
    last = keys.at(-1);
    const ids = keys.filter((id) => !parked.has(id));
    if (ids.length === 0) continue;
    const { present, furthest } = await server.offer(ids);
    const here = ids.filter((id) => Number.isInteger(present[id]));
    const answers = here.map((id) => ({ status: 'duplicate', seq: present[id] }));
    await applier.ask('takeAnswers', { ids: here, answers, about: { furthest, at: means.now() } });
  }
  await keep(means, { restart: false });
}

/**
 * Send the outbox. Answers whether something waits for a newer server.
 * @param {Means} means
 */
async function pushAll(means) {
  const db = await means.store.db();
  const later = new Set();
  for (;;) {
    const ids = (await db.getAllKeysFromIndex('journal', 'unsent')).filter((id) => !later.has(id));
    if (ids.length === 0) return later.size > 0;
    for (let start = 0; start < ids.length; start += PUSH_CHANGES) {
      const some = ids.slice(start, start + PUSH_CHANGES);
      const rows = await Promise.all(some.map((id) => db.get('journal', id)));
      const held = rows.flatMap((row) => (row?.unsent === undefined ? [] : [row]));
      const bodies = held.map((row) => ({ id: row.id, body: canonical(row.change) }));
      for (const batch of batches(bodies)) {
        for (const id of await pushBatch(means, batch)) later.add(id);
      }
    }
  }
}

/**
 * Cut bodies into batches of at most 500 and 1 MiB; one that is larger alone goes alone.
 * @template {{body: string}} B
 * @param {B[]} bodies
 * @returns {B[][]}
 */
export function batches(bodies) {
  const made = [];
  /** @type {B[]} */
  let batch = [];
  let size = 0;
  for (const one of bodies) {
    const bytes = bytesOf(one.body) + 1;
    if (batch.length > 0 && (batch.length >= PUSH_CHANGES || size + bytes > PUSH_BYTES - 100)) {
      made.push(batch);
      batch = [];
      size = 0;
    }
    batch.push(one);
    size += bytes;
  }
  if (batch.length > 0) made.push(batch);
  return made;
}

/**
 * Send one batch; where the server will not have it as a whole, halve it until the offending change is
 * alone, park that, and go on. Answers the ids that must wait.
 * @param {Means} means
 * @param {{id: string, body: string}[]} batch
 * @returns {Promise<string[]>}
 */
async function pushBatch(means, batch) {
  const { server, applier } = means;
  const ids = batch.map((one) => one.id);
  let said;
  try {
    const { furthest } = await journeyOf(means);
    said = await server.push(batch.map((one) => one.body), furthest);
  } catch (trouble) {
    if (!(trouble instanceof ServerTrouble) || trouble.kind !== 'refused') throw trouble;
    if (batch.length > 1) {
      const half = Math.ceil(batch.length / 2);
      const first = await pushBatch(means, batch.slice(0, half));
      return [...first, ...(await pushBatch(means, batch.slice(half)))];
    }
    const code = trouble.status === 413 ? 'too_large' : 'not_taken';
    /** @type {Answer} */
    const answer = { status: 'quarantined', code, message: trouble.says ?? undefined };
    said = { answers: [answer], furthest: null };
  }
  const { answers, furthest } = said;
  await applier.ask('takeAnswers', { ids, answers, about: { furthest, at: means.now() } });
  means.progress({ pushed: ids.length });
  return ids.filter((_, place) => !isSettled(answers[place]));
}

/** @param {Answer} answer */
function isSettled({ status, seq }) {
  return status === 'quarantined' || ((status === 'ok' || status === 'duplicate') && Number.isInteger(seq));
}

/** @param {Means} means */
async function pullAll(means) {
  for (let more = true; more; ) {
    const { cursor, furthest } = await journeyOf(means);
    const page = await means.server.pull(cursor, furthest, PULL_ROWS);
    const journey = { cursor: page.cursor, furthest: page.cursor };
    await means.applier.ask('takePulled', { pulled: page.changes, journey });
    means.progress({ pulled: page.changes.length });
    more = page.more && page.changes.length > 0;
  }
}

/**
 * Send photos piece by piece, going on from where the server is; one that it will not have delays no other.
 * @param {Means} means
 */
async function sendPhotos(means) {
  const { store } = means;
  /** @type {ServerTrouble | undefined} */
  let later;
  for (const row of await waitingBlobs(store)) {
    const bytes = await (await store.db()).get('bytes', row.sha256);
    if (bytes === undefined) {
      await changeBlob(store, row.sha256, ({ waiting: _, ...rest }) => ({ ...rest, trouble: { code: 'bytes_lost' } }));
      continue;
    }
    try {
      await sendPhoto(means, row, bytes);
      await changeBlob(store, row.sha256, (one) => toldOf(one, 'here'));
    } catch (trouble) {
      if (!(trouble instanceof ServerTrouble) || trouble.kind !== 'refused') throw trouble;
      if (trouble.status === 400) {
        later = trouble; // a piece torn on its way: the photo itself is sound
        continue;
      }
      const why = { code: trouble.status === 413 ? 'too_large' : 'not_taken', message: trouble.says ?? undefined };
      await changeBlob(store, row.sha256, ({ waiting: _, ...rest }) => ({ ...rest, trouble: why }));
    }
  }
  if (later !== undefined) throw later;
}

/**
 * @param {Means} means
 * @param {import('./types.d.ts').BlobRow} row
 * @param {ArrayBuffer} bytes
 */
async function sendPhoto({ server, progress }, { sha256, size, type }, bytes) {
  let offset = await server.blobOffset(sha256);
  let astray = 0;
  while (offset < size) {
    const piece = bytes.slice(offset, offset + PIECE_BYTES);
    try {
      const before = offset;
      offset = await server.sendPiece(sha256, piece, { offset, size, type });
      if (offset <= before) throw new ServerTrouble('busy'); // it took nothing; later, then
      progress({ blob_bytes: piece.byteLength });
    } catch (trouble) {
      astray += 1;
      if (!(trouble instanceof ServerTrouble) || astray > 3) throw trouble;
      // The server says where it is: at the start again where the whole was not what its name says.
      const again = trouble.kind === 'offset' || (trouble.code === 'not_its_hash' && astray === 1);
      if (!again) throw trouble;
      offset = trouble.offset;
    }
  }
}

/**
 * Ask which photos are in a backup, and whether those sent are still there.
 * @param {Means} means
 */
async function askAboutPhotos({ store, server }) {
  const hashes = await (await store.db()).getAllKeysFromIndex('blob', 'state', 'server');
  for (let start = 0; start < hashes.length; start += OFFER_IDS) {
    const { blobs } = await server.offer([], hashes.slice(start, start + OFFER_IDS));
    for (const [sha256, told] of Object.entries(blobs)) {
      if (told !== 'here') await changeBlob(store, sha256, (row) => toldOf(row, told));
    }
  }
}
