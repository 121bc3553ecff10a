/**
 * The phone's compass and level on one screen, shown until one tap holds both.
 * Not for: reading them (sensing/), what a heading is worth in degrees true (field_line.js).
 *
 * @typedef {import('../sensing/heading.js').Heading} Heading
 * @typedef {import('../sensing/tilt.js').Tilt} Tilt
 */

import { useEffect, useRef, useState } from '../doors/preact.js';
import { askToFeel, watchHeading } from '../sensing/heading.js';
import { watchTilt } from '../sensing/tilt.js';

/** Whether the compass may be started without a tap: some phones want to ask the person first. */
export async function startsByItself() {
  const asked = /** @type {{requestPermission?: unknown} | undefined} */ (/** @type {unknown} */ (globalThis.DeviceOrientationEvent));
  if (asked === undefined || asked.requestPermission === undefined) return asked !== undefined;
  try {
    const name = /** @type {PermissionName} */ (/** @type {unknown} */ ('gyroscope'));
    return (await navigator.permissions.query({ name })).state === 'granted';
  } catch {
    return false;
  }
}

/** The hook. `trouble` says why there is no heading (yet). @param {import('../sensing/heading.js').Hold} [held] 'edge': one sights along it */
export function useAim(held) {
  const [is_on, setOn] = useState(false);
  const [heading, setHeading] = useState(/** @type {Heading | null} */ (null));
  const [tilt, setTilt] = useState(/** @type {Tilt | null} */ (null));
  const [trouble, setTrouble] = useState(/** @type {import('../sensing/heading.js').NoHeading | ''} */ (''));
  const watches = useRef(/** @type {{heading: ReturnType<typeof watchHeading>, tilt: ReturnType<typeof watchTilt>} | null} */ (null));
  const stop = () => {
    watches.current?.heading.stop();
    watches.current?.tilt.stop();
    watches.current = null;
    setOn(false);
    setHeading(null);
    setTilt(null);
  };
  useEffect(
    () => () => {
      watches.current?.heading.stop();
      watches.current?.tilt.stop();
    },
    [],
  );
  const start = async () => {
    stop();
    setTrouble('');
    setOn(true);
    if ((await askToFeel()) !== 'granted') {
      setOn(false);
      return setTrouble('none');
    }
    watches.current = {
      heading: watchHeading((read) => {
        setTrouble(typeof read === 'string' ? read : '');
        setHeading(typeof read === 'string' ? null : read);
      }, held && { hold: held }),
      tilt: watchTilt(setTilt),
    };
    return undefined;
  };
  /** Hold what is shown, and stop. @returns {{heading: Heading | null, tilt: Tilt | null}} */
  const hold = () => {
    const held = { heading: watches.current?.heading.hold() ?? null, tilt: watches.current?.tilt.hold() ?? null };
    stop();
    return held;
  };
  return { is_on, heading, tilt, trouble, start, stop, hold };
}
