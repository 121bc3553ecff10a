/**
 * The marks that can be touched: a button of 48 px each, only those in view, gathered where they would cover
 * each other. Not for: lines, rings and areas (`line_layer`).
 *
 * @typedef {import('./pins.js').Pin} Pin
 */

import { L } from '../doors/leaflet.js';
import { gathered } from './crowd.js';
import { drawing, stack, svgOf } from './marks.js';
import { WORDS } from './words.js';

const APART_PX = 40;
const MARGIN_PX = 40;
const NAMES_FROM_ZOOM = 18;
const LETTER_PX = 8; // of a name, for finding room
const NAME_PX = 22;

export class MarkLayer {
  /** @type {readonly Pin[]} */
  #pins = [];
  /** Where they lie on the map of the whole world at zoom 0, which every zoom only doubles. @type {import('leaflet').Point[]} */
  #world = [];
  /** @type {Map<string, {button: HTMLButtonElement, ids: string[], pin: Pin}>} */
  #shown = new Map();
  #chosen = '';

  /** @param {import('leaflet').Map} map */
  constructor(map) {
    this.map = map;
    this.pane = map.createPane('marks');
    map.on('moveend resize', () => this.draw());
    map.on('zoom', (event) => /** @type {{pinch?: boolean}} */ (/** @type {unknown} */ (event)).pinch && this.#place());
  }

  /** @param {readonly Pin[]} pins the first are drawn first where there is no room for all */
  show(pins) {
    this.#pins = pins;
    this.#world = pins.map(({ lat, lon }) => this.map.project([lat, lon], 0));
    this.draw(true);
  }

  /** @param {string} id of the pin that is touched, or '' */
  choose(id) {
    this.#chosen = id;
    this.draw();
  }

  /** Answer the ids behind an event's target. @param {EventTarget | null} target @returns {string[] | null} */
  at(target) {
    const button = target instanceof Element ? target.closest('.mark') : null;
    if (button === null) return null;
    return [...this.#shown.values()].find((one) => one.button === button)?.ids ?? null;
  }

  /** Answer the first pin behind a target. @param {EventTarget | null} target @returns {Pin | null} */
  pinAt(target) {
    const [id] = this.at(target) ?? [];
    return this.#pins.find((pin) => pin.id === id) ?? null;
  }

  /** @param {boolean} [anew] no button is kept, for the pins behind them may be called otherwise now */
  draw(anew = false) {
    const { map } = this;
    const view = map.getPixelBounds();
    const origin = map.getPixelOrigin();
    const { x: west, y: north } = /** @type {import('leaflet').Point} */ (view.min).subtract([MARGIN_PX, MARGIN_PX]);
    const { x: east, y: south } = /** @type {import('leaflet').Point} */ (view.max).add([MARGIN_PX, MARGIN_PX]);
    const spots = [];
    /** @type {Map<string, Pin>} */
    const pins = new Map();
    const scale = 2 ** map.getZoom();
    for (const [place, pin] of this.#pins.entries()) {
      const world = /** @type {import('leaflet').Point} */ (this.#world[place]);
      const [x, y] = [world.x * scale, world.y * scale];
      if (x < west || x > east || y < north || y > south) continue;
      const spot = { id: pin.id, x: x - origin.x, y: y - origin.y };
      if (pin.id === this.#chosen) spots.unshift(spot);
      else spots.push(spot);
      pins.set(pin.id, pin);
    }
    const alone = new Set(map.getZoom() >= map.getMaxZoom() ? [] : [this.#chosen]);
    const groups = gathered(spots, APART_PX, alone);
    const wanted = new Map(groups.map((group) => [`${group.ids[0]} ${group.ids.length}`, group]));
    const gone = [...this.#shown].filter(([key]) => anew || !wanted.has(key));
    for (const [key] of gone) this.#shown.delete(key);
    for (const [key, { ids }] of wanted) {
      const pin = /** @type {Pin} */ (pins.get(/** @type {string} */ (ids[0])));
      const held = this.#shown.get(key);
      if (held !== undefined) held.ids = ids;
      else this.#shown.set(key, { button: this.#made(pin, ids.length), ids, pin });
    }
    this.#place();
    this.#name();
    const left = gone.find(([, { button }]) => button === document.activeElement)?.[1];
    if (left !== undefined) this.#follow(left);
    for (const [, { button }] of gone) button.remove();
  }

  /**
   * Whoever is on a mark by the keyboard stays with its pin, also where that is in a stack by now; and on the map,
   * where it has left the view.
   * @param {{button: HTMLButtonElement, ids: string[]}} left
   */
  #follow({ button, ids: [id = ''] }) {
    const holds = [...this.#shown.values()].find(({ ids }) => ids.includes(id))?.button;
    if (holds !== undefined) button.before(holds); // the next Tab goes on from here
    (holds ?? this.map.getContainer()).focus({ preventScroll: true });
  }

  #place() {
    for (const { button, pin, ids } of this.#shown.values()) {
      const spot = this.map.latLngToLayerPoint([pin.lat, pin.lon]);
      const [x, y] = ids.length > 1 ? [0, 0] : drawing(pin).middle;
      L.DomUtil.setPosition(button, spot.add([x, y]).round());
      button.classList.toggle('chosen', ids.includes(this.#chosen));
    }
  }

  /** Show the names that cover neither a mark nor another name. */
  #name() {
    const spots = [...this.#shown.values()].map((one) => ({ ...one, at: L.DomUtil.getPosition(one.button) }));
    spots.sort((one, other) => Number(other.ids.includes(this.#chosen)) - Number(one.ids.includes(this.#chosen)));
    const isNear = this.map.getZoom() >= NAMES_FROM_ZOOM;
    /** @type {{left: number, right: number, y: number}[]} */
    const taken = isNear ? spots.map(({ at }) => ({ left: at.x - 14, right: at.x + 14, y: at.y })) : [];
    for (const { button, pin, at, ids } of spots) {
      const box = { left: at.x + 18, right: at.x + 24 + Math.min(16, pin.name.length) * LETTER_PX, y: at.y };
      const isFree = taken.every((one) => one.right < box.left || one.left > box.right || Math.abs(one.y - box.y) > NAME_PX);
      const isNamed = isNear && ids.length === 1 && isFree;
      button.classList.toggle('named', isNamed);
      if (isNamed) taken.push(box);
    }
  }

  /** @param {Pin} pin @param {number} count */
  #made(pin, count) {
    const button = document.createElement('button');
    button.type = 'button';
    button.className = 'mark';
    const drawn = count > 1 ? stack(count) : drawing(pin);
    const picture = svgOf(drawn);
    picture.style.setProperty('--to-x', `${-drawn.middle[0]}px`);
    picture.style.setProperty('--to-y', `${-drawn.middle[1]}px`);
    button.append(picture);
    button.setAttribute('aria-label', count > 1 ? WORDS.several(count) : `${kindWord(pin)} ${pin.name}`);
    if (count === 1) {
      const name = document.createElement('span');
      name.className = 'mark-name';
      name.setAttribute('aria-hidden', 'true');
      name.textContent = pin.name;
      button.append(name);
    }
    this.pane.append(button);
    return button;
  }

  /** How many marks are drawn, for measuring. */
  get count() {
    return this.#shown.size;
  }
}

/** @param {Pin} pin */
export function kindWord(pin) {
  return pin.kind === 'vantage' && pin.hide ? WORDS.hide : WORDS.kinds[pin.kind];
}
