// The song as a picture: the whole of it on one line, and phrase by phrase with the walls beneath.

const COLUMNS_PER_COUNT = 16;
const OVERVIEW_COLUMNS = 900;
const WAVE_HEIGHT = 40;
const LONGER_BY = 8; // a phrase this much longer than usual still fits on one line
const NARROW_COUNTS = 7; // a piece this short carries a short name
const TOO_NARROW_COUNTS = 3; // and one this short is no button: its wall can be reached by its other pieces

function element(name, className, parent, text = "") {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (text) made.textContent = text;
  parent?.append(made);
  return made;
}

function dialOf(facing, parent) {
  const dial = make("svg", { class: "dial", "aria-hidden": "true" }, parent);
  make("use", { href: `#dial-${modulo(facing, 8)}` }, dial);
}

function clockText(seconds) {
  const whole = Math.max(0, Math.floor(seconds + 1e-6));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

function fillIn(words, values) {
  return words.replace(/\{(\w+)\}/g, (all, name) => values[name] ?? all);
}

function counted(say, name, n) {
  const isOne = document.documentElement.lang === "fr" ? n < 2 : n === 1;
  return fillIn(say[`${name}_${isOne ? "one" : "many"}`], { n });
}

class Peaks {
  constructor({ peaks, peaksPerSecond }) {
    this.values = Uint8Array.from(atob(peaks), (letter) => letter.charCodeAt(0));
    this.perSecond = peaksPerSecond;
  }

  // The loudest moment between two times, 0 to 1.
  between(from, to) {
    const first = Math.max(0, Math.floor(from * this.perSecond));
    const last = Math.max(first, Math.ceil(to * this.perSecond) - 1);
    let peak = 0;
    for (let at = first; at <= last && at < this.values.length; at += 1) peak = Math.max(peak, this.values[at]);
    return peak / 255;
  }

  // An outline over `columns` columns; `timeOf` tells when the column's left edge sounds.
  outline(columns, width, timeOf) {
    const above = [];
    const below = [];
    for (let at = 0; at < columns; at += 1) {
      const height = Math.max(0.02, this.between(timeOf(at), timeOf(at + 1))) * (WAVE_HEIGHT / 2);
      const x = ((at + 0.5) * width) / columns;
      above.push(`${x.toFixed(2)} ${(WAVE_HEIGHT / 2 - height).toFixed(2)}`);
      below.unshift(`${x.toFixed(2)} ${(WAVE_HEIGHT / 2 + height).toFixed(2)}`);
    }
    return `M${above.join("L")}L${below.join("L")}Z`;
  }
}

class SongView {
  constructor(data, peaks) {
    this.data = data;
    this.say = data.say;
    this.peaks = peaks;
    this.lanes = [];
    this.here = null;
  }

  // Draw everything anew for a layout; pieces lie `startBeat` beats into the song.
  show(layout, startBeat) {
    this.layout = layout;
    this.startBeat = startBeat;
    this.eight = layout.bar % 3 ? 8 : 6;
    this.here = null;
    this.odd = new Set(oddStarts(layout));
    this.drawOverview();
    this.drawRows();
    this.measure();
  }

  measure() {
    for (const lane of this.lanes) lane.width = lane.box.clientWidth;
    this.overviewWidth = byId("overview").clientWidth;
  }

  phraseName(number) {
    const { intro } = this.layout;
    const name = number < intro ? this.say.intro : this.say.phrase;
    return fillIn(name, { n: number < intro ? number + 1 : number - intro + 1 });
  }

  drawOverview() {
    const { layout, peaks, data } = this;
    const wave = byId("overview-wave");
    wave.setAttribute("viewBox", `0 0 ${OVERVIEW_COLUMNS} ${WAVE_HEIGHT}`);
    wave.replaceChildren();
    const end = data.seconds;
    const d = peaks.outline(OVERVIEW_COLUMNS, OVERVIEW_COLUMNS, (at) => (at * end) / OVERVIEW_COLUMNS);
    make("path", { class: "outline", d }, wave);
    const spread = (parent, className, fromBeat, toBeat) => {
      const part = element("div", className, parent);
      const from = Math.min(end, Math.max(0, secondsAt(layout.beats, fromBeat)));
      const to = Math.min(end, Math.max(from, secondsAt(layout.beats, toBeat)));
      part.style.left = `${(100 * from) / end}%`;
      part.style.width = `${(100 * (to - from)) / end}%`;
      return part;
    };
    byId("overview-phrases").replaceChildren();
    phrasesOf(layout).forEach(([start, length], number) => {
      const kind = number < layout.intro ? " waiting" : this.odd.has(start) ? " odd" : "";
      const part = spread(byId("overview-phrases"), `part${kind}`, start, start + length);
      element("b", "", part, number < layout.intro ? "" : String(number - layout.intro + 1));
    });
    byId("overview-walls").replaceChildren();
    for (const piece of data.pieces) {
      const from = this.startBeat + piece.start;
      if (from >= layout.beats.length) continue;
      const until = Math.min(from + piece.counts, layout.beats.length);
      const part = spread(byId("overview-walls"), `part ${this.kindOf(piece)}`, from, until);
      if (piece.facing !== null && piece.counts > NARROW_COUNTS) dialOf(piece.facing, part);
    }
  }

  kindOf(piece) {
    return piece.isTag ? "tag" : piece.facing === 0 ? "wall noon" : "wall";
  }

  // Lines of the chart: a phrase is one line, a long one several.
  linesOf([start, length]) {
    const usual = USUAL_PHRASE[this.layout.bar];
    const lines = [];
    let at = start;
    const end = start + length;
    while (end - at > usual + LONGER_BY) {
      lines.push([at, at + usual]);
      at += usual;
    }
    lines.push([at, end]);
    return lines;
  }

  drawRows() {
    const phrases = phrasesOf(this.layout);
    const all = phrases.map((phrase) => this.linesOf(phrase));
    this.widest = Math.max(...all.flat().map(([from, to]) => to - from));
    this.lanes = [];
    const rows = document.createDocumentFragment();
    if (this.layout.starts[0] > 0) this.drawPhrase(rows, -1, [0, this.layout.starts[0]], [[0, this.layout.starts[0]]]);
    phrases.forEach((phrase, number) => this.drawPhrase(rows, number, phrase, all[number]));
    byId("rows").replaceChildren(rows);
  }

  drawPhrase(rows, number, [start, length], lines) {
    const { say, layout } = this;
    const box = element("div", "phrase", rows);
    const heading = element("h3", "", box);
    const button = element("button", "to-phrase", heading);
    button.type = "button";
    button.dataset.beat = start;
    element("span", "name", button, number < 0 ? say.pickup : this.phraseName(number));
    element("span", "length", button, counted(say, "counts", length));
    const more = length - USUAL_PHRASE[layout.bar];
    if (this.odd.has(start)) {
      const words = more > 0 ? say.odd_more : say.odd_less;
      element("span", "note", button, fillIn(words, { n: Math.abs(more), usual: USUAL_PHRASE[layout.bar] }));
    }
    element("span", "from", button, clockText(secondsAt(layout.beats, start)));
    for (const line of lines) this.drawLane(box, start, line, this.odd.has(start));
  }

  drawLane(parent, phraseStart, [from, to], isOdd) {
    const box = element("div", "lane", parent);
    box.style.width = `${(100 * (to - from)) / this.widest}%`;
    box.dataset.from = from;
    box.dataset.to = to;
    this.drawWave(box, phraseStart, from, to, isOdd);
    const labels = element("div", "eights", box);
    labels.setAttribute("aria-hidden", "true");
    for (let beat = from; beat < to; beat += 1) {
      if ((beat - phraseStart) % this.eight) continue;
      const label = element("span", "", labels, String((beat - phraseStart) / this.eight + 1));
      label.style.left = `${(100 * (beat - from)) / (to - from)}%`;
    }
    if (this.data.pieces.length) this.drawRibbon(box, from, to);
    const head = element("div", "head", box);
    head.hidden = true;
    this.lanes.push({ box, head, from, to, width: 0 });
  }

  drawWave(box, phraseStart, from, to, isOdd) {
    const { beats } = this.layout;
    const length = to - from;
    const wave = make("svg", { class: "wave", preserveAspectRatio: "none", "aria-hidden": "true" }, box);
    wave.setAttribute("viewBox", `0 0 ${length} ${WAVE_HEIGHT}`);
    const extra = from + USUAL_PHRASE[this.layout.bar];
    if (isOdd && to > extra) {
      make("rect", { class: "extra", x: extra - from, y: 0, width: to - extra, height: WAVE_HEIGHT }, wave);
    }
    const d = this.peaks.outline(length * COLUMNS_PER_COUNT, length, (at) => {
      return secondsAt(beats, from + at / COLUMNS_PER_COUNT);
    });
    make("path", { class: "outline", d }, wave);
    const lines = { beat: [], eight: [] };
    for (let beat = from; beat < to; beat += 1) {
      const kind = (beat - phraseStart) % this.eight ? "beat" : "eight";
      lines[kind].push(`M${beat - from} ${kind === "beat" ? 6 : 0}V${kind === "beat" ? 34 : WAVE_HEIGHT}`);
    }
    for (const kind of ["beat", "eight"]) make("path", { class: kind, d: lines[kind].join("") }, wave);
  }

  drawRibbon(box, from, to) {
    const ribbon = element("div", "ribbon", box);
    for (const piece of this.data.pieces) {
      const start = this.startBeat + piece.start;
      const left = Math.max(from, start);
      const right = Math.min(to, start + piece.counts);
      if (right > left) this.drawPiece(ribbon, piece, { left, right, from, to, start });
    }
  }

  drawPiece(ribbon, piece, { left, right, from, to, start }) {
    const { say } = this;
    const isStart = left === start;
    const isButton = right - left >= TOO_NARROW_COUNTS;
    const isNarrow = right - left <= NARROW_COUNTS;
    const part = element(isButton ? "button" : "span", `piece ${this.kindOf(piece)}`, ribbon);
    if (isButton) {
      part.type = "button";
      part.dataset.beat = start;
    }
    part.classList.toggle("goes-on", right < start + piece.counts);
    part.classList.toggle("came-in", !isStart);
    part.classList.toggle("cut", piece.isCut && right === start + piece.counts);
    part.style.left = `${(100 * (left - from)) / (to - from)}%`;
    part.style.width = `${(100 * (right - left)) / (to - from)}%`;
    const name = isStart ? piece.label : fillIn(say.goes_on, { name: piece.label });
    if (isStart && piece.facing !== null && !isNarrow) dialOf(piece.facing, part);
    element("span", "name", part, isNarrow || !isStart ? piece.short : piece.label);
    if (isStart && piece.facing !== null) element("b", "facing", part, clockOf(piece.facing));
    if (isStart && piece.note && !isNarrow) element("span", "note", part, piece.note);
    if (!isButton) return;
    const facing = piece.facing === null ? "" : fillIn(say.starts_facing, { clock: clockOf(piece.facing) });
    const said = [name, facing, piece.note, say.play_from_here].filter(Boolean).join(", ");
    part.setAttribute("aria-label", said);
    part.title = [name, facing, piece.note].filter(Boolean).join(", ");
  }

  // Put the playhead at a beat; tells the lane when it is a new one.
  place(beat, seconds) {
    const head = byId("overview-head");
    head.style.transform = `translateX(${((this.overviewWidth * seconds) / this.data.seconds).toFixed(1)}px)`;
    let lane = this.here;
    if (!lane || beat < lane.from || beat >= lane.to) {
      lane = this.lanes.find((each) => beat >= each.from && beat < each.to) ?? null;
    }
    if (lane) {
      const share = (beat - lane.from) / (lane.to - lane.from);
      lane.head.style.transform = `translateX(${(lane.width * share).toFixed(1)}px)`;
    }
    if (lane === this.here) return null;
    for (const each of this.lanes) each.head.hidden = each !== lane;
    for (const old of document.querySelectorAll("#rows .phrase.now")) old.classList.remove("now");
    lane?.box.parentElement.classList.add("now");
    this.here = lane;
    return lane;
  }
}
