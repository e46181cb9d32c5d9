// Dropping files on the page does what choosing them does, with a bar.
export function drop(form) {
  if (!form) return;
  const said = form.querySelector("#sent");
  const input = form.querySelector("input[type=file]");
  const send = (files) => {
    const data = new FormData();
    for (const f of files) data.append("files", f, f.name);
    const bar = document.createElement("progress");
    bar.setAttribute("aria-label", "sending");
    said.replaceChildren("Sending… ", bar);
    const request = new XMLHttpRequest();
    request.open("POST", form.action);
    request.upload.onprogress = (e) => { if (e.lengthComputable) { bar.max = e.total; bar.value = e.loaded; } };
    request.onload = () => {
      if (request.status < 400) { location.assign(request.responseURL); return; }
      const page = new DOMParser().parseFromString(request.responseText, "text/html");
      said.textContent = page.querySelector("[role=alert]")?.textContent || "The files could not be sent.";
    };
    request.onerror = () => { said.textContent = "The files could not be sent; is the program still running?"; };
    request.send(data);
  };
  addEventListener("dragover", (e) => { e.preventDefault(); form.classList.add("over"); });
  addEventListener("dragleave", (e) => { if (!e.relatedTarget) form.classList.remove("over"); });
  addEventListener("drop", (e) => {
    e.preventDefault();
    form.classList.remove("over");
    if (e.dataTransfer.files.length) send(e.dataTransfer.files);
  });
  form.addEventListener("submit", (e) => {
    if (!input.files.length) return;
    e.preventDefault();
    send(input.files);
  });
}
