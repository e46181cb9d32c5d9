// What the page does more with a script; every form and link works without it.
// Nothing is sent anywhere but to the program on this machine.
import { drop } from "./drop.js";
import { answers } from "./answers.js";
import { tasks } from "./tasks.js";
import { windows } from "./windows.js";

// The reason for a mark in the grid opens beside it.
document.addEventListener("click", (event) => {
  const button = event.target.closest(".why");
  if (!button) return;
  const open = button.getAttribute("aria-expanded") !== "true";
  button.setAttribute("aria-expanded", String(open));
  button.nextElementSibling.hidden = !open;
});

// What is wider than its place says so.
const measure = () => document.querySelectorAll(".draw, .scroll, .sheet").forEach((x) => x.toggleAttribute("data-wide", x.scrollWidth > x.clientWidth + 1));
addEventListener("resize", measure);
addEventListener("toggle", measure, true);
new MutationObserver(measure).observe(document.body, { childList: true, subtree: true });
measure();

windows();
drop(document.getElementById("drop"));
answers();
tasks();
document.documentElement.dataset.ready = "yes";
