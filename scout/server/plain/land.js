/**
 * The page of the land: sends a model in pieces, begins work, follows it, shows what came of it.
 * Not for: working anything out.
 */

const AT = '/api/v1/land';
const said = document.getElementById('said');
const work = document.getElementById('work');

/** Ask the server; throws an Error with its own sentence. */
async function ask(method, path, body, type = 'application/json') {
  const sent = body === undefined ? undefined : type === 'application/json' ? JSON.stringify(body) : body;
  const headers = { 'X-Scout': '1' };
  if (sent !== undefined) headers['Content-Type'] = type;
  let answer;
  try {
    answer = await fetch(`${AT}${path}`, { method, headers, body: sent });
  } catch {
    throw new Error('The server does not answer; see that it still runs.');
  }
  const told = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(told.error?.message ?? `The server refused (${answer.status}).`);
  return told;
}

function tell(words) {
  said.textContent = words;
  if (words) said.scrollIntoView({ block: 'nearest' });
}

function progressOf(name, onStop) {
  const row = document.createElement('p');
  const bar = document.createElement('progress');
  const words = document.createElement('span');
  const stop = document.createElement('button');
  bar.max = 1;
  stop.type = 'button';
  stop.textContent = 'Stop';
  stop.addEventListener('click', onStop);
  row.append(`${name} `, bar, ' ', words, ' ', stop);
  work.append(row);
  return {
    show(share, text) {
      bar.value = share;
      words.textContent = text;
    },
    end: () => row.remove(),
  };
}

/** Follow one piece of work to its end; answers its result. */
async function followed(job) {
  const shown = progressOf(job.what, () => ask('DELETE', `/jobs/${job.id}`).catch((trouble) => tell(trouble.message)));
  try {
    for (;;) {
      shown.show(job.share, job.words);
      if (job.state === 'done') return job.result;
      if (job.state === 'refused' || job.state === 'stopped') throw new Error(job.words);
      await new Promise((next) => setTimeout(next, 400));
      job = await ask('GET', `/jobs/${job.id}`);
    }
  } finally {
    shown.end();
  }
}

/** Do one act at a time with its button held; whatever goes wrong is told. */
async function act(button, doing) {
  button.disabled = true;
  tell('');
  try {
    await doing();
  } catch (trouble) {
    tell(trouble.message);
  } finally {
    button.disabled = false;
  }
}

const KEPT = 'land-said';

/** Show the page anew with what was found, for its lists have changed. */
function anew(result) {
  sessionStorage.setItem(KEPT, (result.sentences ?? []).join(' '));
  location.reload();
}

tell(sessionStorage.getItem(KEPT) ?? '');
sessionStorage.removeItem(KEPT);

document.getElementById('upload').addEventListener('submit', (event) => {
  event.preventDefault();
  const form = event.currentTarget;
  act(form.querySelector('button'), async () => {
    const fields = new FormData(form);
    const file = fields.get('file');
    if (!fields.get('kind')) throw new Error('Say whether it is bare earth or a surface.');
    const { upload, piece } = await ask('POST', '/uploads', { name: file.name, size: file.size });
    let stopped = false;
    const shown = progressOf(`Sending ${file.name}`, () => {
      stopped = true;
    });
    try {
      let at = 0;
      while (at < file.size) {
        if (stopped) throw new Error('Stopped; nothing was taken in.');
        const bytes = await file.slice(at, at + piece).arrayBuffer();
        ({ offset: at } = await ask('PUT', `/uploads/${upload}?offset=${at}`, bytes, 'application/octet-stream'));
        shown.show(at / file.size, `${Math.round((100 * at) / file.size)} %`);
      }
    } finally {
      shown.end();
    }
    const feet = fields.get('feet');
    const job = await ask('POST', '/models', {
      upload,
      kind: fields.get('kind'),
      name: fields.get('name') || null,
      crs: fields.get('crs') || null,
      feet: feet ? feet === 'yes' : null,
    });
    anew(await followed(job));
  });
});

document.addEventListener('click', (event) => {
  const button = event.target.closest('button');
  if (button === null) return;
  const { remove, forget, name, do: what, site, pin, sit, layer } = button.dataset;
  if (remove !== undefined) {
    if (!confirm(`Remove ${name}? What was made from it stays.`)) return;
    act(button, async () => {
      const told = await ask('DELETE', `/models/${remove}`);
      anew({ sentences: [`Removed: ${told.removed}.`] });
    });
  } else if (forget !== undefined) {
    if (!confirm(`Remove ${name}? It goes from the phones as well.`)) return;
    act(button, async () => {
      await ask('DELETE', `/layers/${forget}`);
      anew({ sentences: [`Removed: ${name}.`] });
    });
  } else if (what !== undefined) {
    act(button, async () => {
      const asked = { do: what, site, pin };
      anew(await followed(await ask('POST', '/jobs', JSON.parse(JSON.stringify(asked)))));
    });
  } else if (sit !== undefined) {
    act(button, async () => {
      await ask('POST', '/places', { layer, place: Number(sit) });
      anew({ sentences: ['It is a vantage now, with its sightline; look at it by day before you sit there.'] });
    });
  }
});

for (const form of document.querySelectorAll('form.light')) {
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    act(form.querySelector('button'), async () => {
      const asked = { do: 'first light', ...Object.fromEntries(new FormData(form)) };
      anew(await followed(await ask('POST', '/jobs', asked)));
    });
  });
}

for (const form of document.querySelectorAll('form.find')) {
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    act(form.querySelector('button'), async () => {
      const fields = new FormData(form);
      const perches = fields.getAll('perch');
      if (perches.length === 0) throw new Error('Tick the perches to look round.');
      const { perch: _, least_gap_m: gap, ...rest } = Object.fromEntries(fields);
      const asked = { do: 'find', perches, least_gap_m: Number(gap), ...rest };
      anew(await followed(await ask('POST', '/jobs', asked)));
    });
  });
}

const sight = document.getElementById('sight');
sight?.addEventListener('submit', (event) => {
  event.preventDefault();
  act(sight.querySelector('button'), async () => {
    const { line, kind } = Object.fromEntries(new FormData(sight));
    const found = await ask('GET', `/sight/${line}?kind=${encodeURIComponent(kind)}`);
    document.getElementById('seen').hidden = false;
    document.getElementById('seen-sight').textContent = `${found.name}: ${found.sight_words}`;
    document.getElementById('seen-gap').textContent = [found.gap_words, ...found.remarks].join(' ');
    document.getElementById('seen-noted').textContent = found.noted_words;
    const view = new DOMParser().parseFromString(found.svg, 'image/svg+xml').documentElement;
    document.getElementById('seen-view').replaceChildren(document.adoptNode(view));
    document.getElementById('seen-keep').onclick = (click) =>
      act(click.currentTarget, async () => {
        await ask('POST', `/sight/${line}/gap`, { kind });
        anew({ sentences: ['Noted on the sightline.'] });
      });
  });
});
