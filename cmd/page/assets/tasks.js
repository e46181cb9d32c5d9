// A bar for what takes time; at its end the page is loaded again.
export function tasks() {
  document.querySelectorAll("[data-task]:not([data-watched])").forEach((box) => {
    box.dataset.watched = "yes";
    watch(box);
  });
}

// Loading the page again would call back a click that is on its way to another; one that
// led to a file leaves the page where it is.
const onTheWay = 5000; // ms
let left = -Infinity;
addEventListener("beforeunload", () => { left = performance.now(); });

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
    if (!box.isConnected) return;
    if (s.ended && performance.now() - left < onTheWay) continue;
    if (s.ended) { location.reload(); return; }
    const said = s.left ? s.step + " · " + s.left : s.step;
    if (step.textContent !== said) step.textContent = said;
    if (s.All) { bar.max = s.All; bar.value = s.Done; } else { bar.removeAttribute("value"); }
  }
}
