// The song's clock, and everything that moves with it.

const SNAP_SECONDS = 0.06; // a jump, not an unsteady clock
const CATCH_UP = 0.2; // share of the gap to the audio clock made up in every frame
const LAST_SEEK_SECONDS = 1; // Chromium never ends a jump into the last second of some flac files
const LEAD_SECONDS = 0.008; // what is drawn now is seen a little later: half a frame at 60 a second
const ABOUT_NOW = 1e-4; // a jump to a beat lands on it, whatever the last digit

// Some browsers move currentTime in coarse steps: between them time goes on by itself, never far from the audio clock.
class SongClock {
  constructor(audio) {
    this.audio = audio;
    this.delay = 0;
    this.seconds = 0;
    this.now = 0;
  }

  // Seconds into the song that the audio clock says at `now` (milliseconds, as performance.now tells).
  read(now) {
    const raw = this.audio.currentTime;
    const passed = ((now - this.now) / 1000) * this.audio.playbackRate;
    const guess = this.seconds + passed;
    const gap = raw - guess;
    const isJump = this.audio.paused || this.audio.seeking || Math.abs(gap) > SNAP_SECONDS;
    this.seconds = isJump ? raw : guess + CATCH_UP * gap;
    this.now = now;
    return this.seen(now);
  }

  // What the ear hears at `now`: the sound may leave the loudspeaker later than the clock says.
  heard(now) {
    if (this.audio.paused) return this.audio.currentTime;
    const passed = Math.max(-0.2, Math.min(0.2, (now - this.now) / 1000));
    return this.seconds + (passed - this.delay) * this.audio.playbackRate;
  }

  // What the ear will hear when the frame being drawn is seen.
  seen(now) {
    return this.heard(now) + (this.audio.paused ? 0 : LEAD_SECONDS * this.audio.playbackRate);
  }
}

class SongPlayer {
  constructor(data) {
    this.data = data;
    this.say = data.say;
    this.audio = byId("audio");
    this.audio.preservesPitch = true;
    this.clock = new SongClock(this.audio);
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    this.film = data.film ? readFilm(data.film, data.strings) : null;
    this.floor = this.film ? new Floor() : null;
    this.floor?.show(this.film);
    this.view = new SongView(data, new Peaks(data));
    this.isLooping = false;
    this.isFront = false;
    this.pending = 0;
    this.corrections = new Corrections(data, () => this.relay());
    this.tick = this.tick.bind(this);
    byId("clock-end").textContent = clockText(data.seconds);
    byId("place").max = String(data.seconds);
    this.corrections.show();
  }

  get layout() {
    return this.corrections.layout;
  }

  // Lay the picture anew. The walls keep their distance from the first phrase until the dance is fitted again.
  relay() {
    const { walls } = this.data;
    const { heard } = this.corrections;
    this.startBeat = walls ? beginsOf(this.layout) + walls.startBeat - beginsOf(heard) : 0;
    this.swing = this.corrections.made.some(({ kind }) => kind === "halve" || kind === "double") ? 0.5 : this.data.map.swing;
    this.view.show(this.layout, this.startBeat);
    this.shownBeat = null;
    this.shownIndex = -1;
    this.piece = undefined;
    this.drawEight();
    this.showSpeed();
    this.wake();
  }

  drawEight() {
    byId("eight").replaceChildren();
    this.cells = [];
    for (let count = 1; count <= this.view.eight; count += 1) {
      this.cells.push(element("li", "", byId("eight"), String(count)));
    }
  }

  wake() {
    if (!this.pending) this.pending = requestAnimationFrame(this.tick);
  }

  tick() {
    const now = performance.now();
    const seconds = this.clock.read(now);
    this.loopBack(seconds);
    const frameSeconds = Math.min(0.1, Math.max(0, (now - (this.lastNow ?? now)) / 1000));
    this.lastNow = now;
    const isMoving = this.draw(seconds, frameSeconds);
    this.pending = !this.audio.paused || this.audio.seeking || isMoving ? requestAnimationFrame(this.tick) : 0;
  }

  draw(seconds, frameSeconds) {
    const beat = beatAt(this.layout.beats, seconds) + ABOUT_NOW;
    const whole = Math.floor(beat);
    const lane = this.view.place(beat, Math.min(this.data.seconds, Math.max(0, seconds)));
    if (lane && !this.audio.paused) this.follow(lane);
    if (whole !== this.shownBeat) this.showBeat(whole);
    this.showClock(seconds);
    return this.film ? this.drawFloor(beat, frameSeconds) : false;
  }

  // What is danced and counted at a beat.
  at(whole) {
    const { beats, starts } = this.layout;
    const isOver = whole >= beats.length;
    const run = whole - this.startBeat;
    const piece = this.data.pieces.find((each) => run >= each.start && run < each.start + each.counts) ?? null;
    const phrase = phraseAt(this.layout, whole);
    const inside = whole - (phrase < 0 ? starts[0] : starts[phrase]);
    const count = modulo(piece ? run - piece.start : inside, this.view.eight) + 1;
    const isSilent = whole < 0 || isOver || !beats.length;
    return { piece, phrase, eight: Math.floor(inside / this.view.eight) + 1, count: isSilent ? 0 : count, isOver };
  }

  showBeat(whole) {
    this.shownBeat = whole;
    const place = this.at(whole);
    byId("say-count").textContent = place.count ? String(place.count) : "–";
    this.cells.forEach((cell, at) => cell.classList.toggle("on", at + 1 === place.count));
    const words = this.placeInWords(place);
    byId("say-place").textContent = words;
    put(byId("stage"), "data-count", String(place.count));
    put(byId("stage"), "data-beat", String(whole));
    byId("stage").classList.toggle("dancing", place.piece !== null);
    if (this.piece !== place.piece) this.markPiece(place.piece);
    const phrase = phrasesOf(this.layout)[Math.max(0, place.phrase)];
    if (phrase && document.activeElement !== byId("odd-counts")) byId("odd-counts").value = String(phrase[1]);
    return words;
  }

  markPiece(piece) {
    this.piece = piece;
    for (const old of document.querySelectorAll(".piece[aria-current]")) old.removeAttribute("aria-current");
    if (!piece) return;
    const own = document.querySelectorAll(`.piece[data-beat="${this.startBeat + piece.start}"]`);
    for (const part of own) part.setAttribute("aria-current", "true");
  }

  placeInWords({ piece, phrase, eight, isOver }) {
    const { say } = this;
    if (isOver) return say.over;
    const parts = [];
    if (phrase >= 0) parts.push(this.view.phraseName(phrase), fillIn(this.view.eight === 6 ? say.six : say.eight, { n: eight }));
    if (piece) parts.push(piece.label, piece.note);
    else if (this.data.pieces.length) parts.push(say.wait);
    return parts.filter(Boolean).join(" · ");
  }

  // In swung music the half count sounds late; the dance is written straight.
  danced(beat) {
    const whole = Math.floor(beat);
    const part = beat - whole;
    const { swing } = this;
    return whole + (part < swing ? (part / swing) * 0.5 : 0.5 + ((part - swing) / (1 - swing)) * 0.5);
  }

  drawFloor(beat, frameSeconds) {
    const { film, floor, data } = this;
    const end = data.walls.counts - ABOUT_NOW;
    const time = Math.min(this.danced(beat) - this.startBeat, end);
    const index = frameAt(film, time);
    const isLast = (film.frames[index + 1]?.count ?? Infinity) > end;
    const stance = stanceAt(film, time, index, isLast || this.calm.matches);
    if (index !== this.shownIndex) this.showStep(index);
    const isTurning = floor.settle(floor.aim(index, stance), frameSeconds, this.calm.matches);
    floor.draw(index, stance);
    return isTurning;
  }

  showStep(index) {
    this.shownIndex = index;
    const frame = this.film.frames[index];
    const step = this.film.steps[index - 1];
    const section = this.film.sections[sectionOf(this.film, index)];
    this.floor.upFacing = this.isFront && section ? this.film.frames[section.first].facing : 0;
    byId("say-words").textContent = step ? step.words : this.say.ready;
    byId("say-facing").textContent = clockOf(frame.facing);
    put(byId("say-dial"), "href", `#dial-${modulo(frame.facing, 8)}`);
    const weight = this.data.weight[frame.weight];
    put(byId("floor"), "aria-label", fillIn(this.say.floor, { weight, clock: clockOf(frame.facing) }));
    put(byId("floor"), "data-index", String(index));
    byId("stage").classList.toggle("turned", this.isFront && this.floor.upFacing % 8 !== 0);
  }

  showClock(seconds) {
    const text = clockText(seconds);
    if (byId("clock-now").textContent === text) return;
    byId("clock-now").textContent = text;
    byId("place").value = String(Math.max(0, seconds));
    byId("place").setAttribute("aria-valuetext", `${text}, ${byId("say-place").textContent}`);
  }

  // Only a wide window scrolls with the song: on a phone the eyes are on the floor.
  follow(lane) {
    if (innerWidth < 1080 || byId("rows").contains(document.activeElement)) return;
    const box = lane.box.getBoundingClientRect();
    const previous = lane.box.parentElement.previousElementSibling?.getBoundingClientRect();
    const wasSeen = previous && previous.bottom > 0 && previous.top < innerHeight;
    if (!wasSeen || (box.top >= 0 && box.bottom <= innerHeight)) return;
    lane.box.scrollIntoView({ behavior: this.calm.matches ? "auto" : "smooth", block: "center" });
  }

  get heard() {
    return this.clock.heard(performance.now());
  }

  seek(seconds) {
    this.audio.currentTime = Math.max(0, Math.min(this.data.seconds - LAST_SEEK_SECONDS, seconds));
    this.loopRange = null;
    this.wake();
  }

  seekBeat(beat) {
    this.seek(secondsAt(this.layout.beats, beat));
    this.announce(this.showBeat(beat));
  }

  playFrom(beat) {
    this.seekBeat(beat);
    this.play();
  }

  async play() {
    try {
      await this.audio.play();
    } catch (error) {
      if (error.name !== "AbortError") this.complain();
    }
  }

  toggle() {
    if (this.audio.paused) {
      this.play();
    } else this.audio.pause();
  }

  complain() {
    byId("trouble").hidden = false;
    byId("trouble").textContent = this.data.isEmbedded ? this.say.cannot_play : this.say.cannot_find;
  }

  showPlaying() {
    const isPlaying = !this.audio.paused;
    for (const id of ["play", "play-too"]) {
      byId(id).classList.toggle("playing", isPlaying);
      byId(`${id}-name`).textContent = isPlaying ? this.say.pause : this.say.play;
    }
    this.wake();
  }

  // One eight back or on; back from inside an eight goes to its start.
  eight(by) {
    const whole = Math.floor(beatAt(this.layout.beats, this.heard) + ABOUT_NOW);
    const starts = this.eightStarts();
    const next = by > 0 ? starts.find((start) => start > whole) : starts.findLast((start) => start < whole - (this.audio.paused ? 0 : 1));
    this.seekBeat(next ?? (by > 0 ? this.layout.beats.length - 1 : 0));
  }

  eightStarts() {
    return everyBeat(this.view.eight, phrasesOf(this.layout));
  }

  // Starts of walls, or of phrases where there is no dance.
  chapters() {
    const { pieces } = this.data;
    if (!pieces.length) return this.layout.starts;
    return pieces.filter((piece) => piece.isStart).map((piece) => this.startBeat + piece.start);
  }

  chapter(by) {
    const whole = Math.floor(beatAt(this.layout.beats, this.heard) + ABOUT_NOW);
    const all = this.chapters();
    const next = by > 0 ? all.find((start) => start > whole) : all.findLast((start) => start < whole - (this.audio.paused ? 0 : 1));
    this.seekBeat(next ?? (by > 0 ? whole : 0));
  }

  goToChapter(number) {
    const beat = this.chapters()[number];
    if (beat !== undefined && beat < this.layout.beats.length) this.seekBeat(beat);
  }

  toggleLoop() {
    this.isLooping = !this.isLooping;
    this.loopRange = null;
    byId("loop").setAttribute("aria-pressed", String(this.isLooping));
  }

  // The loop holds the wall, or the phrase where nothing is danced, that sounded when it began.
  loopBack(seconds) {
    if (!this.isLooping || this.audio.paused || this.audio.seeking) return;
    const { beats } = this.layout;
    if (!this.loopRange) {
      const whole = Math.floor(beatAt(beats, seconds) + ABOUT_NOW);
      const { piece, phrase } = this.at(whole);
      const [start, length] = piece
        ? [this.startBeat + piece.start, piece.counts]
        : phrasesOf(this.layout)[Math.max(0, phrase)];
      this.loopRange = [secondsAt(beats, start), secondsAt(beats, start + length)];
    }
    const [from, to] = this.loopRange;
    if (seconds < to && this.audio.currentTime < this.data.seconds - 0.05) return;
    this.audio.currentTime = from;
  }

  toggleFront() {
    if (!this.film) return;
    this.isFront = !this.isFront;
    byId("front").setAttribute("aria-pressed", String(this.isFront));
    this.shownIndex = -1;
    this.wake();
  }

  toggleMirror() {
    if (!this.film) return;
    this.floor.isMirrored = !this.floor.isMirrored;
    byId("mirror").setAttribute("aria-pressed", String(this.floor.isMirrored));
    this.wake();
  }

  showSpeed() {
    const percent = Number(byId("speed").value);
    this.audio.playbackRate = percent / 100;
    const { beats } = this.layout;
    const typical = beats.length > 1 ? (60 * (beats.length - 1)) / (beats[beats.length - 1] - beats[0]) : 0;
    const words = typical ? this.say.speed : this.say.speed_alone;
    const said = fillIn(words, { percent, bpm: Math.round((typical * percent) / 100) });
    byId("say-speed").textContent = said;
    byId("speed").setAttribute("aria-valuetext", said);
  }

  showDelay() {
    const milliseconds = Number(byId("delay").value);
    this.clock.delay = milliseconds / 1000;
    byId("say-delay").textContent = fillIn(this.say.delay, { n: milliseconds });
    byId("delay").setAttribute("aria-valuetext", byId("say-delay").textContent);
  }

  announce(words) {
    byId("live").textContent = words;
  }

  tapOne(now) {
    this.corrections.add("tap_one", { seconds: this.clock.heard(now) });
  }

  tapAlong(now) {
    if (this.audio.paused) byId("tapped").textContent = this.say.tap_play_first;
    else this.corrections.tap(this.clock.heard(now));
  }

  phraseHere() {
    this.corrections.add("mark_phrase", { seconds: this.heard });
  }

  setOdd() {
    const counts = Math.floor(Number(byId("odd-counts").value));
    if (counts >= 1) this.corrections.add("odd_phrase", { seconds: this.heard, counts });
  }
}
