// Shows how far work is that a sheet waits for, and stops it. The result itself comes as an event "made" (live.js).

import { say, token } from "./live.js";

const going = (key) => document.querySelector(`[data-working][data-key="${CSS.escape(key)}"]`);

/** Without scripts a reload shows how far it is; with them it is told, and can be stopped. */
function ready() {
  for (const each of document.querySelectorAll("[data-working] .without")) each.hidden = true;
  for (const each of document.querySelectorAll("button[data-stop]")) each.hidden = false;
}

document.addEventListener("falsework:working", (event) => {
  const { key, what, done, of } = event.detail;
  const box = going(key);
  if (!box) return;
  box.querySelector("[data-what]").textContent = what;
  box.querySelector("[data-far]").textContent = of > 1 ? `, ${done.toLocaleString("en")} of ${of.toLocaleString("en")}` : "";
  const bar = box.querySelector("progress");
  if (of > 1) {
    bar.max = of;
    bar.value = done;
  } else {
    bar.removeAttribute("value");
  }
});

document.addEventListener("click", async (event) => {
  const button = event.target.closest?.("button[data-stop]");
  if (!button) return;
  button.disabled = true;
  try {
    const answer = await fetch("/jobs/stop", {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Falsework": token() },
      body: JSON.stringify({ key: button.dataset.stop }),
    });
    say(answer.ok ? "It is being stopped." : "It is not going on any more.");
  } catch {
    say("The page no longer answers.");
  }
});

// Paper can't be unfolded: what is folded is opened for it, and folded again after.
let folded = [];
addEventListener("beforeprint", () => {
  folded = [...document.querySelectorAll("#sheet details:not([open])")];
  for (const each of folded) each.open = true;
});
addEventListener("afterprint", () => {
  for (const each of folded) each.open = false;
});

document.addEventListener("falsework:shown", ready);
ready();
