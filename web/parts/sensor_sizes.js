/**
 * The size of a sensor by one tap on what the trade calls it. Not for: the two figures (field_number.js).
 */

import { html } from '../doors/htm.js';
import { field as words } from '../words.js';
import { Chips } from './chips.js';

/** [mm] As makers state them, to 0.5 mm; common practice, no source. */
const SIZES = /** @type {const} */ ([
  ['full frame', 36, 24],
  ['APS-C, 1.5 ×', 23.6, 15.7],
  ['APS-C, 1.6 ×', 22.3, 14.9],
  ['Micro Four Thirds', 17.3, 13],
]);

/** @param {{values: Record<string, any>, put: (more: Record<string, any>) => void}} props */
export function SensorSizes({ values, put }) {
  const chosen = SIZES.find(([, wide, high]) => wide === values.sensor_width_mm && high === values.sensor_height_mm);
  return html`<div class="field"><p class="field-name">${words.sensor}</p>
    <${Chips} needed label=${words.sensor} choices=${SIZES.map((value) => ({ value, label: value[0] }))} value=${chosen} onPick=${(/** @type {typeof SIZES[number]} */ [, sensor_width_mm, sensor_height_mm]) => put({ sensor_width_mm, sensor_height_mm })} /></div>`;
}
