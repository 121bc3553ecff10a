/**
 * The hook that takes one fix for the map, and knows whether the cross still stands where the fix or the typed
 * position put it. Not for: taking the fix itself (`sensing/fix`).
 *
 * @typedef {import('../sensing/fix.js').Fix} Fix
 * @typedef {{lat: number, lon: number}} Place
 */

import { useEffect, useRef, useState } from '../doors/preact.js';
import { lineBetween } from '../map/geometry.js';
import { WORDS } from '../map/words.js';
import { takeFix } from '../sensing/fix.js';
import { distance } from '../units.js';

/** @param {(fix: Fix, isFirst: boolean) => void} onFix */
export function useFix(onFix) {
  const [words, setWords] = useState('');
  const [isAsking, setAsking] = useState(false);
  const now = useRef({ stop: () => {}, best: /** @type {Fix | null} */ (null), typed: /** @type {Place | null} */ (null), hear: onFix });
  now.current.hear = onFix;
  useEffect(() => () => now.current.stop(), []);

  const start = () => {
    now.current.best = null;
    now.current.typed = null;
    setAsking(true);
    setWords(WORDS.fix.asking);
    const taken = takeFix({
      onBetter: (fix) => {
        const isFirst = now.current.best === null;
        now.current.hear(fix, isFirst);
        now.current.best = fix;
        setWords(WORDS.fix.soFar(distance(fix.accuracy_m)));
      },
    });
    now.current.stop = taken.stop;
    void taken.done.then((answer) => {
      setAsking(false);
      setWords(typeof answer === 'string' ? WORDS.fix[answer] : WORDS.fix.good(distance(answer.accuracy_m)));
    });
  };
  return {
    words,
    isAsking,
    start,
    stop: () => now.current.stop(),
    get best() {
      return now.current.best;
    },
    /** Whether the middle of the map is still where the fix put it. @param {import('../map/site_map.js').SiteMap} map @param {number} [within_px] */
    isFollowed: (map, within_px = 3) =>
      now.current.best !== null && lineBetween(map.view().centre, now.current.best).distance_m * map.lines.px_per_m() <= within_px,
    /** @param {Place} place */
    type: (place) => {
      now.current.stop();
      now.current.best = null;
      now.current.typed = place;
    },
    /** The typed position, if the cross still stands on it. @param {Place} centre */
    typedAt: (centre) => {
      const { typed } = now.current;
      return typed !== null && lineBetween(typed, centre).distance_m < 0.05 ? { ...typed, source: 'typed' } : null;
    },
  };
}
