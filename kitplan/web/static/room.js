// The room: puts store, plan, hands and forms together.

import { Conflict } from './room-conflict.js';
import { Facts } from './room-facts.js';
import { make } from './room-forms.js';
import { Hand } from './room-hand.js';
import { Locks } from './room-locks.js';
import { Plan } from './room-plan.js';
import { Planned } from './room-planned.js';
import { Sight } from './room-sight.js';
import { Store } from './room-store.js';
import { find, fresh, fromKey, keyOf, LISTS } from './room-things.js';

const by = (id) => document.getElementById(id);
const store = new Store();
const plan = new Plan(by('plan'), store);
const planned = new Planned();
const sight = new Sight(by('sight'), by('mini'), store, plan, planned);
const locks = new Locks(by('locks'), store, sight);
const conflict = new Conflict(by('conflict'), store);

const events = {
  select(key, isCentred = false) {
    plan.selected = key;
    const thing = key && find(store, key);
    if (thing && isCentred) plan.middle = [...thing.at];
    plan.draw();
    facts.show(key);
    if (thing?.of === 'positions') sight.from(thing.id);
    else if (thing?.of === 'subjects') sight.ask({ subject: thing.id, size: null });
    locks.show(thing?.of === 'positions' ? thing.id : sight.position);
  },
  dragged() {
    facts.show(plan.selected);
    sight.refresh();
  },
  async taken(key) {
    const { of, id } = fromKey(key);
    if (of === 'stage') return;
    if (await store.do({ do: 'delete', of, id })) events.select(null);
  },
};
const facts = new Facts(by('thing'), by('goto'), store, events, planned);
new Hand(plan, store, () => by('snap').checked, events);

// -- what is known, and what is wrong -------------------------------------------------------------

function tell() {
  const state = by('state');
  const { isChanged } = store;
  const words = isChanged ? 'Not saved' : 'Saved';
  if (state.textContent !== words) state.textContent = words;
  state.dataset.state = isChanged ? 'changed' : 'saved';
  document.title = document.title.replace(/^\* /, '');
  if (isChanged) document.title = `* ${document.title}`;
  by('thing').ariaBusy = store.isAsking;
  by('undo').disabled = store.at === 0;
  by('redo').disabled = store.at === store.steps.length;
  by('save').disabled = !isChanged || store.now.problems.length > 0;
}

function wrong(title, problems) {
  const box = by('wrong');
  box.hidden = !problems.length;
  box.replaceChildren(make('h2', {}, title), make('ul', {}, ...problems.map((each) => make('li', {}, each))));
}

function changed() {
  if (plan.selected && !find(store, plan.selected)) plan.selected = null;
  plan.draw();
  facts.show(plan.selected);
  sight.from(null).then(() => locks.show(sight.position));
  locks.show(sight.position);
  const { problems } = store.now;
  wrong('To be put right before this can be saved:', problems);
  tell();
}

store.addEventListener('changed', changed);
store.addEventListener('state', tell);
store.addEventListener('saved', tell);
store.addEventListener('conflict', (event) => conflict.show(event.detail));
store.addEventListener('refused', (event) => {
  const { problems, error } = event.detail;
  facts.forget();
  queueMicrotask(() => wrong('That was not done:', problems?.length ? problems : [error]));
});

// -- buttons and keys -----------------------------------------------------------------------------

for (const [of, { one }] of Object.entries(LISTS)) {
  if (of !== 'stage') by('add').append(make('option', { value: of }, one));
}
by('add').addEventListener('change', async (event) => {
  const of = event.target.value;
  event.target.value = '';
  if (!of) return;
  const thing = fresh(store, of, plan.middle);
  if (await store.do({ do: 'add', of, facts: thing })) {
    events.select(keyOf(of, thing.id));
    by('thing').querySelector('[data-fact="name"] input, input')?.select();
  }
});
by('undo').addEventListener('click', () => store.undo());
by('redo').addEventListener('click', () => store.redo());
by('save').addEventListener('click', () => store.save());
// What is chosen stays in sight.
const zoom = (factor) => plan.zoom(factor, plan.selected && plan.px(find(store, plan.selected).at));
by('larger').addEventListener('click', () => zoom(1.4));
by('smaller').addEventListener('click', () => zoom(1 / 1.4));
by('whole').addEventListener('click', () => plan.fit());

document.addEventListener('keydown', (event) => {
  if (!(event.ctrlKey || event.metaKey)) return;
  const key = event.key.toLowerCase();
  if (key === 's') {
    document.activeElement?.blur(); // what is still being typed counts
    if (store.isChanged) store.save();
  } else if (event.target.matches?.('input, textarea')) {
    return; // there it undoes what is typed
  } else if (key === 'z') {
    if (event.shiftKey) store.redo(); else store.undo();
  } else if (key === 'y') {
    store.redo();
  } else {
    return;
  }
  event.preventDefault();
});
window.addEventListener('beforeunload', (event) => {
  if (store.isChanged) event.preventDefault();
});
window.addEventListener('focus', () => store.now && by('conflict').hidden && store.look());
new ResizeObserver(() => store.now && plan.draw()).observe(by('plan'));

sight.fix.addEventListener('click', () => locks.take());
await planned.load();
if (await store.load()) {
  plan.fit();
  const { positions } = store.now.shoot.venue;
  const asked = new URLSearchParams(location.hash.slice(1)); // '#lock&position=pit', from the plan
  const position = asked.get('position');
  sight.choice.in_pass = asked.get('pass');
  if (positions.some((each) => each.id === position)) events.select(keyOf('positions', position), true);
  else sight.from((planned.in(sight.pass, store.now.shoot)[0] ?? { position: positions[0].id }).position);
  if (asked.has('lock')) {
    locks.show(position ?? '');
    locks.fill(Object.fromEntries(asked));
  }
}
