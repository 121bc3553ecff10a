/** Asks this phone whether it trusts the notebook: an answer over TLS comes only where it does. */
'use strict';

const { name, address } = document.body.dataset;
const result = document.getElementById('result');
const onward = document.getElementById('onward');
const open = document.getElementById('open');
const PATIENCE_MS = 8000;

async function holds(origin) {
  try {
    await fetch(`${origin}/padlock`, { mode: 'no-cors', cache: 'no-store', credentials: 'omit', signal: AbortSignal.timeout(PATIENCE_MS) });
    return true;
  } catch {
    return false;
  }
}

function say(words, origin) {
  result.textContent = words;
  result.classList.toggle('holds', origin !== null);
  onward.hidden = origin === null;
  if (origin !== null) open.href = `${origin}/#/pair`;
}

async function attempt(aloud) {
  if (aloud) say('Trying …', null);
  const [byName, byAddress] = await Promise.all([holds(name), holds(address)]);
  if (byName) say('Yes: this phone trusts the notebook.', name);
  else if (byAddress) {
    say(
      'Yes, by the address. This phone does not find the name, so it opens the notebook by the address: give the computer a fixed address in the router, for under another address the phone begins with an empty notebook.',
      address,
    );
  } else if (aloud) {
    say('No: this phone does not trust the notebook yet. A step above is missing, on an iPhone mostly the switch under Certificate Trust Settings; or a firewall on the computer keeps the port closed.', null);
  }
}

if (result !== null) {
  document.getElementById('check').hidden = false;
  document.getElementById('try').addEventListener('click', () => void attempt(true));
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') void attempt(false);
  });
  void attempt(false);
}
