// What a hand, a key or a pedal does.

function listenToAudio(player) {
  const { audio } = player;
  for (const name of ["play", "pause", "ended", "seeking", "seeked"]) {
    audio.addEventListener(name, () => player.showPlaying());
  }
  audio.addEventListener("error", () => player.complain());
  if (audio.error) player.complain();
}

// A tap counts when the finger lands; Enter and Space on the button come as a click without a pointer.
function onTap(id, act) {
  byId(id).addEventListener("pointerdown", (event) => {
    if (event.button === 0) act(event.timeStamp);
  });
  byId(id).addEventListener("click", (event) => {
    if (event.detail === 0) act(event.timeStamp);
  });
}

function listenToButtons(player) {
  const { corrections } = player;
  const onClick = (id, act) => byId(id).addEventListener("click", act);
  for (const id of ["play", "play-too"]) onClick(id, () => player.toggle());
  onClick("back", () => player.eight(-1));
  onClick("next", () => player.eight(1));
  onClick("start", () => player.seekBeat(0));
  onClick("front", () => player.toggleFront());
  onClick("loop", () => player.toggleLoop());
  onClick("mirror", () => player.toggleMirror());
  byId("speed").addEventListener("input", () => player.showSpeed());
  byId("delay").addEventListener("input", () => player.showDelay());
  onTap("tap-one", (now) => player.tapOne(now));
  onTap("tap-along", (now) => player.tapAlong(now));
  onClick("tap-use", () => corrections.useTaps());
  onClick("earlier", () => corrections.add("shift", { counts: -1 }));
  onClick("later", () => corrections.add("shift", { counts: 1 }));
  onClick("halve", () => corrections.add("halve"));
  onClick("double", () => corrections.add("double"));
  onClick("phrase-here", () => player.phraseHere());
  byId("odd").addEventListener("submit", (event) => {
    event.preventDefault();
    player.setOdd();
  });
  onClick("undo", () => corrections.undo());
  onClick("reset", () => corrections.reset());
  onClick("copy", () => corrections.copy());
  onClick("download", () => corrections.download());
}

function listenToPicture(player) {
  byId("rows").addEventListener("click", (event) => {
    const button = event.target.closest("[data-beat]");
    if (button) {
      player.playFrom(Number(button.dataset.beat));
      return;
    }
    const lane = event.target.closest(".lane");
    if (!lane) return;
    const box = lane.getBoundingClientRect();
    const from = Number(lane.dataset.from);
    const share = (event.clientX - box.left) / box.width;
    player.playFrom(Math.floor(from + share * (Number(lane.dataset.to) - from)));
  });
  const overview = byId("overview");
  const seekTo = (event) => {
    const box = overview.getBoundingClientRect();
    player.seek(((event.clientX - box.left) / box.width) * player.data.seconds);
  };
  overview.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    overview.setPointerCapture(event.pointerId);
    seekTo(event);
  });
  overview.addEventListener("pointermove", (event) => {
    if (event.buttons & 1) seekTo(event);
  });
  byId("place").addEventListener("input", () => player.seek(Number(byId("place").value)));
  new ResizeObserver(() => {
    player.view.measure();
    player.wake();
  }).observe(byId("rows"));
}

const LETTERS = {
  o: (player, now) => player.tapOne(now),
  t: (player, now) => player.tapAlong(now),
  ",": (player) => player.corrections.add("shift", { counts: -1 }),
  ".": (player) => player.corrections.add("shift", { counts: 1 }),
  h: (player) => player.corrections.add("halve"),
  d: (player) => player.corrections.add("double"),
  p: (player) => player.phraseHere(),
  u: (player) => player.corrections.undo(),
  l: (player) => player.toggleLoop(),
  f: (player) => player.toggleFront(),
  m: (player) => player.toggleMirror(),
};

// Letters and digits can be switched off (WCAG 2.1.4); a control that has the focus keeps its own keys.
function actOfKey(player, event) {
  const { key, target, timeStamp } = event;
  if (target.matches("#speed, #delay, #odd-counts, textarea")) return null;
  if (key === " " && !target.matches("button, summary, input[type=checkbox], a")) return () => player.toggle();
  const isVertical = target.closest("#floor, #overview") !== null;
  if (key === "ArrowRight") return () => player.eight(1);
  if (key === "ArrowLeft") return () => player.eight(-1);
  if ((key === "ArrowDown" || key === "PageDown") && isVertical) return () => player.chapter(1);
  if ((key === "ArrowUp" || key === "PageUp") && isVertical) return () => player.chapter(-1);
  if (!byId("keys-on").checked || event.repeat) return null;
  if (/^[1-9]$/.test(key)) return () => player.goToChapter(Number(key) - 1);
  const act = LETTERS[key.toLowerCase()];
  return act ? () => act(player, timeStamp) : null;
}

function listenToKeys(player) {
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const act = actOfKey(player, event);
    if (!act) return;
    event.preventDefault();
    act();
  });
}

function begin() {
  const data = JSON.parse(byId("data").textContent);
  const player = new SongPlayer(data);
  player.showDelay();
  listenToAudio(player);
  listenToButtons(player);
  listenToPicture(player);
  listenToKeys(player);
}

begin();
