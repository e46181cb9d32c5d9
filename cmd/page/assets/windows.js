// The program is told which windows are open, so that it can end after the last
// one, and tells whether the records changed since the page was made.
export function windows() {
  const body = document.body;
  const form = new URLSearchParams({ window: Math.random().toString(36).slice(2), practice: body.dataset.practice || "" });
  const changed = document.getElementById("changed");
  const ended = document.getElementById("ended");
  let lost = 0;
  const here = async () => {
    try {
      const answer = await fetch(new URL("../here", import.meta.url), { method: "POST", body: form });
      const said = await answer.json();
      lost = 0;
      ended.hidden = true;
      if (changed.hidden && body.dataset.stamp && said.stamp && said.stamp !== body.dataset.stamp) changed.hidden = false;
    } catch {
      if (++lost > 1) ended.hidden = false;
    }
  };
  here();
  setInterval(here, 5000);
  addEventListener("visibilitychange", () => { if (!document.hidden) here(); });
  addEventListener("pagehide", () => navigator.sendBeacon(new URL("../gone", import.meta.url), form));
  addEventListener("pageshow", (e) => { if (e.persisted) here(); });
}
