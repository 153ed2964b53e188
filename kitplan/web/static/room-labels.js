// Where names stand on the floor plan: beside their things, never over each other; those that find
// no room are left out until the plan is larger.

const [LINE_PX, GAP_PX] = [15, 11];
const MOST_LETTERS = 34;

const pen = document.createElement('canvas').getContext('2d');

export function* place(wishes, width, height, font, more = []) {
  pen.font = font;
  const spots = [...more, ...wishes.filter((each) => !each.isArea).map((each) => each.at)];
  const taken = spots.map(([x, y]) => [x - 8, y - 8, x + 8, y + 8]);
  for (const wish of wishes) {
    const words = wish.words.length > MOST_LETTERS ? `${wish.words.slice(0, MOST_LETTERS - 1)}…` : wish.words;
    const wide = pen.measureText(words).width;
    const most = width - wide - 3;
    for (const [wished, top] of around(wish, wide)) {
      const left = wish.rank === 0 ? Math.max(3, Math.min(wished, most)) : wished;
      const box = [left, top, left + wide, top + LINE_PX];
      const isIn = box[0] > 2 && box[1] > 2 && box[2] < width - 2 && box[3] < height - 2;
      const isFree = isIn && !taken.some((other) => meet(box, other));
      if (isFree || (wish.rank === 0 && isIn)) {
        taken.push(box);
        yield { key: wish.key, words, x: left, y: top + LINE_PX - 4 };
        break;
      }
    }
  }
}

function* around({ at: [x, y], isArea }, wide) {
  if (isArea) {
    for (const step of [0, 1, -1, 2, -2]) yield [x - wide / 2, y - LINE_PX / 2 + step * LINE_PX];
    return;
  }
  yield [x + GAP_PX, y - LINE_PX / 2];
  yield [x - GAP_PX - wide, y - LINE_PX / 2];
  yield [x - wide / 2, y - GAP_PX - LINE_PX];
  yield [x - wide / 2, y + GAP_PX];
}

const meet = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];
