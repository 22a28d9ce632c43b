// Making: begun by a click, watched while it is made, fetched by a link.

const ASK_MILLISECONDS = 400;

function wishOf(form) {
  const given = new FormData(form);
  const wish = { what: form.dataset.what, format: given.get("format"), languages: given.get("languages").split(",") };
  for (const name of ["paper", "shape"]) if (given.has(name)) wish[name] = given.get(name);
  if (given.has("minutes")) wish.minutes = Number(given.get("minutes"));
  if (given.has("speeds")) wish.speeds = given.get("speeds").split(",").map(Number);
  return wish;
}

async function watch(form, making) {
  const bar = form.querySelector("progress");
  const told = form.querySelector(".made");
  if (making.state === "done") {
    bar.hidden = true;
    told.textContent = `${begun.done} `;
    const link = grow("a", "button main", told, begun.fetch);
    link.href = making.file;
    link.setAttribute("aria-label", `${begun.fetch}: ${form.querySelector("h3").textContent}`);
    return;
  }
  if (making.state === "failed") {
    bar.hidden = true;
    told.textContent = making.sentence;
    return;
  }
  bar.value = making.share;
  await new Promise((done) => setTimeout(done, ASK_MILLISECONDS));
  const answer = await fetch(`/api/makings/${making.id}`);
  if (!answer.ok) throw new Error("");
  await watch(form, await answer.json());
}

for (const form of document.querySelectorAll(".make")) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const button = form.querySelector("button");
    const told = form.querySelector(".made");
    button.disabled = true;
    form.querySelector("progress").hidden = false;
    told.textContent = begun.working;
    try {
      await watch(form, await send("POST", `/api/dances/${begun.id}/makings`, wishOf(form)));
    } catch (error) {
      form.querySelector("progress").hidden = true;
      told.textContent = error.message || begun.failed;
    }
    button.disabled = false;
  });
}
