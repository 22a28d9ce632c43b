(function () {
  "use strict";
  // Time runs through keypoints: each paragraph and each dance has a length in seconds and a height in the roll.
  var byId = function (id) { return document.getElementById(id); };
  var stage = byId("stage"), roll = byId("roll"), takes = byId("takes"), play = byId("play"), left = byId("left");
  var still = window.matchMedia("(prefers-reduced-motion: reduce)");
  var sections = Array.prototype.slice.call(roll.querySelectorAll("section"));
  var languages = Array.prototype.slice.call(document.querySelectorAll(".choices button"));
  var LINE = 0.42;
  var chosen = [], points = [], total = 0, now = 0, pace = 1, scale = 1, running = false, last = 0, lock = null;

  function choose(language) {
    languages.forEach(function (one) { one.setAttribute("aria-pressed", String(one.value === language)); });
    chosen = sections.filter(function (one) {
      var shown = one.dataset.language === "" || one.dataset.language === language;
      one.hidden = !shown;
      return shown;
    });
    takes.textContent = "";
    chosen.forEach(function (one, index) {
      var option = document.createElement("option");
      option.value = String(index);
      option.textContent = one.dataset.number + " " + one.dataset.title;
      takes.appendChild(option);
    });
    measure();
    go(0);
  }

  // each timed element of a take gets the seconds written on it; a breath lies before and after
  function measure() {
    var at = 0, base = roll.getBoundingClientRect().top;
    points = [];
    chosen.forEach(function (section, take) {
      var timed = Array.prototype.slice.call(section.querySelectorAll("[data-seconds]"));
      var box = section.getBoundingClientRect();
      var breath = Number(section.dataset.breath);
      points.push({ at: at, y: box.top - base, take: take, element: section });
      at += breath;
      timed.forEach(function (one) {
        points.push({ at: at, y: one.getBoundingClientRect().top - base, take: take, element: one });
        at += Number(one.dataset.seconds);
      });
      points.push({ at: at, y: box.bottom - base - 1, take: take, element: section });
      at += breath;
    });
    total = at;
    points.push({ at: at, y: points.length ? points[points.length - 1].y + 1 : 0, take: Math.max(0, chosen.length - 1), element: null });
  }

  function index(time) {
    var found = 0;
    while (found + 1 < points.length && points[found + 1].at <= time) { found += 1; }
    return found;
  }

  function place(time, index) {
    var from = points[index], to = points[index + 1];
    if (still.matches || !to || to.at <= from.at) { return from.y; }
    return from.y + (to.y - from.y) * (time - from.at) / (to.at - from.at);
  }

  function draw(moves) {
    if (!points.length) { return; }
    var at = index(now), point = points[at];
    if (moves) { stage.scrollTop = place(now, at) - stage.clientHeight * LINE + offset(); }
    chosen.forEach(function (one, take) { one.classList.toggle("now", take === point.take); });
    takes.value = String(point.take);
    count(point);
    var rest = Math.max(0, Math.round((total - now) / pace));
    var time = Math.floor(rest / 60) + ":" + ("0" + rest % 60).slice(-2);
    left.textContent = left.dataset.left.replace("{time}", time);
    byId("done").style.width = (total ? 100 * now / total : 0) + "%";
  }

  // the roll begins below its padding only in its own coordinates
  function offset() { return roll.offsetTop; }

  function count(point) {
    var dance = point.element && point.element.dataset.bpm ? point.element : null;
    roll.querySelectorAll(".dance b").forEach(function (one) { if (!dance || !dance.contains(one)) { one.textContent = "–"; } });
    if (!dance) { return; }
    var beat = Math.floor((now - point.at) * Number(dance.dataset.bpm) / 60);
    var lead = Number(dance.dataset.lead), eight = Number(dance.dataset.eight);
    var said = beat < lead ? eight - lead + beat + 1 : (beat - lead) % eight + 1;
    dance.querySelector("b").textContent = String(said);
  }

  function go(time) {
    now = Math.min(Math.max(0, time), total);
    draw(true);
  }

  function toTake(step) {
    var take = points[index(now)].take + step;
    var wanted = points.filter(function (one) { return one.take === Math.min(Math.max(0, take), chosen.length - 1); })[0];
    if (wanted) { go(wanted.at + 0.001); }
  }

  function frame(moment) {
    if (!running) { return; }
    now = Math.min(total, now + (moment - last) / 1000 * pace);
    last = moment;
    draw(true);
    if (now >= total) { run(false); } else { window.requestAnimationFrame(frame); }
  }

  function run(wanted) {
    running = wanted;
    if (running && now >= total) { now = 0; }
    play.setAttribute("aria-pressed", String(running));
    play.querySelector("span").textContent = running ? play.dataset.pause : play.dataset.play;
    if (running) {
      last = performance.now();
      window.requestAnimationFrame(frame);
      if (navigator.wakeLock) { navigator.wakeLock.request("screen").then(function (held) { lock = held; }, function () {}); }
    } else if (lock) { lock.release(); lock = null; }
  }

  function setPace(wanted) {
    pace = Math.min(2, Math.max(0.5, Math.round(wanted * 20) / 20));
    byId("pace").textContent = byId("pace").dataset.pace.replace("{percent}", String(Math.round(pace * 100)));
    draw(false);
  }

  function setScale(wanted) {
    scale = Math.min(2, Math.max(0.5, wanted));
    document.documentElement.style.setProperty("--scale", String(scale));
    measure();
    draw(true);
  }

  function mirror() {
    var on = document.body.classList.toggle("mirrored");
    byId("mirror").setAttribute("aria-pressed", String(on));
  }

  // a hand on the roll moves the time with it
  function follow() {
    if (running) { run(false); }
    var y = stage.scrollTop + stage.clientHeight * LINE - offset(), at = 0;
    while (at + 1 < points.length && points[at + 1].y <= y) { at += 1; }
    var from = points[at], to = points[at + 1];
    now = !to || to.y <= from.y ? from.at : from.at + (to.at - from.at) * Math.min(1, Math.max(0, (y - from.y) / (to.y - from.y)));
    draw(false);
  }

  var KEYS = {
    " ": function () { run(!running); }, ArrowDown: function () { toTake(1); }, ArrowUp: function () { toTake(-1); },
    PageDown: function () { toTake(1); }, PageUp: function () { toTake(-1); }, Home: function () { go(0); },
    ArrowLeft: function () { setPace(pace - 0.05); }, ArrowRight: function () { setPace(pace + 0.05); },
    "+": function () { setScale(scale * 1.1); }, "-": function () { setScale(scale / 1.1); }, m: mirror, M: mirror
  };
  document.addEventListener("keydown", function (event) {
    var tag = event.target.tagName;
    if (event.ctrlKey || event.metaKey || event.altKey || tag === "SELECT" || (tag === "BUTTON" && event.key === " ")) { return; }
    if (KEYS[event.key]) { event.preventDefault(); KEYS[event.key](); }
  });
  play.addEventListener("click", function () { run(!running); });
  byId("before").addEventListener("click", function () { toTake(-1); });
  byId("next").addEventListener("click", function () { toTake(1); });
  byId("slower").addEventListener("click", function () { setPace(pace - 0.05); });
  byId("faster").addEventListener("click", function () { setPace(pace + 0.05); });
  byId("smaller").addEventListener("click", function () { setScale(scale / 1.1); });
  byId("larger").addEventListener("click", function () { setScale(scale * 1.1); });
  byId("mirror").addEventListener("click", mirror);
  takes.addEventListener("change", function () {
    var wanted = Number(takes.value);
    go(points.filter(function (one) { return one.take === wanted; })[0].at + 0.001);
  });
  languages.forEach(function (one) { one.addEventListener("click", function () { run(false); choose(one.value); }); });
  ["wheel", "touchmove"].forEach(function (name) { stage.addEventListener(name, function () { window.requestAnimationFrame(follow); }, { passive: true }); });
  window.addEventListener("resize", function () { measure(); draw(true); });
  setPace(1);
  if (languages.length) { choose(languages[0].value); }
})();
