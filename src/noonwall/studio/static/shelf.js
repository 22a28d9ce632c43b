// The shelf: found as one types, and a sheet added.

const TYPING_MILLISECONDS = 120;
let asked = 0;

async function findAgain(page = 1) {
  const form = new FormData(seek("#search"));
  const wanted = new URLSearchParams();
  for (const [name, value] of form) if (value) wanted.set(name, value);
  if (page > 1) wanted.set("page", page);
  const mine = (asked += 1);
  const shown = wanted.toString();
  history.replaceState(null, "", shown ? `/?${shown}` : "/");
  wanted.set("part", "rows");
  const answer = await fetch(`/?${wanted}`);
  // An older answer that comes late must not replace a newer one.
  if (!answer.ok || mine !== asked) return;
  seek("#rows").innerHTML = await answer.text();
}

async function keep(act) {
  seek("#told").textContent = begun.reading;
  try {
    const saved = await act();
    location.assign(`/dances/${saved.id}`);
  } catch (error) {
    seek("#told").textContent = error.message || begun.failed;
  }
}

const findSoon = settled(() => findAgain(), TYPING_MILLISECONDS);
seek("#find").addEventListener("input", findSoon);
seek("#search").addEventListener("change", () => findAgain());
seek("#search").addEventListener("submit", (event) => {
  event.preventDefault();
  findAgain();
});
seek("#rows").addEventListener("click", (event) => {
  const link = event.target.closest("[data-page]");
  if (!link) return;
  event.preventDefault();
  findAgain(Number(link.dataset.page));
  seek("#main").scrollIntoView();
});
seek("#paste").addEventListener("submit", (event) => {
  event.preventDefault();
  keep(() => send("POST", "/api/dances", { text: seek("#sheet").value }));
});
seek("#file").addEventListener("change", () => {
  const [file] = seek("#file").files;
  if (!file) return;
  const address = `/api/sheets?name=${encodeURIComponent(file.name)}`;
  keep(() => send("POST", address, file, { "content-type": "application/octet-stream" }));
});

// The latest dance that is proved, danced beside the list: at once, or when asked where less motion is wanted.
class Dancing {
  constructor(data) {
    this.film = readFilm(data.films[0], data.strings);
    this.bpm = data.bpm;
    this.floor = new Floor();
    this.floor.show(this.film);
    this.time = -1;
    this.isStill = matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.tick = this.tick.bind(this);
    seek("#dancing").hidden = false;
    seek("#dancing-play").addEventListener("click", () => this.play(!this.isPlaying));
    this.play(!this.isStill);
    this.draw(0);
  }

  play(isPlaying) {
    this.isPlaying = isPlaying;
    seek("#dancing-play").setAttribute("aria-pressed", String(isPlaying));
    this.lastNow = performance.now();
    if (isPlaying) requestAnimationFrame(this.tick);
  }

  tick(now) {
    const seconds = Math.min(0.1, Math.max(0, (now - this.lastNow) / 1000));
    this.lastNow = now;
    this.time += (seconds * this.bpm) / 60;
    if (this.time >= this.film.counts) this.time = -1;
    this.draw(seconds);
    if (this.isPlaying) requestAnimationFrame(this.tick);
  }

  draw(seconds) {
    const index = frameAt(this.film, this.time);
    const stance = stanceAt(this.film, this.time, index, this.isStill);
    this.floor.settle(this.floor.aim(index, stance), seconds, this.isStill);
    this.floor.draw(index, stance);
    const step = this.film.steps[index - 1];
    const words = step ? `${step.label}  ${step.words}` : "";
    if (seek("#dancing-words").textContent !== words) seek("#dancing-words").textContent = words;
  }
}

async function danceBeside() {
  const answer = await fetch(`/api/dances/${begun.dancing}`);
  if (!answer.ok) return;
  const { text } = await answer.json();
  const { data } = await send("POST", "/api/danced", { text, language: begun.language });
  if (data.films.length) new Dancing(data);
}

if (begun.dancing) danceBeside().catch(() => {});
