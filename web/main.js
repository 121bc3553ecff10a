/**
 * The app put together: the look, the frame, the open notebook, the screen of the address.
 * Not for: any screen (screens/), or the shape of an address (route.js).
 *
 * @typedef {import('./session.js').Session} Session
 * @typedef {import('./types.d.ts').Screen} ScreenView
 */

import { html } from './doors/htm.js';
import { Component, render, useEffect, useState } from './doors/preact.js';
import { keepLook } from './looks.js';
import { openNotebook } from './notebook/notebook.js';
import { Bar } from './parts/bar.js';
import { Empty } from './parts/empty.js';
import { Page } from './parts/page.js';
import { Snackbar } from './parts/snackbar.js';
import { SyncLine } from './parts/sync_line.js';
import { go, useWhere, where } from './route.js';
import { HOME, ROUTES, routeOf } from './screens/index.js';
import { home } from './screens/home.js';
import { SessionContext } from './session.js';
import { UpdateNotice, keepApp } from './update.js';
import { app as words } from './words.js';
import { heedTaps } from './wet_screen.js';

/** @type {Map<string, ScreenView>} loaded once: a new version in charge must not be mixed with this one */
const loaded = new Map();

function App() {
  const [session, setSession] = useState(/** @type {Session | null} */ (null));
  const [trouble, setTrouble] = useState('');
  const { parts, query } = useWhere();
  useEffect(() => {
    open().then(setSession, (fault) => setTrouble(fault instanceof Error ? fault.message : String(fault)));
  }, []);
  useEffect(() => {
    if (parts.length === 0 && session !== null) void home(session.notebook, HOME).then((place) => go(place, { instead: true }));
  }, [parts.join('/'), session]);
  const found = routeOf(parts.length === 0 ? [HOME] : parts);
  return html`
    <a class="skip" href="#page" onClick=${toPage}>${words.skip}</a>
    ${session ? html`<${SyncLine} notebook=${session.notebook} after=${stood} />` : html`<p class="sync-line"> </p>`}
    <${UpdateNotice} />
    ${trouble
      ? html`<${Page} title=${words.cannot_open} up=${false} act=${{ label: words.load_again, onAct: () => location.reload() }}><p>${trouble}</p></${Page}>`
      : session === null
        ? html`<main id="page" class="page" aria-busy="true"><p class="first">${words.opens}</p></main>`
        : html`<${SessionContext.Provider} value=${session}>
            <${Guard} key=${location.hash}>${found === null ? html`<${Nothing} />` : html`<${Shown} route=${found.route} params=${found.params} query=${query} notebook=${session.notebook} />`}</${Guard}>
          </${SessionContext.Provider}>`}
    <${Snackbar} />
    <${Bar} place=${found?.route.place ?? null} />
  `;
}

/**
 * @param {{route: import('./types.d.ts').Route, params: Record<string, string>, query: Record<string, string>, notebook: import('./session.js').Notebook}} props
 */
function Shown({ route, params, query, notebook }) {
  const [, again] = useState(0);
  const View = loaded.get(route.pattern);
  useEffect(() => {
    if (View !== undefined) return;
    route.load().then(
      (module) => {
        loaded.set(route.pattern, module.Screen);
        again((turn) => turn + 1);
      },
      (fault) => again(() => {
        throw fault;
      }),
    );
  }, [route, View]);
  if (View === undefined) return html`<main id="page" class="page" aria-busy="true"></main>`;
  return html`<${View} notebook=${notebook} params=${params} query=${query} />`;
}

/** What stands where an address leads nowhere. */
function Nothing() {
  return html`<${Page} title=${words.nothing_here}><${Empty} text=${words.nothing_here_why} act=${{ label: words.to_book, to: 'book' }} /></${Page}>`;
}

/** Keeps a screen that fails from taking the app with it. */
class Guard extends Component {
  state = { failed: false };

  static getDerivedStateFromError() {
    return { failed: true };
  }

  /** @param {unknown} fault */
  componentDidCatch(fault) {
    console.error(fault);
  }

  render() {
    if (!this.state.failed) return this.props.children;
    return html`<${Page} title=${words.broke} act=${{ label: words.again, onAct: () => this.setState({ failed: false }) }}><p>${words.broke_why}</p></${Page}>`;
  }
}

/** @returns {Promise<Session>} */
async function open() {
  const notebook = await openNotebook({ sync: false, onClosed: () => location.reload() });
  notebook.sync.due();
  void stood.then(() => afterFirst(notebook));
  return { notebook, schema: /** @type {import('./types.d.ts').Schema} */ (notebook.schema) };
}

/** @param {Event} event */
function toPage(event) {
  // The address says which screen is shown, so it must not be changed by a jump within it.
  event.preventDefault();
  const heading = /** @type {HTMLElement | null} */ (document.querySelector('main h1'));
  heading?.focus();
}

/** @param {import('./types.d.ts').Route} route */
function load({ pattern, load: fetched }) {
  fetched().then(
    (module) => loaded.set(pattern, module.Screen),
    () => {}, // tried again, and then said, when it is opened
  );
}

/** Resolves when nothing of the first screen is being read any more, or after 5 s. */
async function stands() {
  for (let looks = 0; looks < 100; looks += 1) {
    await new Promise((resolve) => setTimeout(resolve, 50));
    if (document.querySelector('main:not([aria-busy])') && !document.querySelector('main [aria-busy=true]')) return;
  }
}

/** What waits until the first screen stands: sync, the engine, and every other screen, so that all are of this version.
 * @param {import('./session.js').Notebook} notebook */
function afterFirst(notebook) {
  notebook.sync.start();
  const idle = globalThis.requestIdleCallback ?? ((/** @type {() => void} */ work) => setTimeout(work, 500));
  idle(() => {
    import('./engine/wake.js').then(({ wakeWhenIdle }) => wakeWhenIdle(notebook), () => {});
    import('./land_keep.js').then(({ keepLandPictures }) => keepLandPictures(notebook), () => {});
    ROUTES.forEach(load);
  });
}

keepLook();
heedTaps();
// The screen that is asked for comes while the notebook is being opened.
const first = routeOf(where().path === '' ? [HOME] : where().parts);
if (first !== null) load(first.route);
const stood = stands();
const root = document.getElementById('app');
if (root !== null) {
  root.replaceChildren();
  render(html`<${App} />`, root);
}
void keepApp();
