// The lesson: planned anew when the time or the class changes, and written down when it was taught.

seek("#wish").addEventListener("change", () => {
  if (seek("#wish").reportValidity()) seek("#wish").submit();
});

async function change(act, done) {
  try {
    await act();
    done();
  } catch (error) {
    seek("#told").textContent = error.message || begun.failed;
  }
}

seek("#taught").addEventListener("submit", (event) => {
  event.preventDefault();
  const body = { to: Number(seek("#taught-to").value), day: seek("#taught-day").value };
  change(
    () => send("POST", `/api/dances/${begun.id}/taught`, body),
    () => (seek("#told").textContent = begun.written),
  );
});
seek("#new-class").addEventListener("submit", (event) => {
  event.preventDefault();
  change(
    () => send("POST", "/api/classes", { name: seek("#class-name").value }),
    () => location.reload(),
  );
});
