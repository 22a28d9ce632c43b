// Devices of the hall: let in by a code, shut out by a click.

seek("#new-code")?.addEventListener("click", async () => {
  try {
    const { code, address, seconds, drawing } = await send("POST", "/api/hall/code");
    const place = seek("#code-place");
    place.innerHTML = drawing;
    grow("p", "big-code", place, code);
    grow("p", "", place, address);
    grow("p", "soft", place, say(begun.good_for, { n: Math.round(seconds / 60) }));
  } catch (error) {
    seek("#told").textContent = error.message || begun.failed;
  }
});
seek(".devices")?.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-revoke]");
  if (!button) return;
  try {
    await send("POST", "/api/hall/revoked", { id: button.dataset.revoke });
    location.reload();
  } catch (error) {
    seek("#told").textContent = error.message || begun.failed;
  }
});
