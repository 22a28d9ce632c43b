// The floor drawn from above. Its disc is a clock: the walls stand at 12:00, 3:00, 6:00 and 9:00.

const SVG = "http://www.w3.org/2000/svg";
const DISC = 83;
const WIDEST = 230; // centimetres from the middle to the edge; beyond it the view follows the dancer
const FOLLOWING = 170;
const CLOCK = ["12:00", "1:30", "3:00", "4:30", "6:00", "7:30", "9:00", "10:30"];
const SETTLE_SECONDS = 0.22; // how fast the view turns and moves to its aim

function clockOf(facing) {
  return CLOCK[((facing % 8) + 8) % 8];
}

function byId(id) {
  return document.getElementById(id);
}

function make(name, attributes, parent) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  parent.append(element);
  return element;
}

function put(element, key, value) {
  if (element.getAttribute(key) !== value) element.setAttribute(key, value);
}

class Floor {
  constructor() {
    this.svg = byId("floor");
    this.world = byId("world");
    this.body = byId("body");
    this.feet = { L: byId("foot-L"), R: byId("foot-R") };
    this.letters = { L: byId("letter-L"), R: byId("letter-R") };
    this.paths = { all: byId("path-all"), done: byId("path-done"), dots: byId("path-dots") };
    this.walls = CLOCK.map((label, eighth) => this.makeWall(label, eighth));
    this.view = null;
    this.film = null;
    this.isMirrored = false;
    this.upFacing = 0;
  }

  makeWall(label, eighth) {
    const group = make("g", { class: eighth === 0 ? "wall noon" : eighth % 2 ? "wall corner" : "wall" }, byId("walls"));
    const bar = make("path", { d: eighth % 2 ? "M-1.5-86H1.5" : "M-27-87.5H27" }, group);
    const text = eighth % 2 ? null : make("text", {}, group);
    if (text) text.textContent = label;
    return { bar, text, angle: eighth * DEGREES_PER_EIGHTH };
  }

  show(film) {
    this.film = film;
    this.circles = new Map();
    this.pathIndex = -1;
    this.view = null;
  }

  // Each section has one steady view; a stretch too wide for it is followed.
  aim(index, stance) {
    const number = sectionOf(this.film, index);
    if (!this.circles.has(number)) {
      const section = this.film.sections[number] ?? { first: 0, last: this.film.frames.length - 1 };
      this.circles.set(number, circleOf(this.film, section.first, section.last));
    }
    const circle = this.circles.get(number);
    const angle = this.upFacing * DEGREES_PER_EIGHTH;
    if (circle.radius <= WIDEST) return { ...circle, angle };
    return { x: stance.x, y: stance.y, radius: FOLLOWING, angle };
  }

  // Move the view towards its aim; tells whether it is still on its way.
  settle(aim, seconds, isStill) {
    if (!this.view || isStill) {
      this.view = aim;
      return false;
    }
    // The view turns the short way round.
    const turn = ((((aim.angle - this.view.angle) % 360) + 540) % 360) - 180;
    const goal = { ...aim, angle: this.view.angle + turn };
    const share = 1 - Math.exp(-seconds / SETTLE_SECONDS);
    let rest = 0;
    for (const key of ["x", "y", "radius", "angle"]) {
      this.view[key] = mix(this.view[key], goal[key], share);
      rest = Math.max(rest, Math.abs(goal[key] - this.view[key]));
    }
    if (rest < 0.2) this.view = goal;
    return rest >= 0.2;
  }

  draw(index, stance) {
    const { x, y, radius, angle } = this.view;
    const flip = this.isMirrored ? -1 : 1;
    const scale = DISC / radius;
    put(
      this.world,
      "transform",
      `scale(${flip} 1) rotate(${-angle}) scale(${scale.toFixed(4)}) translate(${-x} ${-y})`,
    );
    this.drawWalls(angle, flip);
    this.drawPath(index);
    put(this.body, "transform", `translate(${stance.x} ${stance.y}) rotate(${stance.facing * DEGREES_PER_EIGHTH})`);
    for (const foot of ["L", "R"]) this.drawFoot(foot, stance, angle, flip);
  }

  drawWalls(angle, flip) {
    if (this.wallAngle === angle && this.wallFlip === flip) return;
    this.wallAngle = angle;
    this.wallFlip = flip;
    for (const wall of this.walls) {
      const at = flip * (wall.angle - angle);
      put(wall.bar, "transform", `rotate(${at})`);
      if (!wall.text) continue;
      const radians = (at * Math.PI) / 180;
      put(wall.text, "x", (103 * Math.sin(radians)).toFixed(2));
      put(wall.text, "y", (-97 * Math.cos(radians)).toFixed(2));
    }
  }

  drawPath(index) {
    if (this.pathIndex === index) return;
    this.pathIndex = index;
    const { frames, sections } = this.film;
    const section = sections[sectionOf(this.film, index)];
    const [first, last] = section ? [section.first, section.last] : [0, frames.length - 1];
    const line = (list) => list.map((f, i) => `${i ? "L" : "M"}${f.x.toFixed(1)} ${f.y.toFixed(1)}`).join("");
    put(this.paths.all, "d", line(frames.slice(first, last + 1)));
    put(this.paths.done, "d", line(frames.slice(first, index + 1)));
    const dots = frames.slice(first, index + 1).map((f) => `M${f.x.toFixed(1)} ${f.y.toFixed(1)}h0`);
    put(this.paths.dots, "d", dots.join(""));
  }

  drawFoot(foot, stance, viewAngle, flip) {
    const { x, y, angle, contact, lift } = stance[foot];
    const hasWeight = stance.weight === foot || stance.weight === "B";
    const group = this.feet[foot];
    const size = (1 + 0.1 * lift).toFixed(3);
    put(group, "transform", `translate(${x} ${y}) rotate(${angle}) scale(${size})`);
    // The moving foot lies over the standing one.
    const other = this.feet[foot === "L" ? "R" : "L"];
    if (lift > 0 && group.nextElementSibling === other) other.after(group);
    const state = hasWeight && contact !== "air" ? "weight" : "free";
    put(group.lastElementChild, "href", `#${foot}-${state}-${contact}`);
    put(group, "data-state", `${state} ${contact}`);
    const radians = (angle * Math.PI) / 180;
    const letter = this.letters[foot];
    const place = `translate(${x + 6 * Math.sin(radians)} ${y - 6 * Math.cos(radians)})`;
    put(letter, "transform", `${place} rotate(${viewAngle}) scale(${flip} 1)`);
    const isOn = state === "weight" && (contact === "flat" || contact === "ball");
    letter.classList.toggle("on", isOn);
  }
}
