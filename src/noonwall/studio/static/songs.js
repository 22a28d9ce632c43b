// Songs: one brought as a file, with its progress.

function bring(file) {
  const asking = new XMLHttpRequest();
  asking.open("POST", `/api/songs?name=${encodeURIComponent(file.name)}`);
  asking.setRequestHeader("content-type", "application/octet-stream");
  asking.setRequestHeader("x-noonwall-token", seek('meta[name="noonwall-token"]').content);
  seek("#coming").hidden = false;
  asking.upload.addEventListener("progress", (event) => {
    if (event.lengthComputable) seek("#coming").value = event.loaded / event.total;
  });
  asking.upload.addEventListener("load", () => {
    seek("#coming").removeAttribute("value");
    seek("#told").textContent = begun.hearing;
  });
  asking.addEventListener("loadend", () => {
    seek("#coming").hidden = true;
    let held = {};
    try {
      held = JSON.parse(asking.responseText);
    } catch {
      held = {};
    }
    if (asking.status !== 201) {
      seek("#told").textContent = typeof held.detail === "string" ? held.detail : begun.failed;
      return;
    }
    location.assign(begun.dance ? `/dances/${begun.dance}/music?song=${held.id}` : `/songs/${held.id}`);
  });
  asking.send(file);
}

seek("#file").addEventListener("change", () => {
  const [file] = seek("#file").files;
  if (file) bring(file);
});
