// Renews what was seen once a second while a run goes on, and looks now and then whether a new one has begun.

import { again } from "./live.js";

const seen = () => document.getElementById("seen");
const asked = () => new URLSearchParams(location.search).get("run") ?? "";
let turns = 0;

async function look() {
  const box = seen();
  if (!box || document.hidden) return;
  turns += 1;
  if (!("going" in box.dataset) && (turns % 5 || asked())) return;
  let answer;
  try {
    answer = await fetch(`/stopwatch/now?run=${encodeURIComponent(asked())}`, { headers: { "HX-Request": "true" } });
  } catch {
    return; // the page does not answer just now: live.js says so
  }
  if (!answer.ok || seen() !== box) return;
  const found = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("seen");
  if (!found) return;
  const { run, newest } = found.dataset;
  const differs = (what) => what in found.dataset !== what in box.dataset;
  // A run that begins or ends, or a record that can't be read any more, changes more than the strips.
  if (run !== box.dataset.run || newest !== box.dataset.newest || differs("going") || differs("unread")) return void again();
  const left = box.querySelector(".strips")?.scrollLeft ?? 0;
  const held = box.contains(document.activeElement);
  box.replaceWith(document.adoptNode(found));
  const strips = found.querySelector(".strips");
  if (strips) strips.scrollLeft = left;
  if (held) strips?.focus({ preventScroll: true });
}

setInterval(look, 1000);
