// Where everything is at any moment: films read from the page's data, and stances between two counts.
// Lengths are centimetres with y downwards as on a screen, angles degrees clockwise, times counts.

const DEGREES_PER_EIGHTH = 45;
const MOVE_COUNTS = 0.7; // a foot leaves the floor this long before it lands, unless the last step is nearer
const CONTACTS = ["flat", "ball", "toe", "heel", "air"];

function readFoot(row, from) {
  return {
    x: row[from],
    y: -row[from + 1],
    angle: row[from + 2] * DEGREES_PER_EIGHTH,
    contact: CONTACTS[row[from + 3]],
  };
}

function readFrame(row) {
  return {
    count: row[0],
    L: readFoot(row, 1),
    R: readFoot(row, 5),
    weight: row[9],
    facing: row[10],
    x: row[11],
    y: -row[12],
  };
}

function readFilm(film, strings) {
  const frames = film.frames.map(readFrame);
  const steps = film.steps.map(([label, foot, words, figure, turn, line, spoken]) => ({
    label,
    foot,
    words: strings[words],
    figure: strings[figure],
    turn: strings[turn],
    line,
    spoken: strings[spoken],
  }));
  const sections = film.sections.map(([label, start, counts, first, length]) => ({
    label: strings[label],
    start,
    end: start + counts,
    first,
    last: first + length,
  }));
  return { counts: film.counts, frames, steps, sections };
}

// The last frame at or before a time. Frames never go back in time, so halving finds it.
function frameAt(film, time) {
  let low = 0;
  let high = film.frames.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (film.frames[middle].count <= time + 1e-6) low = middle;
    else high = middle - 1;
  }
  return low;
}

// Sections own the steps from first to last; frame i + 1 follows step i, frame 0 belongs to the first.
function sectionOf(film, index) {
  const step = Math.max(0, index - 1);
  const found = film.sections.findIndex((section) => step >= section.first && step < section.last);
  return found < 0 ? 0 : found;
}

function mix(from, to, share) {
  return from + (to - from) * share;
}

function ease(share) {
  return share * share * (3 - 2 * share);
}

function mixFoot(from, to, share) {
  const travels = Math.hypot(to.x - from.x, to.y - from.y) > 1;
  return {
    x: mix(from.x, to.x, share),
    y: mix(from.y, to.y, share),
    angle: mix(from.angle, to.angle, share),
    contact: travels && share > 0 && share < 1 ? "air" : from.contact,
    lift: travels ? Math.sin(Math.PI * share) : 0,
  };
}

// The stance at a time: a foot eases from where it was to where it lands, and lands on its count.
function stanceAt(film, time, index, isStill) {
  const now = film.frames[index];
  const next = film.frames[index + 1];
  let share = 0;
  if (next && !isStill) {
    const length = Math.min(MOVE_COUNTS, Math.max(0.01, next.count - now.count));
    share = ease(Math.min(1, Math.max(0, (time - next.count + length) / length)));
  }
  const to = next ?? now;
  return {
    L: mixFoot(now.L, to.L, share),
    R: mixFoot(now.R, to.R, share),
    weight: now.weight,
    facing: mix(now.facing, to.facing, share),
    x: mix(now.x, to.x, share),
    y: mix(now.y, to.y, share),
  };
}

// A circle that holds all feet of frames first..last, so that any rotation of it stays in view.
function circleOf(film, first, last) {
  const xs = [];
  const ys = [];
  for (const frame of film.frames.slice(first, last + 1)) {
    xs.push(frame.L.x, frame.R.x, frame.x);
    ys.push(frame.L.y, frame.R.y, frame.y);
  }
  const x = (Math.min(...xs) + Math.max(...xs)) / 2;
  const y = (Math.min(...ys) + Math.max(...ys)) / 2;
  const reach = xs.map((each, i) => Math.hypot(each - x, ys[i] - y));
  return { x, y, radius: Math.max(85, Math.max(...reach) + 42) };
}
