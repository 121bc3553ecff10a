/** What a set of changes means: the shared cases, and properties over orders and repetitions. */

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { canonical } from '../../web/notebook/canonical.js';
import { applyTo, baseOfEdit, editOf, emptyHeld, keyOf, seenByDelete, stateOf, states } from '../../web/notebook/merge.js';
import { read, seeded, shuffled } from './cases.js';

const CASES = read('merge.json').cases;

function held(one) {
  return one.changes.filter((change) => !(one.parked ?? []).includes(change.id));
}

/** Merge one change at a time, each taken in once. */
function stepByStep(edits) {
  const records = new Map();
  const known = new Set();
  for (const edit of edits) {
    if (known.has(edit.id)) continue;
    if (!records.has(edit.key)) records.set(edit.key, emptyHeld());
    applyTo(records.get(edit.key), edit, known);
    known.add(edit.id);
  }
  const inState = ([key, record]) => [key, stateOf([...record.heads].map(([name, heads]) => [name, heads.values()]))];
  return new Map([...records].map(inState));
}

function shown(found) {
  const rows = [...found].map(([key, state]) => {
    const [record, kind] = key.split('/');
    const registers = [...state.heads].map(([name, heads]) => [
      name,
      {
        heads: heads.map((head) => head.id),
        shown: JSON.parse(heads[0].value),
        conflict: state.conflicts.includes(name),
      },
    ]);
    return { kind, record, hidden: state.hidden, badge: state.badge, registers: Object.fromEntries(registers) };
  });
  return textOf(rows);
}

function textOf(rows) {
  return canonical([...rows].sort((one, other) => (`${one.kind}/${one.record}` < `${other.kind}/${other.record}` ? -1 : 1)));
}

function permutations(list) {
  if (list.length < 2) return [list];
  return list.flatMap((one, place) => permutations(list.toSpliced(place, 1)).map((rest) => [one, ...rest]));
}

function orders(changes) {
  if (changes.length <= 5) return permutations(changes);
  const random = seeded(5);
  return Array.from({ length: 100 }, () => shuffled(changes, random));
}

for (const one of CASES) {
  test(`I3 every order gives the state: ${one.name}`, () => {
    const wanted = textOf(one.state);
    for (const order of orders(held(one))) {
      const edits = order.map(editOf);
      assert.equal(shown(states(edits)), wanted);
      assert.equal(shown(stepByStep(edits)), wanted);
    }
  });
  test(`I4 sending again changes nothing: ${one.name}`, () => {
    const edits = held(one).map(editOf);
    assert.equal(shown(states([...edits, ...edits])), textOf(one.state));
    assert.equal(shown(stepByStep([...edits, ...edits])), textOf(one.state));
  });
}

for (const one of CASES.filter((some) => some.edits || some.deletes)) {
  test(`what an edit and a delete must name: ${one.name}`, () => {
    const found = states(held(one).map(editOf));
    const bases = new Map(held(one).flatMap((change) => ('seq' in change ? [] : [[change.id, change.base]])));
    for (const edit of one.edits ?? []) {
      const heads = found.get(keyOf(edit.kind, edit.record))?.heads.get(edit.register) ?? [];
      const names = baseOfEdit(heads, (id) => bases.get(id)?.[edit.register], edit.all === true);
      assert.deepEqual(names, [...edit.base].sort());
    }
    for (const one_delete of one.deletes ?? []) {
      const state = found.get(keyOf(one_delete.kind, one_delete.record));
      assert.deepEqual(seenByDelete(state.heads, (id, name) => bases.get(id)?.[name]), one_delete.seen);
    }
  });
}

test('I3 any order of any changes gives one state', () => {
  const random = seeded(11);
  const pick = (list) => list[Math.floor(random() * list.length)];
  for (let round = 0; round < 500; round += 1) {
    const ids = Array.from({ length: 1 + Math.floor(random() * 8) }, (_, place) => `c${place}`);
    const changes = ids.map((id) => {
      const deletes = random() < 0.3;
      const name = deletes ? 'deleted' : pick(['name', 'height_m']);
      const value = deletes ? random() < 0.6 : pick(['A', 'B', null]);
      const named = ids.filter(() => random() < 0.25);
      const change = {
        id,
        record: pick(['p1', 'p2']),
        kind: pick(['perch', 'perch', 'vantage']),
        set: { [name]: value },
        base: { [name]: named },
        hlc: `${String(Math.floor(random() * 4)).padStart(15, '0')}-0000-00000000`,
      };
      return value === true ? { ...change, seen: { name: ids.filter(() => random() < 0.5) } } : change;
    });
    const wanted = shown(states(changes.map(editOf)));
    const order = shuffled(changes, random).map(editOf);
    assert.equal(shown(states(order)), wanted, JSON.stringify(changes));
    assert.equal(shown(stepByStep(order)), wanted, JSON.stringify(changes));
  }
});
