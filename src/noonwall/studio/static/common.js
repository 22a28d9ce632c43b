// What every page does: read what it began with, ask the studio, and send changes with the page's token.

const begun = (() => {
  const held = document.getElementById("begin");
  return held ? JSON.parse(held.textContent) : {};
})();

function seek(selector) {
  return document.querySelector(selector);
}

// Ask for a change; resolves to what the studio answers, and rejects with a sentence for the person.
async function send(method, address, body, headers = { "content-type": "application/json" }) {
  const token = seek('meta[name="noonwall-token"]').content;
  const isPlain = headers["content-type"] === "application/json";
  const answer = await fetch(address, {
    method,
    headers: { ...headers, "x-noonwall-token": token },
    body: body === undefined ? undefined : isPlain ? JSON.stringify(body) : body,
  });
  if (answer.status === 204) return null;
  const told = await answer.text();
  let held = null;
  try {
    held = JSON.parse(told);
  } catch {
    held = { detail: told };
  }
  if (!answer.ok) throw new Error(typeof held.detail === "string" ? held.detail : "");
  return held;
}

// Calls that come faster than `milliseconds` are one call, the last.
function settled(act, milliseconds) {
  let waiting = 0;
  return (...given) => {
    clearTimeout(waiting);
    waiting = setTimeout(() => act(...given), milliseconds);
  };
}

function say(words, values) {
  return words.replace(/\{(\w+)\}/g, (all, name) => values[name] ?? all);
}

function grow(tag, className, parent, text) {
  const made = document.createElement(tag);
  if (className) made.className = className;
  if (text !== undefined) made.textContent = text;
  parent?.append(made);
  return made;
}

function drawIcon(name, parent) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("class", `icon i-${name}`);
  svg.setAttribute("aria-hidden", "true");
  const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
  use.setAttribute("href", `#i-${name}`);
  svg.append(use);
  parent.append(svg);
}
