// Things of the room: where they are, what they are called, and how they move and turn.
// Venue axes: x house right, y upstage, metres; bearings clockwise from upstage.

export const LISTS = {
  positions: { one: 'Position', many: 'Positions' },
  subjects: { one: 'Subject', many: 'Subjects' },
  zones: { one: 'Zone', many: 'Zones' },
  obstacles: { one: 'Obstacle', many: 'Obstacles' },
  audience: { one: 'Audience area', many: 'Audience areas' },
  lamps: { one: 'Lamp', many: 'Lamps' },
  stage: { one: 'Stage', many: 'Stage' },
};

export const keyOf = (of, id) => (of === 'stage' ? 'stage' : `${of}/${id}`);

export function fromKey(key) {
  if (!key) return null;
  const cut = key.indexOf('/');
  return cut < 0 ? { of: 'stage', id: null } : { of: key.slice(0, cut), id: key.slice(cut + 1) };
}

const own = (shoot, of) => (of === 'subjects' ? shoot.subjects : shoot.venue[of]);

// Every thing with its list; what is being dragged stands where the hand is.
export function* things(store) {
  const { shoot } = store.now;
  for (const of of Object.keys(LISTS)) {
    for (const record of of === 'stage' ? [shoot.venue.stage] : own(shoot, of)) {
      yield seen(store, of, record);
    }
  }
}

function seen(store, of, record) {
  const { preview } = store;
  const id = of === 'stage' ? null : record.id;
  const facts = preview && preview.of === of && preview.id === id ? preview.facts : {};
  const thing = { of, id, key: keyOf(of, id), facts: { ...record, ...facts } };
  if (of === 'subjects') {
    const where = store.now.subjects[id];
    thing.outline = thing.facts.outline_m ?? (facts.at_m ? null : where.outline_m);
    thing.at = thing.facts.at_m ?? (thing.outline ? centre(thing.outline) : where.at_m);
    thing.floor = where.floor_m;
  } else {
    thing.outline = thing.facts.outline_m ?? null;
    thing.at = thing.facts.at_m ?? centre(thing.outline);
  }
  thing.label = of === 'stage' ? 'Stage' : thing.facts.name || id;
  thing.isFree = Boolean(thing.facts.at_m || thing.facts.outline_m);
  return thing;
}

export function find(store, key) {
  for (const thing of things(store)) if (thing.key === key) return thing;
  return null;
}

export function centre(outline) {
  const xs = outline.map((p) => p[0]);
  const ys = outline.map((p) => p[1]);
  return [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
}

export const rounded = (value, step = 0.001) => {
  const count = Math.round(value / step);
  return Number((count * step).toFixed(3));
};

// Facts of a thing moved so far; with a step its place lies on a whole number of steps.
export function moved(thing, dx, dy, step) {
  const facts = {};
  const [x, y] = thing.at;
  const to = step ? [rounded(x + dx, step), rounded(y + dy, step)] : [rounded(x + dx), rounded(y + dy)];
  if (thing.facts.at_m) facts.at_m = to;
  if (thing.facts.outline_m) {
    const by = thing.facts.at_m ? [dx, dy] : [to[0] - x, to[1] - y];
    facts.outline_m = thing.facts.outline_m.map(([px, py]) => [rounded(px + by[0]), rounded(py + by[1])]);
  }
  return facts;
}

const bearing = (value) => ((rounded(value, 1) % 360) + 360) % 360;

export const canTurn = (thing) => Boolean(
  thing.facts.outline_m || thing.of === 'subjects' || thing.of === 'lamps' || thing.facts.arc_deg,
);

// Facts of a thing turned clockwise, seen from above.
export function turned(thing, deg) {
  if (thing.facts.outline_m) {
    const [cx, cy] = centre(thing.facts.outline_m);
    const angle = (-deg * Math.PI) / 180;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const outline = thing.facts.outline_m.map(([x, y]) => [
      rounded(cx + (x - cx) * c - (y - cy) * s, 0.01), rounded(cy + (x - cx) * s + (y - cy) * c, 0.01),
    ]);
    return { outline_m: outline };
  }
  if (thing.of === 'positions') {
    const facts = {};
    if (thing.facts.arc_deg) facts.arc_deg = thing.facts.arc_deg.map((each) => bearing(each + deg));
    if (thing.facts.park_deg !== null) facts.park_deg = bearing(thing.facts.park_deg + deg);
    return facts;
  }
  return { faces_deg: bearing((thing.facts.faces_deg ?? 180) + deg) };
}

// Where a place is, in words.
export function where([x, y]) {
  const across = Math.abs(x) < 0.005 ? 'on the centre line' : `${metres(Math.abs(x))} house ${x < 0 ? 'left' : 'right'}`;
  const deep = Math.abs(y) < 0.005 ? 'at the stage edge' : `${metres(Math.abs(y))} ${y < 0 ? 'into the house' : 'upstage'}`;
  return `${across}, ${deep}`;
}

export const metres = (value) => `${rounded(value, 0.01)} m`;

// Whether a place lies within an outline.
export function within(outline, [x, y]) {
  let is = false;
  outline.forEach(([ax, ay], n) => {
    const [bx, by] = outline[(n + 1) % outline.length];
    if ((ay > y) !== (by > y) && x < ax + ((bx - ax) * (y - ay)) / (by - ay)) is = !is;
  });
  return is;
}

// A new thing at a place, with an id that nothing has yet.
export function fresh(store, of, [x, y]) {
  const { shoot } = store.now;
  const taken = new Set(own(shoot, of).map((each) => each.id));
  const word = of === 'audience' ? 'area' : of.slice(0, -1);
  let n = 1;
  while (taken.has(`${word}-${n}`)) n += 1;
  const at = [rounded(x, 0.1), rounded(y, 0.1)];
  const box = (w, d) => [[-w, -d], [w, -d], [w, d], [-w, d]].map(([dx, dy]) => [rounded(at[0] + dx), rounded(at[1] + dy)]);
  const { stage } = shoot.venue;
  const onStage = within(stage.outline_m, at);
  const facts = {
    positions: () => ({ name: `Position ${n}`, at_m: at, ...(onStage ? { floor_height_m: stage.height_m } : {}), lens_height_m: 1.5, ...(onStage ? { is_on_stage: true } : {}) }),
    subjects: () => ({ name: `Subject ${n}`, at_m: at }),
    zones: () => ({ outline_m: box(1, 0.5), height_m: onStage ? rounded(stage.height_m + 0.2) : 0.2 }),
    obstacles: () => ({ outline_m: box(0.25, 0.25), ...(onStage ? { base_m: stage.height_m } : {}), height_m: 1 }),
    audience: () => ({ outline_m: box(2, 1) }),
    lamps: () => ({ at_m: at, height_m: 4 }),
  }[of]();
  return { id: `${word}-${n}`, ...facts };
}
