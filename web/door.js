/**
 * The server's door as the screens ask it: pairing, devices, people, backups. Needs the network each time;
 * nothing of it is kept. Not for: the journal (notebook/server.js).
 */

import { useEffect, useState } from './doors/preact.js';
import { door as words } from './words_door.js';

const PATIENCE_MS = 15_000;

/** A refusal of the door, with the server's own sentence; code `away` where nobody answered. */
export class DoorTrouble extends Error {
  /** @param {string} code @param {string} says @param {number} [status] @param {number} [after_s] */
  constructor(code, says, status = 0, after_s = 0) {
    super(says);
    this.name = 'DoorTrouble';
    this.code = code;
    this.status = status;
    this.after_s = after_s;
  }
}

/**
 * Ask the door; with a body it is a POST. Throws DoorTrouble.
 * @param {string} path
 * @param {Record<string, unknown>} [body]
 * @returns {Promise<any>}
 */
export async function askDoor(path, body) {
  let answer;
  try {
    answer = await fetch(new URL(`api/v1/${path}`, new URL('./', import.meta.url)), {
      method: body === undefined ? 'GET' : 'POST',
      cache: 'no-store',
      credentials: 'same-origin',
      redirect: 'error',
      headers: { Accept: 'application/json', 'Content-Type': 'application/json', 'X-Scout': '1' },
      signal: AbortSignal.timeout(PATIENCE_MS),
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
  } catch {
    throw new DoorTrouble('away', words.away);
  }
  const said = await answer.json().catch(() => undefined);
  if (answer.ok && typeof said === 'object' && said !== null) return said;
  const error = said?.error;
  if (typeof error?.code !== 'string') throw new DoorTrouble('not_ours', words.not_ours, answer.status);
  throw new DoorTrouble(error.code, String(error.message), answer.status, Number(answer.headers.get('Retry-After')) || 0);
}

/**
 * The hook of an answer of the door: what was said, the trouble, and asking again.
 * @param {string | null} path null: nothing to ask
 * @returns {{said: any, trouble: DoorTrouble | null, again: () => void}}
 */
export function useDoor(path) {
  const [said, setSaid] = useState(/** @type {any} */ (undefined));
  const [trouble, setTrouble] = useState(/** @type {DoorTrouble | null} */ (null));
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    if (path === null) return undefined;
    let stopped = false;
    askDoor(path).then(
      (answer) => {
        if (stopped) return;
        setSaid(answer);
        setTrouble(null);
      },
      (fault) => {
        if (!stopped) setTrouble(fault instanceof DoorTrouble ? fault : new DoorTrouble('fault', String(fault)));
      },
    );
    return () => {
      stopped = true;
    };
  }, [path, turn]);
  return { said, trouble, again: () => setTurn((before) => before + 1) };
}
