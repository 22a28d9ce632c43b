// The sheet in an editor: proved as one types, danced beside it, mended by a click, saved without loss.

const CHECK_MILLISECONDS = 80;
const DANCE_MILLISECONDS = 350;
const NOTE_GAP = 8;

class Editor {
  constructor(held) {
    this.held = held;
    this.say = held.say;
    this.version = held.version;
    this.text = seek("#text");
    this.kept = this.text.value;
    this.checked = held.checked;
    this.player = null;
    this.asked = 0;
    this.filmAsked = 0;
    this.checkSoon = settled(() => this.check(), CHECK_MILLISECONDS);
    this.danceSoon = settled(() => this.dance(), DANCE_MILLISECONDS);
    this.layOut();
    this.show();
    // The page comes with its remarks; its film, which takes longer to make, is asked for at once.
    this.dance();
    this.listen();
  }

  listen() {
    this.text.addEventListener("input", () => {
      this.layOut();
      this.markState();
      this.checkSoon();
      this.danceSoon();
    });
    new ResizeObserver(() => this.layOut()).observe(this.text);
    seek("#notes").addEventListener("click", (event) => {
      const use = event.target.closest(".use");
      const to = event.target.closest(".on-line");
      if (use) this.mend(this.checked.findings[Number(use.dataset.finding)]);
      if (to) this.select(Number(to.dataset.line), Number(to.dataset.column), Number(to.dataset.end));
    });
    seek("#verdict").addEventListener("click", (event) => {
      const link = event.target.closest("a");
      if (!link) return;
      const note = seek(link.getAttribute("href"));
      note?.querySelector("button")?.focus();
    });
    seek("#save").addEventListener("click", () => this.save());
    seek("#mine").addEventListener("click", () => this.save(true));
    document.addEventListener("keydown", (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "s") return;
      event.preventDefault();
      this.save();
    });
    window.addEventListener("beforeunload", (event) => {
      if (this.isChanged) event.preventDefault();
    });
  }

  get isChanged() {
    return this.text.value !== this.kept;
  }

  markState() {
    seek("#save").disabled = !this.isChanged;
    seek("#state").textContent = this.isChanged ? this.say.changed : say(this.say.kept, { n: this.version });
  }

  async check() {
    const mine = (this.asked += 1);
    const started = performance.now();
    const checked = await send("POST", "/api/checked", { text: this.text.value, language: this.held.language }).catch(() => null);
    if (!checked || mine !== this.asked) return;
    this.checked = checked;
    this.show();
    put(seek("#editor"), "data-checked-milliseconds", (performance.now() - started).toFixed(1));
  }

  async dance() {
    const mine = (this.filmAsked += 1);
    const film = await send("POST", "/api/danced", { text: this.text.value, language: this.held.language }).catch(() => null);
    if (!film || mine !== this.filmAsked) return;
    const drawn = document.createElement("template");
    drawn.innerHTML = film.strips;
    byId("strips").replaceChildren(...drawn.content.firstElementChild.childNodes);
    this.showFilm(film);
  }

  // The floor plays the newest film; what was chosen (front, loop, speed) stays.
  showFilm({ data, films }) {
    const isDanced = data.films.length > 0;
    seek("#stage").hidden = seek("#counts").hidden = !isDanced;
    seek("#no-steps").hidden = isDanced;
    if (!isDanced) return;
    const box = seek("#stage");
    box.querySelector(".films")?.remove();
    box.querySelector(".floor-box").insertAdjacentHTML("beforebegin", films);
    if (!this.player) {
      this.player = new Player(data);
      this.player.showSpeed();
      listenToPointer(this.player);
      listenToKeys(this.player);
      return;
    }
    const { player } = this;
    const index = player.index;
    player.data = data;
    player.films = data.films.map((film) => readFilm(film, data.strings));
    player.choose(0);
    player.goTo(index);
    player.showSpeed();
    // A choice of films that was drawn anew is not yet listened to.
    box.querySelector(".films")?.addEventListener("change", (event) => player.choose(Number(event.target.value)));
  }

  show() {
    this.showHead();
    this.layOut();
  }

  showHead() {
    const { verdicts, facts } = this.checked;
    const list = seek("#verdict");
    list.replaceChildren();
    for (const { kind, words, line } of verdicts) {
      const item = grow("li", kind, list);
      if (kind === "clean") {
        item.textContent = words;
        continue;
      }
      const link = grow("a", "", item);
      link.href = `#note-${line}`;
      drawIcon(kind, link);
      link.append(words);
    }
    const rows = seek("#facts");
    rows.replaceChildren();
    for (const { label, value, note } of facts) {
      const row = grow("div", "", rows);
      grow("dt", "", row, label);
      const held = grow("dd", "", row, value);
      held.dir = "auto";
      if (note) grow("small", "", held, note);
    }
  }

  // The folds wraps as the text does, so that it tells where each line lies.
  layOut() {
    const folds = seek("#folds");
    const lines = this.text.value.split("\n");
    folds.replaceChildren();
    lines.forEach((line, at) => this.drawLine(folds, line, at + 1));
    this.text.style.height = "auto";
    this.text.style.height = `${Math.max(folds.offsetHeight, 220)}px`;
    this.drawGutter(folds);
    this.drawNotes(folds);
  }

  drawLine(folds, line, number) {
    const box = grow("div", "", folds);
    const letters = [...line];
    const spans = [];
    for (const finding of this.checked.findings) {
      if (finding.line === number) spans.push([finding.column - 1, finding.end > finding.column ? finding.end - 1 : letters.length, finding.severity]);
    }
    for (const gap of this.checked.gaps) if (gap.line === number) spans.push([gap.column - 1, gap.end - 1, "gap"]);
    if (!spans.length) {
      box.textContent = line;
      return;
    }
    const cuts = [...new Set([0, letters.length, ...spans.flatMap(([from, to]) => [from, to])])]
      .filter((cut) => cut >= 0 && cut <= letters.length)
      .sort((a, b) => a - b);
    for (let at = 0; at + 1 < cuts.length; at += 1) {
      const piece = letters.slice(cuts[at], cuts[at + 1]).join("");
      const kind = RANKS.find((rank) => spans.some(([from, to, own]) => own === rank && from <= cuts[at] && cuts[at + 1] <= to));
      if (kind) grow("mark", kind, box, piece);
      else box.append(piece);
    }
  }

  drawGutter(folds) {
    const gutter = seek("#gutter");
    const steps = new Map(this.checked.first_steps.map(({ line, step }) => [line, step]));
    const current = gutter.querySelector("[aria-current]")?.id;
    gutter.replaceChildren();
    [...folds.children].forEach((box, at) => {
      const number = at + 1;
      const item = grow("li", "line", gutter);
      item.id = `line-${number}`;
      item.style.top = `${box.offsetTop}px`;
      item.style.height = `${box.offsetHeight}px`;
      if (item.id === current) item.setAttribute("aria-current", "true");
      const step = steps.get(number);
      if (step === undefined) {
        grow("span", "number", item, box.textContent.trim() ? String(number) : "");
        return;
      }
      item.dataset.step = step;
      const button = grow("button", "number", item, String(number));
      button.type = "button";
      button.setAttribute("aria-label", say(this.say.dance_line, { n: number }));
    });
  }

  drawNotes(folds) {
    const notes = seek("#notes");
    const focused = document.activeElement?.closest?.("#notes li")?.dataset.key;
    notes.replaceChildren();
    const all = this.checked.findings.map((each, at) => ({ ...each, at }));
    for (const gap of this.checked.gaps) all.push({ ...gap, severity: "gap", message: gap.hint, mend: "", at: -1 });
    all.sort((a, b) => a.line - b.line || RANKS.indexOf(a.severity) - RANKS.indexOf(b.severity));
    const seen = new Set();
    for (const each of all) {
      const item = this.drawNote(notes, each);
      if (!seen.has(each.line)) item.id = `note-${each.line}`;
      seen.add(each.line);
      if (item.dataset.key === focused) item.querySelector("button")?.focus();
    }
    this.placeNotes(notes, folds);
  }

  drawNote(notes, { severity, message, mend, line, column, end, at }) {
    const item = grow("li", severity, notes);
    item.dataset.key = `${severity} ${line} ${column}`;
    item.dataset.line = line;
    drawIcon(severity, item);
    const words = grow("p", "", item);
    const to = grow("button", "on-line", words, line ? say(this.say.line, { n: line }) : this.say.whole);
    to.type = "button";
    Object.assign(to.dataset, { line, column, end });
    words.append(" ");
    grow("b", "", words, severity === "gap" ? this.say.not_understood : this.say.severity[severity]);
    words.append(" ");
    grow("span", "", words, message).dir = "auto";
    if (mend) {
      grow("br", "", words);
      const use = grow("button", "use", words, `${this.say.mend} `);
      use.type = "button";
      use.dataset.finding = at;
      grow("ins", "", use, mend).dir = "auto";
    }
    return item;
  }

  // In a wide window each note stands beside its line, or below the note before it.
  placeNotes(notes, folds) {
    let free = 0;
    const isWide = getComputedStyle(notes).position === "absolute";
    for (const item of notes.children) {
      if (!isWide) {
        item.style.top = "";
        continue;
      }
      const line = folds.children[Math.max(0, Number(item.dataset.line) - 1)];
      const top = Math.max(free, line ? line.offsetTop : 0);
      item.style.top = `${top}px`;
      free = top + item.offsetHeight + NOTE_GAP;
    }
    seek("#editor").style.minHeight = isWide ? `${free}px` : "";
  }

  // Where a line and column lie in the text; columns count letters, the text box counts UTF-16 units.
  offsetOf(line, column) {
    const lines = this.text.value.split("\n");
    const before = lines.slice(0, line - 1).reduce((sum, each) => sum + each.length + 1, 0);
    return before + [...(lines[line - 1] ?? "")].slice(0, column - 1).join("").length;
  }

  rangeOf(line, column, end) {
    const whole = [...(this.text.value.split("\n")[line - 1] ?? "")].length + 1;
    return [this.offsetOf(line, end > column ? column : 1), this.offsetOf(line, end > column ? end : whole)];
  }

  select(line, column, end) {
    if (!line) return;
    this.text.focus();
    this.text.setSelectionRange(...this.rangeOf(line, column, end));
    seek(`#line-${line}`)?.scrollIntoView({ block: "center" });
  }

  mend({ line, column, end, mend }) {
    this.select(line, column, end);
    // This way of writing can be taken back with Ctrl+Z; where a browser lacks it the text is set.
    if (!document.execCommand("insertText", false, mend)) {
      this.text.setRangeText(mend, ...this.rangeOf(line, column, end), "end");
      this.text.dispatchEvent(new Event("input"));
    }
    this.check();
    byId("live").textContent = say(this.say.mended, { n: line });
  }

  async save(isMine = false) {
    if (!this.isChanged && !isMine) return;
    const text = this.text.value;
    seek("#state").textContent = this.say.saving;
    try {
      const saved = await send("PUT", `/api/dances/${this.held.id}`, { text, based_on: this.version });
      this.kept = text;
      this.version = saved.current;
      seek("#conflict").hidden = !saved.is_aside;
      if (saved.is_aside) seek("#both").href = `/dances/${this.held.id}/versions?old=${saved.current}&new=${saved.version}`;
      this.markState();
    } catch (error) {
      seek("#state").textContent = error.message || this.say.failed;
    }
  }
}

const RANKS = ["wrong", "doubtful", "advice", "gap"];

new Editor(begun);
