// Versions: one made current again.

seek("#choice").addEventListener("click", async (event) => {
  const button = event.target.closest("[data-restore]");
  if (!button) return;
  try {
    await send("POST", `/api/dances/${begun.id}/restored`, { version: Number(button.dataset.restore) });
    location.assign(`/dances/${begun.id}`);
  } catch (error) {
    seek("#told").textContent = error.message || begun.failed;
  }
});
