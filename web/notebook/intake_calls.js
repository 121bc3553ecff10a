/**
 * The acts that the worker does, by name, so that the page can do them where there is no worker.
 *
 * @typedef {import('./store.js').Database} Database
 * @typedef {import('./kinds.js').Kinds} Kinds
 * @typedef {import('./intake.js').Tell} Tell
 */

import { takeAnswers, takePulled } from './intake.js';
import { forgetSeqs, rebuild } from './remaking.js';

/**
 * @param {string} name
 * @param {Database} db
 * @param {Kinds} kinds
 * @param {any} args
 * @param {Tell} tell
 * @returns {Promise<void>}
 */
export function work(name, db, kinds, args, tell) {
  if (name === 'takePulled') return takePulled(db, kinds, args.pulled, args.journey, tell);
  if (name === 'takeAnswers') return takeAnswers(db, kinds, args.ids, args.answers, args.about, tell);
  if (name === 'forgetSeqs') return forgetSeqs(db);
  if (name === 'rebuild') return rebuild(db, kinds);
  throw new Error(`the worker knows no ${name}`);
}
