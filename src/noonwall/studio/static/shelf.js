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
