// What the studio adds to the page of a song: corrections kept, the run kept.

function madeNow() {
  const held = byId("json").value.trim();
  return held ? JSON.parse(held) : [];
}

const keptBefore = JSON.stringify(JSON.parse(byId("data").textContent).kept);

function offerToKeep() {
  byId("keep-bar").hidden = JSON.stringify(madeNow()) === keptBefore;
}

// The list of corrections changes with every tap; its box is what the page itself shows of it.
new MutationObserver(offerToKeep).observe(byId("corrections"), { childList: true });

byId("keep-corrections").addEventListener("click", async () => {
  try {
    await send("PUT", `/api/songs/${begun.song}/corrections`, { corrections: madeNow() });
    location.reload();
  } catch (error) {
    byId("corrections-told").textContent = error.message || begun.failed;
  }
});
byId("keep-run")?.addEventListener("click", async () => {
  try {
    await send("POST", `/api/dances/${begun.dance}/runs`, { song: begun.song, plan: Math.max(0, begun.plan) });
    byId("run-told").textContent = begun.kept;
  } catch (error) {
    byId("run-told").textContent = error.message || begun.failed;
  }
});
