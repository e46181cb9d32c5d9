// A file is read again as soon as every question has an answer that was pointed at;
// focus goes to what came of it. With the keyboard the arrows pass over choices that
// are not meant, so there the button sends them.
import { tasks } from "./tasks.js";

let pointed = false;
addEventListener("pointerdown", () => { pointed = true; }, true);
addEventListener("keydown", () => { pointed = false; }, true);

export function answers() {
  document.querySelectorAll("form[data-live]").forEach((form) => {
    form.addEventListener("change", (event) => {
      const names = new Set(Array.from(form.elements, (e) => e.name).filter(Boolean));
      const data = new FormData(form);
      if (!pointed || event.target.type === "checkbox" || ![...names].every((n) => data.get(n))) return;
      replace(form, data);
    });
  });
}

// A click that was on its way to the page as it was must not hit what stands there now.
function settle(main) {
  main.style.pointerEvents = "none";
  setTimeout(() => { main.style.pointerEvents = ""; }, 700);
}

async function replace(form, data) {
  const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams(data) });
  if (!answer.ok) { form.submit(); return; }
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const main = document.getElementById("main");
  main.replaceWith(document.adoptNode(page.getElementById("main")));
  history.replaceState(null, "", answer.url);
  settle(document.getElementById("main"));
  const head = document.querySelector("#main h2");
  if (head) { head.tabIndex = -1; head.focus(); }
  answers();
  tasks();
}
