// Floor mode: what is counted, called and faced now, by the song's own clock or by an even click.

const AHEAD_SECONDS = 0.12; // clicks are handed to the sound card this long before they sound
const CLICK_SECONDS = 0.03;
const FIRST_CLICK_HERTZ = 1500;
const CLICK_HERTZ = 950;

// A click with the face of an audio element, so that one clock reads both.
class Clicks {
  constructor(run) {
    this.run = run;
    this.paused = true;
    this.seeking = false;
    this.rate = 1;
    this.at = 0;
    this.listeners = new Map();
  }

  addEventListener(name, act) {
    this.listeners.set(name, [...(this.listeners.get(name) ?? []), act]);
  }

  tell(name) {
    for (const act of this.listeners.get(name) ?? []) act();
  }

  get currentTime() {
    if (this.paused) return this.at;
    return this.at + (this.sound.currentTime - this.since) * this.rate;
  }

  set currentTime(seconds) {
    this.restart(seconds);
  }

  get playbackRate() {
    return this.rate;
  }

  set playbackRate(rate) {
    const { currentTime } = this;
    this.rate = rate;
    this.restart(currentTime);
  }

  restart(seconds) {
    this.at = Math.max(0, seconds);
    this.next = firstAfter(this.run.beats, this.at - 0.02);
    if (!this.paused) this.since = this.sound.currentTime;
  }

  async play() {
    this.sound ??= new AudioContext();
    await this.sound.resume();
    this.paused = false;
    this.restart(this.at);
    this.timer = setInterval(() => this.schedule(), 40);
    this.tell("play");
  }

  pause() {
    if (this.paused) return;
    this.at = this.currentTime;
    this.paused = true;
    clearInterval(this.timer);
    this.tell("pause");
  }

  schedule() {
    const { beats, ends } = this.run;
    const now = this.currentTime;
    if (now >= ends) {
      this.pause();
      return;
    }
    while (this.next < beats.length && beats[this.next][0] <= now + AHEAD_SECONDS * this.rate) {
      const when = this.sound.currentTime + (beats[this.next][0] - now) / this.rate;
      this.click(Math.max(this.sound.currentTime, when), beats[this.next][1] === 1);
      this.next += 1;
    }
  }

  click(when, isFirst) {
    const tone = this.sound.createOscillator();
    const level = this.sound.createGain();
    tone.frequency.value = isFirst ? FIRST_CLICK_HERTZ : CLICK_HERTZ;
    level.gain.setValueAtTime(0.4, when);
    level.gain.exponentialRampToValueAtTime(0.001, when + CLICK_SECONDS);
    tone.connect(level).connect(this.sound.destination);
    tone.start(when);
    tone.stop(when + CLICK_SECONDS);
  }
}

// Index of the first row that begins at or after a time.
function firstAfter(rows, seconds, column = 0) {
  let low = 0;
  let high = rows.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (rows[middle][column] < seconds) low = middle + 1;
    else high = middle;
  }
  return low;
}

class FloorMode {
  constructor(held) {
    this.run = held.run;
    this.say = held.say;
    this.language = held.language;
    this.audio = held.sound ? byId("audio") : new Clicks(this.run);
    this.audio.preservesPitch = true;
    this.clock = new SongClock(this.audio);
    this.isLooping = this.isSpeaking = false;
    this.pending = 0;
    this.beat = this.call = null;
    this.tick = this.tick.bind(this);
    this.drawEight();
    this.listen();
    this.show(0);
    this.beginAtCount();
    this.keep(held.sound);
  }

  drawEight() {
    this.cells = [];
    for (let count = 1; count <= this.run.eight; count += 1) this.cells.push(grow("li", "", byId("eight"), String(count)));
  }

  // The lesson leads here with the count of a piece: #c9 is count 9 of the first wall.
  beginAtCount() {
    const count = Number(/^#c(\d+)$/.exec(location.hash)?.[1] ?? 0);
    const wall = this.run.beats.filter((beat) => beat[2] === 1);
    if (count && wall[count - 1]) this.goTo(wall[count - 1][0]);
  }

  // Everything is fetched once; from then on no network is needed.
  async keep(sound) {
    const told = byId("ready");
    try {
      if (sound) {
        const answer = await fetch(sound);
        if (!answer.ok) throw new Error(String(answer.status));
        this.audio.src = URL.createObjectURL(await answer.blob());
      }
      told.textContent = this.say.ready;
      if (navigator.serviceWorker) {
        await navigator.serviceWorker.register("/worker.js");
        const { active } = await navigator.serviceWorker.ready;
        active.postMessage([location.pathname + location.search, ...(sound ? [sound] : [])]);
        told.textContent = this.say.offline;
      }
    } catch {
      told.textContent = sound && !this.audio.src ? this.say.no_sound : this.say.ready;
    }
  }

  listen() {
    const { audio } = this;
    for (const name of ["play", "pause", "ended", "seeked"]) audio.addEventListener(name, () => this.showPlaying());
    byId("play").addEventListener("click", () => this.toggle());
    byId("back").addEventListener("click", () => this.go(-1));
    byId("on").addEventListener("click", () => this.go(1));
    byId("piece").addEventListener("change", () => this.goTo(this.run.pieces[Number(byId("piece").value)][2]));
    byId("speed").addEventListener("input", () => {
      const percent = Number(byId("speed").value);
      audio.playbackRate = percent / 100;
      byId("say-speed").textContent = `${percent}%`;
    });
    byId("loop").addEventListener("click", () => {
      this.isLooping = this.press("loop", !this.isLooping);
      this.loopPiece = Number(byId("piece").value);
    });
    byId("speak").addEventListener("click", () => {
      this.isSpeaking = this.press("speak", !this.isSpeaking);
      if (!this.isSpeaking) window.speechSynthesis?.cancel();
    });
    document.addEventListener("keydown", (event) => this.onKey(event));
    document.addEventListener("visibilitychange", () => this.stayAwake());
  }

  press(id, isOn) {
    byId(id).setAttribute("aria-pressed", String(isOn));
    return isOn;
  }

  // A page-turn pedal sends PageUp and PageDown, or arrows; Space plays wherever no control has the focus.
  onKey(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches("select, input")) return;
    const { key } = event;
    const isButton = event.target.matches("button, a");
    if (key === " " && isButton) return;
    const acts = {
      " ": () => this.toggle(),
      PageDown: () => this.go(1),
      ArrowRight: () => this.go(1),
      ArrowDown: () => this.go(1),
      PageUp: () => this.go(-1),
      ArrowLeft: () => this.go(-1),
      ArrowUp: () => this.go(-1),
      Home: () => this.goTo(0),
    };
    if (!acts[key]) return;
    event.preventDefault();
    acts[key]();
  }

  toggle() {
    if (!this.audio.paused) {
      this.audio.pause();
      return;
    }
    if (this.audio.currentTime >= this.run.ends - 0.05) this.audio.currentTime = 0;
    this.stayAwake();
    this.audio.play();
    this.wake();
  }

  // While it plays: a piece back or on. While it stands: one call back or on, to be read.
  go(by) {
    const rows = this.audio.paused ? this.run.calls : this.run.pieces;
    const column = this.audio.paused ? 1 : 2;
    const now = this.audio.currentTime;
    const near = this.audio.paused ? 0.01 : 1;
    const at = by > 0 ? firstAfter(rows, now + 0.01, column) : firstAfter(rows, now - near, column) - 1;
    if (at >= rows.length) return;
    this.goTo(at < 0 ? 0 : rows[at][column]);
    byId("live").textContent = byId("cue").textContent;
  }

  goTo(seconds) {
    this.audio.currentTime = seconds;
    if (this.isLooping) this.loopPiece = this.pieceAt(seconds);
    window.speechSynthesis?.cancel();
    this.call = null;
    this.show(seconds);
  }

  pieceAt(seconds) {
    return Math.max(0, firstAfter(this.run.pieces, seconds + 0.01, 2) - 1);
  }

  wake() {
    if (!this.pending) this.pending = requestAnimationFrame(this.tick);
  }

  tick() {
    let seconds = this.clock.read(performance.now());
    if (this.isLooping && !this.audio.paused) {
      const until = this.run.pieces[this.loopPiece + 1]?.[2] ?? this.run.ends;
      if (seconds >= until) {
        seconds = this.run.pieces[this.loopPiece][2];
        this.audio.currentTime = seconds;
      }
    }
    this.show(seconds);
    this.pending = this.audio.paused ? 0 : requestAnimationFrame(this.tick);
  }

  show(seconds) {
    const beat = firstAfter(this.run.beats, seconds + 1e-4) - 1;
    if (beat !== this.beat) this.showBeat(beat, seconds);
    const call = firstAfter(this.run.calls, seconds + 1e-4, 1) - 1;
    if (call !== this.call) this.showCall(call);
  }

  showBeat(at, seconds) {
    this.beat = at;
    const [, said, wall, facing, kind] = this.run.beats[at] ?? [0, 0, 0, 0, "intro"];
    byId("count").textContent = said ? String(said) : "–";
    this.cells.forEach((cell, place) => cell.classList.toggle("on", place + 1 === said));
    byId("clock").textContent = clockOf(facing);
    put(byId("dial"), "href", `#dial-${facing}`);
    byId("wall").textContent = wall ? say(this.say.wall, { n: wall }) : kind === "after" ? this.say.over : "";
    put(byId("main"), "data-beat", String(at));
    put(byId("main"), "data-count", String(said));
    if (document.activeElement !== byId("piece") && this.run.pieces.length) byId("piece").value = String(this.pieceAt(seconds));
  }

  showCall(at) {
    this.call = at;
    const words = this.run.calls[at]?.[3] ?? this.say.start;
    byId("cue").textContent = words;
    byId("cue").classList.toggle("long", words.length > 34);
    put(byId("main"), "data-kind", this.run.calls[at]?.[0] ?? "");
    byId("next").textContent = this.run.calls[at + 1]?.[3] ?? this.say.over;
    if (this.isSpeaking && !this.audio.paused && at >= 0) this.speak(words);
  }

  speak(words) {
    const told = new SpeechSynthesisUtterance(words);
    told.lang = this.language;
    told.rate = Math.min(1.6, 1.15 * this.audio.playbackRate);
    window.speechSynthesis.cancel();
    window.speechSynthesis.speak(told);
  }

  showPlaying() {
    const isPlaying = !this.audio.paused;
    byId("play").classList.toggle("playing", isPlaying);
    byId("play-name").textContent = isPlaying ? this.say.pause : this.say.play;
    if (!isPlaying) {
      this.awake?.release();
      this.awake = null;
    }
    this.wake();
  }

  // Browsers let a screen be kept awake on secure addresses only: where they do not, the page says so.
  async stayAwake() {
    if (document.visibilityState !== "visible" || this.awake) return;
    try {
      this.awake = await navigator.wakeLock.request("screen");
      this.awake.addEventListener("release", () => (this.awake = null));
      byId("awake").textContent = "";
    } catch {
      byId("awake").textContent = this.say.asleep;
    }
  }
}

new FloorMode(begun);
