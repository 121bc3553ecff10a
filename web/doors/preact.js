/** The door to preact and its hooks: what is on screen, drawn from state. */

import * as code from '../vendor/preact.js';
import * as hooks from '../vendor/preact_hooks.js';

export const { h, render, Fragment, Component, createContext, createRef } = /** @type {typeof import('preact')} */ (
  /** @type {unknown} */ (code)
);
export const { useState, useEffect, useLayoutEffect, useRef, useMemo, useCallback, useContext, useReducer, useId } =
  /** @type {typeof import('preact/hooks')} */ (/** @type {unknown} */ (hooks));
