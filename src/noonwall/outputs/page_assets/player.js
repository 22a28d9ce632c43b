// Playing, stepping, and every control of the page.

const STEP_SECONDS = 0.45; // one step by hand, whatever the tempo

class Player {
  constructor(data) {
    this.data = data;
    this.films = data.films.map((film) => readFilm(film, data.strings));
    this.floor = new Floor();
    this.isPlaying = false;
    this.isLooping = false;
    this.isFront = false;
    this.glide = null;
    this.pending = 0;
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    this.lastNow = 0;
    this.tick = this.tick.bind(this);
    this.choose(0);
  }

  choose(number) {
    this.film = this.films[number];
    this.floor.show(this.film);
    this.showStrip(number);
    this.pause();
    this.index = -1;
    this.goTo(0);
  }

  showStrip(number) {
    const wanted = `strip-${number}`;
    if (!byId(wanted)) {
      const template = document.querySelector(`template[data-film="${number}"]`);
      byId("strips").append(template.content.cloneNode(true));
    }
    for (const strip of byId("strips").children) {
      if (strip.localName === "div") strip.hidden = strip.id !== wanted;
    }
    this.strip = byId(wanted);
    this.cells = new Map();
    for (const cell of this.strip.querySelectorAll("button.cell")) this.cells.set(Number(cell.dataset.step), cell);
  }

  get section() {
    return sectionOf(this.film, this.index);
  }

  // Show frame `index` at once, or glide to it if it is the neighbour.
  goTo(index, isGentle = false) {
    const to = Math.min(this.film.frames.length - 1, Math.max(0, index));
    const isNear = isGentle && Math.abs(to - this.index) === 1 && !this.calm.matches;
    this.glide = isNear ? { from: Math.min(to, this.index), isBack: to < this.index, seconds: 0 } : null;
    this.time = this.film.frames[to].count;
    this.setIndex(to);
    this.wake();
  }

  step(by) {
    this.pause();
    this.goTo(this.index + by, true);
    this.announce();
  }

  goToSection(number) {
    const section = this.film.sections[number];
    if (!section) return;
    this.loopSection = number;
    this.goTo(section.first + (this.isPlaying || section.last === section.first ? 0 : 1));
    if (this.isPlaying) this.time = Math.max(this.time, section.start - 1);
    this.announce();
  }

  toggle() {
    if (this.isPlaying) {
      this.pause();
      this.announce();
    } else this.play();
  }

  play() {
    const isOver = this.index >= this.film.frames.length - 1;
    if (isOver && !this.isLooping) this.goTo(0);
    this.glide = null;
    this.loopSection = this.section;
    this.isPlaying = true;
    this.markPlay();
    this.wake();
  }

  pause() {
    this.isPlaying = false;
    this.markPlay();
  }

  markPlay() {
    byId("play").classList.toggle("playing", this.isPlaying);
    byId("play-name").textContent = this.isPlaying ? this.data.say.pause : this.data.say.play;
  }

  wake() {
    if (!this.pending) {
      this.lastNow = performance.now();
      this.pending = requestAnimationFrame(this.tick);
    }
  }

  tick(now) {
    const seconds = Math.min(0.1, Math.max(0, (now - this.lastNow) / 1000));
    this.lastNow = now;
    if (this.isPlaying) this.advance(seconds);
    const isGliding = this.moveGlide(seconds);
    const stance = this.stance();
    const isTurning = this.floor.settle(this.floor.aim(this.index, stance), seconds, this.calm.matches);
    this.floor.draw(this.index, stance);
    this.pending = this.isPlaying || isGliding || isTurning ? requestAnimationFrame(this.tick) : 0;
  }

  advance(seconds) {
    this.time += (seconds * this.data.bpm * this.rate()) / 60;
    const loop = this.isLooping ? this.film.sections[this.loopSection] : null;
    if (loop && loop.end > loop.start && this.time >= loop.end - MOVE_COUNTS) {
      // Back to the stance before the section, in time to move into its first step on the count.
      this.time -= loop.end - loop.start;
      this.setIndex(loop.first);
      return;
    }
    if (this.time >= this.film.counts) {
      this.time = this.film.counts;
      this.pause();
    }
    const index = frameAt(this.film, this.time);
    if (index !== this.index && !(loop && index < loop.first)) this.setIndex(index);
  }

  moveGlide(seconds) {
    if (!this.glide) return false;
    this.glide.seconds += seconds;
    if (this.glide.seconds >= STEP_SECONDS) this.glide = null;
    return Boolean(this.glide);
  }

  stance() {
    if (!this.glide) return stanceAt(this.film, this.time, this.index, this.calm.matches);
    const { from, isBack, seconds } = this.glide;
    const share = seconds / STEP_SECONDS;
    const next = this.film.frames[from + 1];
    const length = Math.min(MOVE_COUNTS, Math.max(0.01, next.count - this.film.frames[from].count));
    return stanceAt(this.film, next.count - length * (isBack ? share : 1 - share), from, false);
  }

  rate() {
    return Number(byId("speed").value) / 100;
  }

  setIndex(index) {
    if (index === this.index) return;
    this.index = index;
    const section = this.film.sections[this.section];
    const frame = this.film.frames[index];
    this.floor.upFacing = this.isFront && section ? this.film.frames[section.first].facing : 0;
    this.showCaption(frame, this.film.steps[index - 1]);
    this.showPlace(this.film.steps[index - 1]);
    put(byId("floor"), "data-index", String(index));
    put(byId("floor"), "data-weight", frame.weight);
    put(byId("floor"), "data-facing", clockOf(frame.facing));
  }

  showCaption(frame, step) {
    const { say, weight } = this.data;
    const clock = clockOf(frame.facing);
    byId("say-count").textContent = step ? step.label : "–";
    byId("say-words").textContent = step ? step.words : say.ready;
    byId("say-facing").textContent = clock;
    put(byId("say-dial"), "href", `#dial-${((frame.facing % 8) + 8) % 8}`);
    const isTurned = this.isFront && this.floor.upFacing % 8 !== 0;
    const under = [step?.figure, step?.turn, weight[frame.weight]];
    if (isTurned) under.push(say.turned.replace("{clock}", clock));
    byId("say-under").textContent = under.filter(Boolean).join(" · ");
    const label = say.floor.replace("{weight}", weight[frame.weight]).replace("{clock}", clock);
    put(byId("floor"), "aria-label", label);
    byId("stage").classList.toggle("turned", isTurned);
  }

  showPlace(step) {
    for (const old of document.querySelectorAll("#strips [aria-current], .sheet [aria-current]")) old.removeAttribute("aria-current");
    const cell = this.cells.get(this.index - 1);
    const resting = cell ?? this.cells.values().next().value;
    if (this.restingCell) this.restingCell.tabIndex = -1;
    this.restingCell = resting;
    if (resting) resting.tabIndex = 0;
    if (cell) cell.setAttribute("aria-current", "step");
    this.strip.querySelector(`.row[data-section="${this.section}"] .to-section`)?.setAttribute("aria-current", "true");
    if (step?.line) byId(`line-${step.line}`)?.setAttribute("aria-current", "true");
  }

  announce() {
    const step = this.film.steps[this.index - 1];
    byId("live").textContent = step ? step.spoken : this.data.say.ready;
  }

  refresh() {
    const index = this.index;
    this.index = -1;
    this.setIndex(index);
    this.wake();
  }

  toggleFront() {
    this.isFront = !this.isFront;
    byId("front").setAttribute("aria-pressed", String(this.isFront));
    this.refresh();
    const clock = clockOf(this.film.frames[this.index].facing);
    const { turned, facing } = this.data.say;
    byId("live").textContent = (this.isFront ? turned : facing).replace("{clock}", clock);
  }

  toggleLoop() {
    this.isLooping = !this.isLooping;
    this.loopSection = this.section;
    byId("loop").setAttribute("aria-pressed", String(this.isLooping));
  }

  toggleMirror() {
    this.floor.isMirrored = !this.floor.isMirrored;
    byId("mirror").setAttribute("aria-pressed", String(this.floor.isMirrored));
    this.wake();
  }

  showSpeed() {
    const { say, bpm, tempoKnown } = this.data;
    const percent = Number(byId("speed").value);
    const words = tempoKnown ? say.speed_bpm : say.speed_assumed;
    const said = words.replace("{percent}", percent).replace("{bpm}", Math.round((bpm * percent) / 100));
    byId("say-speed").textContent = said;
    byId("speed").setAttribute("aria-valuetext", said);
  }

  // A jump from the strip or the sheet: show it, and bring the floor into view if it is not.
  jump(step) {
    this.pause();
    if (this.isLooping) this.toggleLoop();
    this.goTo(step + 1);
    this.announce();
    this.lookAtFloor();
  }

  lookAtFloor() {
    const box = byId("floor").getBoundingClientRect();
    if (box.bottom > 80 && box.top < innerHeight - 80) return;
    byId("stage").scrollIntoView({ behavior: this.calm.matches ? "auto" : "smooth", block: "start" });
  }
}

function listenToPointer(player) {
  const onClick = (id, act) => byId(id).addEventListener("click", act);
  onClick("play", () => player.toggle());
  onClick("back", () => player.step(-1));
  onClick("next", () => player.step(1));
  onClick("start", () => player.goTo(0));
  onClick("front", () => player.toggleFront());
  onClick("loop", () => player.toggleLoop());
  onClick("mirror", () => player.toggleMirror());
  byId("speed").addEventListener("input", () => player.showSpeed());
  document.querySelector(".films")?.addEventListener("change", (event) => player.choose(Number(event.target.value)));
  byId("strips").addEventListener("click", (event) => {
    const cell = event.target.closest("button.cell");
    const heading = event.target.closest(".to-section");
    if (cell) player.jump(Number(cell.dataset.step));
    if (heading) {
      player.goToSection(Number(heading.dataset.section));
      player.lookAtFloor();
    }
  });
  document.querySelector(".sheet").addEventListener("click", (event) => {
    const line = event.target.closest(".line[data-step]");
    const isSelecting = String(getSelection()) !== "";
    if (!line || isSelecting) return;
    if (player.film !== player.films[0]) {
      document.querySelector('.films input[value="0"]').checked = true;
      player.choose(0);
    }
    player.jump(Number(line.dataset.step));
  });
}

// Letters and digits can be switched off (WCAG 2.1.4); a control that has the focus keeps its own keys.
function actOfKey(player, event) {
  const { key, target } = event;
  if (target.matches("textarea, input[type=search], input[type=text]")) return null;
  const isControl = target.matches("button:not(.cell), summary, input, select, a");
  const isRange = target.matches('input[type="range"], input[type="radio"]');
  const isFloor = target.closest("#floor") !== null;
  if (key === " " && !isControl) return () => player.toggle();
  if (isRange) return null;
  if (key === "ArrowRight" || (key === "PageDown" && isFloor)) return () => player.step(1);
  if (key === "ArrowLeft" || (key === "PageUp" && isFloor)) return () => player.step(-1);
  if (key === "Home") return () => player.step(-player.index);
  if (key === "End") return () => player.step(player.film.frames.length);
  if (!byId("keys-on").checked) return null;
  if (/^[1-9]$/.test(key)) return () => player.goToSection(Number(key) - 1);
  const letters = { f: "toggleFront", l: "toggleLoop", m: "toggleMirror" };
  const name = letters[key.toLowerCase()];
  return name ? () => player[name]() : null;
}

function listenToKeys(player) {
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const act = actOfKey(player, event);
    if (!act) return;
    event.preventDefault();
    const wasCell = event.target.matches(".cell");
    act();
    if (wasCell) player.restingCell?.focus();
  });
}

function begin() {
  const data = JSON.parse(byId("data").textContent);
  if (!data.films.length) return;
  const player = new Player(data);
  player.showSpeed();
  listenToPointer(player);
  listenToKeys(player);
}

begin();
