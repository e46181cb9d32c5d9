// A bar for what takes time; at its end the page is loaded again.
export function tasks() {
  document.querySelectorAll("[data-task]:not([data-watched])").forEach((box) => {
    box.dataset.watched = "yes";
    watch(box);
  });
}

async function watch(box) {
  const step = box.querySelector(".step");
  const bar = box.querySelector("progress");
  for (;;) {
    await new Promise((r) => setTimeout(r, 300));
    if (!box.isConnected) return;
    let s;
    try {
      const answer = await fetch(new URL("../jobs/" + box.dataset.task, import.meta.url));
      s = answer.ok ? await answer.json() : { ended: true };
    } catch { continue; }
    if (s.ended) { location.reload(); return; }
    const said = s.left ? s.step + " · " + s.left : s.step;
    if (step.textContent !== said) step.textContent = said;
    if (s.All) { bar.max = s.All; bar.value = s.Done; } else { bar.removeAttribute("value"); }
  }
}
