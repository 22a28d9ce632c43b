// Beats grouped into phrases, and what a correction does to them: the rules of music/layout.py once more, so that the
// picture answers a tap at once. A test runs both on the same songs and corrections and compares every number.

const USUAL_PHRASE = { 2: 32, 3: 24, 4: 32, 6: 24 };
// Counts of an eight by the beats of a bar: two bars of three or four, four of two, one of six.
const EIGHT = { 2: 8, 3: 6, 4: 8, 6: 6 };
const OFF_BEAT_TAP = 0.3;
const NEARBY_COUNTS = 4;

function modulo(value, by) {
  return ((value % by) + by) % by;
}

// Index of the first time not before `seconds`.
function firstFrom(times, seconds) {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] < seconds) low = middle + 1;
    else high = middle;
  }
  return low;
}

function nearestBeat(times, seconds) {
  const at = firstFrom(times, seconds);
  if (at === 0) return 0;
  if (at === times.length) return at - 1;
  return Math.abs(times[at] - seconds) < Math.abs(times[at - 1] - seconds) ? at : at - 1;
}

function least(list, worthOf) {
  return list.reduce((best, each) => (worthOf(each) < worthOf(best) ? each : best));
}

function lay(beats, bar, starts, begins, end) {
  let inside = [...new Set(starts)].filter((start) => start >= 0 && start < beats.length).sort((a, b) => a - b);
  if (!inside.length) inside = [Math.min(Math.max(begins, 0), beats.length - 1)];
  if (inside[0] > bar) inside.unshift(inside[0] % bar);
  const intro = inside.filter((start) => start < begins).length;
  return { beats, bar, starts: inside, intro: Math.min(intro, inside.length - 1), end };
}

function beginsOf(layout) {
  return layout.starts[layout.intro];
}

function phrasesOf(layout) {
  const ends = [...layout.starts.slice(1), layout.beats.length];
  return layout.starts.map((start, number) => [start, ends[number] - start]);
}

function everyBeat(step, phrases) {
  const found = [];
  for (const [start, length] of phrases) for (let beat = start; beat < start + length; beat += step) found.push(beat);
  return found;
}

function laidAgain(layout, starts, begins) {
  return lay(layout.beats, layout.bar, starts, begins, layout.end);
}

function moved(layout, by) {
  const starts = layout.starts.map((start) => start + by);
  if (starts[0] < 0) starts[0] = modulo(starts[0], layout.bar);
  return laidAgain(layout, starts, beginsOf(layout) + by);
}

function halfBeatLater(layout, isForward) {
  const { beats } = layout;
  if (beats.length < 2) return layout;
  const middles = beats.slice(1).map((right, at) => (beats[at] + right) / 2);
  const last = beats.length - 1;
  if (isForward) middles.push(beats[last] + (beats[last] - beats[last - 1]) / 2);
  else middles.unshift(beats[0] - (beats[1] - beats[0]) / 2);
  return { ...layout, beats: middles };
}

function tapOne(layout, { seconds }) {
  let at = nearestBeat(layout.beats, seconds);
  const left = Math.max(at - 1, 0);
  const right = Math.min(at + 1, layout.beats.length - 1);
  if (left === right) return layout;
  const period = (layout.beats[right] - layout.beats[left]) / (right - left);
  const gap = (seconds - layout.beats[at]) / period;
  if (OFF_BEAT_TAP < Math.abs(gap) && Math.abs(gap) < 1) {
    layout = halfBeatLater(layout, gap > 0);
    at = nearestBeat(layout.beats, seconds);
  }
  const eight = EIGHT[layout.bar];
  const ones = [...everyBeat(eight, phrasesOf(layout)), layout.starts[0] - eight];
  const by = least(ones.map((one) => at - one), Math.abs);
  return moved(layout, modulo(by + Math.floor(eight / 2), eight) - Math.floor(eight / 2));
}

function shiftCounts(layout, { counts }) {
  const whole = Math.floor(counts);
  return moved(counts - whole >= 0.25 ? halfBeatLater(layout, true) : layout, whole);
}

function halveCounts(layout) {
  if (layout.beats.length < 4) return null;
  const parity = beginsOf(layout) % 2;
  const beats = layout.beats.filter((_, at) => at >= parity && (at - parity) % 2 === 0);
  const begins = (beginsOf(layout) - parity) / 2;
  const usual = USUAL_PHRASE[layout.bar];
  const inside = layout.starts.filter((start) => start >= parity).map((start) => Math.floor((start - parity) / 2));
  const halved = [...new Set(inside)].sort((a, b) => a - b);
  const kept = [];
  halved.forEach((start, number) => {
    const following = halved[number + 1] ?? beats.length;
    const before = kept[kept.length - 1];
    if (!kept.length || start === begins || following - before > usual || start - before >= usual) kept.push(start);
  });
  return lay(beats, layout.bar, kept, begins, layout.end);
}

function doubleCounts(layout) {
  const old = layout.beats;
  const last = old.length - 1;
  const beats = [];
  for (let at = 0; at < last; at += 1) beats.push(old[at], old[at] + (old[at + 1] - old[at]) / 2);
  beats.push(old[last]);
  const half = last > 0 ? old[last] + (old[last] - old[last - 1]) / 2 : Infinity;
  if (half <= layout.end) beats.push(half);
  const usual = USUAL_PHRASE[layout.bar];
  const starts = [];
  for (const [start, length] of phrasesOf(layout)) {
    const parts = Math.max(1, Math.floor((2 * length) / usual));
    for (let part = 0; part < parts; part += 1) starts.push(2 * start + part * usual);
  }
  return lay(beats, layout.bar, starts, 2 * beginsOf(layout), layout.end);
}

function markPhrase(layout, { seconds }) {
  const beat = nearestBeat(layout.beats, seconds);
  const starts = [...layout.starts];
  let begins = beginsOf(layout);
  const near = least(starts, (start) => Math.abs(start - beat));
  if (Math.abs(near - beat) <= NEARBY_COUNTS) {
    starts[starts.indexOf(near)] = beat;
    if (near === begins) begins = beat;
  } else starts.push(beat);
  return laidAgain(layout, starts, begins);
}

function oddPhrase(layout, { seconds, counts }) {
  const beat = nearestBeat(layout.beats, seconds);
  const phrases = phrasesOf(layout);
  let index = 0;
  phrases.forEach(([start], number) => {
    if (start <= beat) index = number;
  });
  const [start, length] = phrases[index];
  const by = index + 1 < phrases.length ? counts - length : 0;
  const later = layout.starts.slice(index + 1).map((other) => other + by);
  if (!later.length) later.push(start + counts);
  const begins = beginsOf(layout) + (beginsOf(layout) > start ? by : 0);
  return laidAgain(layout, [...layout.starts.slice(0, index + 1), ...later], begins);
}

const CORRECT = {
  tap_one: tapOne,
  shift: shiftCounts,
  halve: halveCounts,
  double: doubleCounts,
  mark_phrase: markPhrase,
  odd_phrase: oddPhrase,
};

// The layout after a correction, or null where it cannot be made.
function corrected(layout, correction) {
  return CORRECT[correction.kind](layout, correction);
}

// The length that most phrases of a song have, or null; the last phrase is a witness for whole eights only.
function usualHere(lengths, eight) {
  const inner = lengths.slice(0, -1);
  const last = lengths.slice(-1);
  const often = (length) => inner.filter((each) => each === length).length;
  if (inner.length > 2) {
    const commonest = least(inner, (length) => -often(length));
    if (2 * often(commonest) > inner.length) return commonest;
  }
  for (const length of new Set(inner)) {
    const votes = often(length) + last.filter((end) => length === end || length === end - 1).length;
    if (length % eight === 0 && votes > 1 && 2 * votes > lengths.length) return length;
  }
  return null;
}

// Start beats of the phrases of the dance that are neither usual, half, twice, nor the commonest of this song.
function oddStarts(layout) {
  const all = phrasesOf(layout).slice(layout.intro);
  const danced = all.slice(0, -1);
  const usual = USUAL_PHRASE[layout.bar];
  const even = new Set([usual / 2, usual, 2 * usual, usualHere(all.map(([, length]) => length), EIGHT[layout.bar])]);
  return danced.filter(([, length]) => !even.has(length)).map(([start]) => start);
}

// Where `seconds` lies in beats: 3.5 is half way from beat 3 to beat 4. Outside, the nearest beat's tempo goes on.
function beatAt(beats, seconds) {
  const last = beats.length - 1;
  if (last < 1) return last < 0 ? 0 : seconds - beats[0];
  const left = Math.min(last - 1, Math.max(0, firstFrom(beats, seconds + 1e-9) - 1));
  return left + (seconds - beats[left]) / (beats[left + 1] - beats[left]);
}

function secondsAt(beats, beat) {
  const last = beats.length - 1;
  if (last < 1) return last < 0 ? 0 : beats[0] + beat;
  const left = Math.min(last - 1, Math.max(0, Math.floor(beat)));
  return beats[left] + (beat - left) * (beats[left + 1] - beats[left]);
}

// The phrase that holds a beat, -1 before the first.
function phraseAt(layout, beat) {
  let number = -1;
  while (number + 1 < layout.starts.length && layout.starts[number + 1] <= beat) number += 1;
  return number;
}
