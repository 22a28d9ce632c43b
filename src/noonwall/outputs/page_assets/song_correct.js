// What a teacher puts right: a list of corrections, each answered by the picture at once.

const FEWEST_TAPS = 4;
const TAP_PAUSE_SECONDS = 2.5; // longer, and a new row of taps begins
const SAME_TEMPO = 0.06; // a hand's tempo over a few taps strays about this far: common practice, no source
const OFF_BY = 0.3; // taps this far from the beats, in beats, fall between them

class Corrections {
  constructor(data, onChange) {
    this.data = data;
    this.say = data.say;
    this.onChange = onChange;
    const { beats, beatsPerBar, starts, intro, end } = data.map;
    this.heard = { beats, bar: beatsPerBar, starts, intro, end };
    this.made = [];
    this.layouts = [this.heard];
    this.taps = [];
    this.wanted = null;
    this.advice = byId("tapped").textContent;
  }

  get layout() {
    return this.layouts[this.layouts.length - 1];
  }

  // Corrections made here, after those that the map already holds: the whole list for a song heard afresh.
  get all() {
    return [...this.data.kept, ...this.made];
  }

  add(kind, values = {}) {
    const correction = { kind, seconds: values.seconds ?? null, counts: values.counts ?? null };
    if (correction.seconds !== null) correction.seconds = Math.round(correction.seconds * 1e4) / 1e4;
    const layout = this.layout.beats.length ? corrected(this.layout, correction) : null;
    if (!layout) {
      this.tell(this.say.cannot_correct);
      return;
    }
    this.made.push(correction);
    this.layouts.push(layout);
    this.tell(this.inWords(correction));
    this.show();
  }

  undo() {
    const last = this.made.pop();
    if (!last) return;
    this.layouts.pop();
    this.tell(fillIn(this.say.undone, { what: this.inWords(last) }));
    this.show();
  }

  reset() {
    this.made = [];
    this.layouts = [this.heard];
    this.tell(this.say.reset_done);
    this.show();
  }

  tell(words) {
    byId("live").textContent = words;
  }

  show() {
    this.forgetTaps();
    const { all, made } = this;
    byId("kept").hidden = !all.length;
    byId("undo").disabled = byId("reset").disabled = !made.length;
    byId("provisional").hidden = !made.length || !this.data.pieces.length;
    const list = byId("corrections");
    list.replaceChildren();
    for (const each of all) element("li", "", list, this.inWords(each));
    byId("json").value = this.json();
    this.onChange();
  }

  json() {
    return `${JSON.stringify(this.all, null, 1)}\n`;
  }

  inWords({ kind, seconds, counts }) {
    const { say } = this;
    const at = seconds === null ? "" : `${clockText(seconds)}.${String(Math.floor((seconds % 1) * 10 + 1e-6))}`;
    if (kind !== "shift") return fillIn(say[`did_${kind}`], { at, n: counts });
    if (Math.abs(counts) === 0.5) return say.did_shift_half;
    return counted(say, counts > 0 ? "did_later" : "did_earlier", Math.abs(counts));
  }

  forgetTaps() {
    this.taps = [];
    this.wanted = null;
    byId("tapped").textContent = this.advice;
    byId("tap-use").hidden = true;
  }

  // A tap in time with the music, `seconds` into the song.
  tap(seconds) {
    const last = this.taps[this.taps.length - 1];
    if (last !== undefined && (seconds <= last || seconds - last > TAP_PAUSE_SECONDS)) this.taps = [];
    this.taps.push(seconds);
    this.taps = this.taps.slice(-16);
    if (this.taps.length < FEWEST_TAPS) {
      this.wanted = null;
      byId("tap-use").hidden = true;
      const n = FEWEST_TAPS - this.taps.length;
      byId("tapped").textContent = counted(this.say, "tap_more", n);
      return;
    }
    this.judgeTaps();
  }

  judgeTaps() {
    const { say, layout, taps } = this;
    const middle = (taps.length - 1) / 2;
    // The slope of the line through all taps: one bad tap does little harm.
    const share = taps.reduce((sum, time, at) => sum + (at - middle) * time, 0);
    const period = share / taps.reduce((sum, _, at) => sum + (at - middle) ** 2, 0);
    const here = beatAt(layout.beats, taps[taps.length - 1]);
    const own = secondsAt(layout.beats, here + 0.5) - secondsAt(layout.beats, here - 0.5);
    const bpm = (60 / period).toFixed(1);
    const kinds = [["same", 1], ["halve", 0.5], ["double", 2]];
    const found = kinds.find(([, ratio]) => Math.abs(own / period / ratio - 1) < SAME_TEMPO);
    this.wanted = found ? this.wantedFor(found[0]) : null;
    byId("tap-use").hidden = !this.wanted?.length;
    const name = !found ? "tap_other" : found[0] === "same" && this.wanted.length ? "tap_between" : `tap_${found[0]}`;
    byId("tapped").textContent = fillIn(say[name], { bpm, own: (60 / own).toFixed(1) });
  }

  // The corrections that make the song count as it was tapped.
  wantedFor(kind) {
    const wanted = kind === "same" ? [] : [{ kind }];
    const layout = wanted.length ? corrected(this.layout, wanted[0]) : this.layout;
    if (!layout) return [];
    const turns = this.taps.map((time) => 2 * Math.PI * beatAt(layout.beats, time));
    const mean = (of) => turns.reduce((sum, turn) => sum + of(turn), 0);
    const off = Math.atan2(mean(Math.sin), mean(Math.cos)) / (2 * Math.PI);
    if (Math.abs(off) > OFF_BY) wanted.push({ kind: "shift", counts: 0.5 });
    return wanted;
  }

  useTaps() {
    for (const { kind, counts } of this.wanted ?? []) this.add(kind, { counts });
  }

  async copy() {
    try {
      await navigator.clipboard.writeText(this.json());
      this.tell(this.say.copied);
      byId("copy").textContent = this.say.copied;
    } catch {
      // Without leave to the clipboard the text is marked, ready to be copied by hand.
      byId("json").focus();
      byId("json").select();
      this.tell(this.say.copy_by_hand);
    }
  }

  download() {
    const url = URL.createObjectURL(new Blob([this.json()], { type: "application/json" }));
    const link = element("a", "", null);
    link.href = url;
    link.download = "corrections.json";
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 1000);
  }
}
