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

windows();
drop(document.getElementById("drop"));
answers();
tasks();
document.documentElement.dataset.ready = "yes";
