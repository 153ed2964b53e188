// The facts of each kind of thing that the page lets one change, with their units.
// What stands after MORE is folded away. A field: [fact, label, kind, more]; numbers that may be left out are 'number?'.

export const MORE = null;
const HEIGHT = ['height_m', 'Height', 'number', 'm'];
const AT = ['at_m', 'Place', 'point', 'm'];
const OUTLINE = ['outline_m', 'Corners', 'points', 'm'];
const FLOOR = ['floor', 'Floor', 'floor'];
const FACES = ['faces_deg', 'Looks towards', 'number', '° from upstage, clockwise'];

export const FIELDS = {
  positions: [
    ['name', 'Name', 'text'],
    AT,
    ['floor_height_m', 'Floor over the house floor', 'number', 'm'],
    ['lens_height_m', 'Lens over that', 'number', 'm'],
    ['stands_on', 'Stands on', 'choice', ['floor', 'rail', 'bar']],
    ['open_in', 'Open in', 'passes'],
    MORE,
    ['rigs', 'Rigs', 'number', ''],
    ['room_m', 'Room for supports', 'number', 'm wide'],
    FLOOR,
    ['permission', 'Permission', 'permission'],
    ['is_on_stage', 'On the stage', 'yes'],
    ['is_overhead', 'Above people', 'yes'],
    ['is_out_of_reach', 'Out of reach while a pass runs', 'yes'],
    ['is_shut_in_by_audience', 'Shut in by the audience', 'yes'],
    ['has_public', 'The public can touch it', 'yes'],
    ['has_mains', 'Mains socket', 'yes'],
    ['is_outdoors', 'Outdoors', 'yes'],
    ['walk_m', 'Who walks stays within', 'number', 'm'],
    ['arc_deg', 'An arm swings between', 'pair?', '° from upstage, clockwise'],
    ['park_deg', 'and parks at', 'number?', '°'],
  ],
  subjects: [
    ['name', 'Name', 'text'],
    ['kind', 'Kind', 'choice', ['person', 'object', 'group', 'stage', 'audience']],
    AT,
    OUTLINE,
    ['floor_height_m', 'Stands at (empty: the stage)', 'number?', 'm'],
    ['posture', 'Posture', 'choice', ['standing', 'seated', 'child', 'dancer']],
    ['height_m', 'Height (empty: usual)', 'number?', 'm'],
    ['width_m', 'Width', 'number', 'm'],
    ['roam_m', 'Moves within', 'number', 'm'],
    FACES,
    MORE,
    ['part_of', 'Part of', 'subject'],
    ['closest', 'Tightest allowed', 'choice?', ['ECU', 'CU', 'MCU', 'MS', 'MLS', 'FS', 'WS', 'EWS']],
    ['has_consent', 'May be filmed close', 'yes'],
  ],
  zones: [['height_m', 'Height of its floor', 'number', 'm'], FLOOR, OUTLINE],
  obstacles: [HEIGHT, ['base_m', 'Begins at', 'number', 'm over the house floor'], OUTLINE],
  audience: [
    ['state', 'Audience', 'choice', ['seated', 'standing']],
    ['height_m', 'Height of its floor', 'number', 'm'],
    ['rake_deg', 'Rises by', 'number', '°'],
    ['empty_in', 'Stays empty in', 'some passes'],
    OUTLINE,
  ],
  lamps: [
    AT,
    ['height_m', 'Height over the house floor', 'number', 'm'],
    ['kind', 'Kind', 'choice', ['lamp', 'window', 'laser']],
    ['faces_deg', 'Shines towards (empty: all around)', 'number?', '° from upstage, clockwise'],
    ['passes', 'On in', 'passes'],
  ],
  stage: [
    ['height_m', 'Height', 'number', 'm'],
    FLOOR,
    ['form', 'Form', 'choice', ['end', 'thrust', 'round']],
    ['has_wings', 'One sees off stage at its sides', 'yes'],
    OUTLINE,
  ],
};
