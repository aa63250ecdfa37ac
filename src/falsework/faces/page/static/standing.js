// The elevation at hand: pull plugs, follow what carries what, move through time, zoom and pan.
// Every state is an address, and every touch leads to a link that works without this file too.
import { again, say, show } from "/static/live.js";

const LARGEST = 8;
const at = (id) => document.getElementById(id);
const drawing = () => at("drawing");
const TOUCH = "#drawing :is(.touch, .fold)"; // a thing, or what unfolds a group of them
const touches = () => [...document.querySelectorAll(TOUCH)];
const thingOf = (node) => node?.closest?.(".thing");
const writes = (node) => node?.closest?.("input:not([type=range]), textarea, select, [contenteditable]");

// ---- Addresses. Back is undo: an entry of the history that this page made is gone back over, else the link is followed.
let steps = 0;
if (!history.state) history.replaceState({ htmx: true }, "", location.href);
document.addEventListener("htmx:pushedIntoHistory", () => { steps += 1; });
addEventListener("popstate", () => { steps = Math.max(0, steps - 1); });

function undo() {
  const link = at("undo");
  if (steps > 0) history.back();
  else if (link) show(link.getAttribute("href"));
}

// ---- Larger and smaller. The drawing grows in a box that scrolls, so the keyboard and the finger move it as any box.
// How small a drawing may begin, of its own size, where its least letters are 9 px: one that would be smaller begins at its
// own size and scrolls. A telephone shows more of it at once.
const READABLE = matchMedia("(max-width: 44rem)").matches ? 0.72 : 0.85;
const LEAST = 48; // rem: what fits is not narrower, as the style sheet says
const rem = () => parseFloat(getComputedStyle(document.documentElement).fontSize);
let zoom = 0; // 1 fits the width; not chosen yet
let wide = 0; // of the drawing, in its own px, when that was chosen: what unfolds makes it wider
let fitted = false; // asked for
let kept = { left: 0, top: 0 };

function sized(next, x, y) {
  const box = drawing();
  const svg = box?.querySelector("svg");
  if (!svg) return;
  const frame = box.getBoundingClientRect();
  const px = x === undefined ? frame.width / 2 : x - frame.left;
  const py = y === undefined ? Math.min(frame.height, innerHeight) / 2 : y - frame.top;
  const before = svg.getBoundingClientRect();
  const share = { x: (px + frame.left - before.left) / before.width, y: (py + frame.top - before.top) / before.height };
  zoom = Math.min(LARGEST, Math.max(1, next));
  fitted = zoom === 1;
  apply();
  const after = svg.getBoundingClientRect();
  box.scrollLeft += after.left + share.x * after.width - (frame.left + px);
  box.scrollTop += after.top + share.y * after.height - (frame.top + py);
}

const rules = new CSSStyleSheet(); // an attribute would be forbidden by the page's policy once it is copied
document.adoptedStyleSheets.push(rules);

let ruled = "";

function apply() {
  const box = drawing();
  const svg = box?.querySelector("svg");
  if (!svg) return;
  const now = svg.viewBox.baseVal.width;
  if (now !== wide && zoom > 1) zoom = Math.min(LARGEST, Math.max(1, (zoom * now) / wide)); // letters stay as large
  else if (now !== wide && !fitted) zoom = 0;
  wide = now;
  if (!zoom) {
    const least = now / Math.max(box.clientWidth, LEAST * rem());
    zoom = least * READABLE > 1 ? Math.min(LARGEST, least) : 1;
  }
  // Said by what it fits, not measured: after a pull nothing is laid out twice.
  const rule = zoom > 1 ? `@media screen { #drawing svg { width: max(${zoom * 100}%, ${zoom * LEAST}rem); } }` : "";
  if (rule !== ruled) rules.replaceSync((ruled = rule));
  box.classList.toggle("zoomed", zoom > 1);
  for (const button of document.querySelectorAll("[data-zoom]")) {
    button.disabled = button.dataset.zoom === "in" ? zoom >= LARGEST : zoom <= 1;
  }
}

document.addEventListener("wheel", (event) => {
  if (!(event.ctrlKey || event.metaKey) || !event.target.closest?.("#drawing")) return;
  event.preventDefault(); // alone, the wheel scrolls the page
  sized(zoom * Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.002)), event.clientX, event.clientY);
}, { passive: false });

let pinch = null; // distance of two fingers and the zoom when they touched
const apart = ([one, other]) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
document.addEventListener("touchstart", (event) => {
  pinch = event.touches.length === 2 && event.target.closest?.("#drawing") ? { apart: apart(event.touches), zoom } : null;
}, { passive: true });
document.addEventListener("touchmove", (event) => {
  if (!pinch || event.touches.length !== 2) return;
  event.preventDefault();
  const [one, other] = event.touches;
  const x = (one.clientX + other.clientX) / 2;
  const y = (one.clientY + other.clientY) / 2;
  sized((pinch.zoom * apart(event.touches)) / Math.max(pinch.apart, 1), x, y);
}, { passive: false });
document.addEventListener("touchend", () => { pinch = null; });

// ---- Dragging moves the drawing; a drag is no click.
let drag = null;
let dragged = false;
document.addEventListener("pointerdown", (event) => {
  dragged = false;
  const box = event.target.closest?.("#drawing");
  if (!box || event.pointerType !== "mouse" || event.button !== 0) return;
  drag = { x: event.clientX, y: event.clientY, left: box.scrollLeft, top: box.scrollTop, page: scrollY };
});
document.addEventListener("pointermove", (event) => {
  if (!drag) return;
  const dx = event.clientX - drag.x;
  const dy = event.clientY - drag.y;
  if (!dragged && Math.hypot(dx, dy) < 5) return;
  dragged = true;
  const box = drawing();
  box?.classList.add("dragged");
  box?.scrollTo(drag.left - dx, drag.top - dy);
});
for (const kind of ["pointerup", "pointercancel"]) {
  document.addEventListener(kind, () => { drag = null; drawing()?.classList.remove("dragged"); });
}
document.addEventListener("dragstart", (event) => { if (event.target.closest?.("#drawing")) event.preventDefault(); });

// ---- Touching a thing.
document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-zoom]");
  if (button) return sized({ in: zoom * 1.4, out: zoom / 1.4, fit: 1 }[button.dataset.zoom]);
  if (event.target.closest?.("#undo") && steps > 0) {
    event.preventDefault();
    event.stopImmediatePropagation();
    return undo();
  }
  const touch = event.target.closest?.(TOUCH);
  const link = touch ?? event.target.closest?.("#sheet a");
  if (!link || !/^\/($|[?#])/.test(link.getAttribute("href"))) return; // other sheets are pages of their own
  if (event.ctrlKey || event.metaKey || event.shiftKey) return; // a new window has its own state
  event.preventDefault();
  event.stopImmediatePropagation();
  if (touch && dragged) return;
  show(link.getAttribute("href"));
}, { capture: true });

// ---- The keyboard. One thing of the drawing is in the order of the tab key; arrows move on from it.
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || writes(event.target)) return;
  if (event.key === "z" && at("drawing")) return undo();
  const touch = event.target.closest?.(TOUCH);
  if (event.target.closest?.("#drawing") || event.target === document.body) {
    const next = { "+": zoom * 1.4, "=": zoom * 1.4, "-": zoom / 1.4, 0: 1 }[event.key];
    if (next !== undefined) {
      event.preventDefault();
      const place = touch?.getBoundingClientRect();
      return sized(next, place && place.left + place.width / 2, place && place.top + place.height / 2);
    }
  }
  if (!touch) return;
  if (event.key === " ") {
    event.preventDefault(); // a link that is a button takes the space bar too
    return touch.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
  }
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  const other = way ? nearest(touch, way) : { Home: touches()[0], End: touches().at(-1) }[event.key];
  if (way || other) event.preventDefault();
  if (other) focused(other);
});

/** The nearest thing in a direction: what lies straight ahead counts before what lies aside. */
function nearest(from, [dx, dy]) {
  const a = from.getBoundingClientRect();
  let best = null;
  let least = Infinity;
  for (const each of touches()) {
    if (each === from) continue;
    const b = each.getBoundingClientRect();
    if (!b.width && !b.height) continue;
    const mid = { x: b.left + b.width / 2 - (a.left + a.width / 2), y: b.top + b.height / 2 - (a.top + a.height / 2) };
    const ahead = dx * mid.x + dy * mid.y;
    const gap = dx ? Math.max(b.left - a.right, a.left - b.right, 0) : Math.max(b.top - a.bottom, a.top - b.bottom, 0);
    const aside = dx ? Math.max(b.top - a.bottom, a.top - b.bottom, 0) : Math.max(b.left - a.right, a.left - b.right, 0);
    if (ahead < 1) continue;
    const far = gap + 4 * aside + ahead / 50;
    if (far < least) [best, least] = [each, far];
  }
  return best;
}

function focused(touch) {
  touch.focus({ preventScroll: true });
  touch.scrollIntoView({ block: "nearest", inline: "nearest" });
}

function rove(touch) {
  for (const each of touches()) if (each.tabIndex === 0) each.setAttribute("tabindex", "-1");
  touch.setAttribute("tabindex", "0");
}

// ---- What carries a thing, and what it carries: down to the ground and up to the services, not beyond them.
let leaning = null; // promise of which groups of the drawing lean on which
let read = "";

function follows() {
  const open = new URLSearchParams(new URLSearchParams(location.search).getAll("open").map((each) => ["open", each]));
  const version = `${at("sheet").dataset.version}?${open}`;
  if (leaning && read === version) return leaning;
  read = version;
  leaning = fetch(`/leaning?${open}`).then((answer) => answer.json());
  leaning.catch(() => { leaning = null; });
  return leaning;
}

function reached(start, next, ends) {
  const found = new Set();
  const queue = [start];
  while (queue.length) {
    const each = queue.pop();
    if (each !== start && ends.has(each)) continue;
    for (const other of next[each] ?? []) {
      if (other === start || found.has(other)) continue;
      found.add(other);
      queue.push(other);
    }
  }
  return found;
}

let asking = null;
async function ask(thing) {
  asking = thing;
  const { ids, on, by } = await follows();
  if (asking !== thing || !thing.isConnected) return;
  const groups = [...drawing().querySelectorAll(".thing")];
  const number = new Map(ids.map((id, place) => [id, place]));
  const services = new Set(groups.filter((each) => ["service", "alarm"].includes(each.dataset.word)).map((each) => number.get(each.dataset.id)));
  const start = number.get(thing.dataset.id);
  const under = reached(start, on, services);
  const over = reached(start, by, services);
  drawing().classList.add("asking");
  for (const each of groups) {
    const place = number.get(each.dataset.id);
    each.classList.toggle("self", each === thing);
    each.classList.toggle("under", under.has(place));
    each.classList.toggle("over", over.has(place) && !under.has(place));
  }
  const whom = [...over].filter((place) => services.has(place)).sort((one, other) => one - other).map((place) => ids[place]);
  const few = whom.slice(0, 6).join(", ") + (whom.length > 6 ? ` and ${whom.length - 6} more` : "");
  const line = at("asked");
  if (line) line.textContent = `${thing.dataset.id}: ${whom.length ? `${few} ${whom.length === 1 ? "leans" : "lean"} on it` : "no service leans on it"}; it leans on ${under.size} ${under.size === 1 ? "thing" : "things"}.`;
}

function unask() {
  asking = null;
  drawing()?.classList.remove("asking");
  const line = at("asked");
  if (line) line.textContent = "";
}

let soon = 0;
document.addEventListener("pointerover", (event) => {
  if (event.pointerType !== "mouse" || drag) return;
  const touch = event.target.closest?.("#drawing .touch");
  clearTimeout(soon); // passing over is no question
  if (touch) soon = setTimeout(() => ask(thingOf(touch)), 120);
  else if (drawing()?.classList.contains("asking")) soon = setTimeout(unask, 120); // wherever it went, the margin too
});
document.addEventListener("focusin", (event) => {
  const touch = event.target.closest?.(TOUCH);
  if (!touch) return unask();
  rove(touch);
  if (touch.matches(".touch:focus-visible")) ask(thingOf(touch));
});

// ---- The time. While the slider is dragged only the drawing and the notes change; the newest answer wins.
let sliding = null;
async function slide(address) {
  sliding?.abort();
  const mine = (sliding = new AbortController());
  try {
    const answer = await fetch(address, { headers: { "HX-Request": "true" }, signal: mine.signal });
    const found = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (mine.signal.aborted) return;
    keep();
    for (const id of ["drawing", "notes", "tally", "axis-said", "block"]) {
      const now = at(id);
      const next = found.getElementById(id);
      if (now && next) now.replaceWith(document.adoptNode(next));
    }
    asking = null;
    settled(false);
  } catch (error) {
    if (error.name !== "AbortError") throw error;
  }
}

const tickAt = (number) => document.querySelector(`.ticks a[data-at="${number}"]`);

document.addEventListener("input", (event) => {
  if (event.target.id === "part") return offer(event.target);
  if (event.target.id !== "time") return;
  const tick = tickAt(event.target.value);
  marked(tick, event.target);
  slide(tick.getAttribute("href"));
});
document.addEventListener("change", (event) => {
  if (event.target.id !== "time") return;
  const address = tickAt(event.target.value).getAttribute("href");
  if (address === location.pathname + location.search) return;
  const state = { htmx: true, slid: true };
  if (history.state?.slid) return history.replaceState(state, "", address); // one way back over all that is slid
  history.pushState(state, "", address);
  steps += 1;
});

// Nothing is swapped under a slider that is held: what is new meanwhile is asked for when it is let go.
let missed = false;
document.addEventListener("pointerdown", (event) => {
  if (event.target.id === "time") at("sheet").setAttribute("data-holds", "");
});
for (const kind of ["pointerup", "pointercancel"]) {
  document.addEventListener(kind, () => {
    if (!drawing() || !at("sheet").hasAttribute("data-holds")) return;
    at("sheet").removeAttribute("data-holds");
    if (missed) setTimeout(again); // after the change that letting go makes
    missed = false;
  });
}
for (const kind of ["drawn", "judged", "trouble"]) {
  document.addEventListener(`falsework:${kind}`, () => { missed ||= at("sheet").hasAttribute("data-holds"); });
}

function marked(tick, slider) {
  for (const each of document.querySelectorAll(".ticks a[aria-current]")) each.removeAttribute("aria-current");
  tick.setAttribute("aria-current", "true");
  slider.setAttribute("aria-valuetext", [tick.textContent, tick.title].filter(Boolean).join(": "));
}

// ---- Any part by name.
let offering = null;
async function offer(field) {
  offering?.abort();
  offering = new AbortController();
  try {
    const answer = await fetch(`/parts?like=${encodeURIComponent(field.value)}`, { signal: offering.signal });
    const { parts } = await answer.json();
    at("parts")?.replaceChildren(...parts.map((each) => Object.assign(document.createElement("option"), { value: each.name, label: each.is })));
  } catch (error) {
    if (error.name !== "AbortError") throw error;
  }
}
document.addEventListener("focusin", (event) => { if (event.target.id === "part") offer(event.target); });
document.addEventListener("submit", (event) => {
  if (!event.target.matches?.("form.pull")) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  const query = new URLSearchParams([...new FormData(event.target)].filter(([, said]) => said));
  const named = at("part").value;
  if (event.submitter?.name === "ask" && named) { // asked about, not pulled
    const out = query.getAll("out").slice(0, -1);
    query.delete("out");
    for (const each of out) query.append("out", each);
    query.append("look", named);
    query.append("may", named);
    at("part").value = "";
  } else wanted = named;
  show(`/?${query.toString().replaceAll("+", "%20")}`);
}, { capture: true });

// ---- After each swap everything that is not in the address is as it was: zoom, place, and what has the focus.
let wanted = ""; // named in the field: shown once it is out
let open = []; // folds of the notes
let typed = "";
let down = 0; // how far the notes are scrolled

function keep() {
  const box = drawing();
  if (box) kept = { left: box.scrollLeft, top: box.scrollTop };
  open = [...document.querySelectorAll("#notes details[open]")].map((each) => each.dataset.fold);
  typed = at("part")?.value ?? "";
  down = at("notes")?.scrollTop ?? 0;
}

let was = "";
function settled(tell) {
  const box = drawing();
  if (!box) return;
  at("zoom").hidden = false;
  const slider = at("time");
  if (slider) slider.hidden = false;
  at("axis")?.classList.toggle("many", document.querySelectorAll(".tick").length > 18);
  apply();
  if (kept.left || kept.top) box.scrollTo(kept.left, kept.top); // it is laid out for this, so not in vain
  for (const each of document.querySelectorAll("#notes details")) each.open = open.includes(each.dataset.fold);
  if (down) at("notes").scrollTop = down;
  if (typed && !wanted) at("part").value = typed;
  const said = at("tally").textContent;
  if (tell && said !== was) say(said);
  was = said;
}

let beside = "";
let held = null; // the thing that has the focus, or the group whose fold has it: opened, that stands at another thing
document.addEventListener("htmx:beforeSwap", (event) => {
  keep();
  const active = document.activeElement;
  const touch = active?.closest?.(TOUCH);
  held = touch ? { id: thingOf(touch)?.dataset.id, group: touch.matches(".fold") ? touch.dataset.group : "" } : null;
  beside = active?.closest?.("#notes, #axis") ? active.id || active.closest("#notes, #axis").id : "";
  // htmx takes leave of every single element that goes: of a drawing with thousands that is half of the time.
  if (event.detail.shouldSwap && event.detail.target?.id === "sheet") drawing()?.replaceChildren();
});
document.addEventListener("falsework:shown", () => {
  asking = null;
  settled(true);
  const again = held && of(held.id, held.group);
  if (again) again.focus({ preventScroll: true });
  held = null;
  if (wanted) of(wanted)?.scrollIntoView({ block: "nearest", inline: "nearest" });
  wanted = "";
  if (beside && (!document.activeElement || document.activeElement === document.body)) {
    (at(beside) ?? at("notes"))?.focus({ preventScroll: true });
  }
  beside = "";
});

/** What is touched of a thing: its own shapes, not those of what it holds. */
function of(id, group = "") {
  const sign = group && document.querySelector(`#drawing .fold[data-group="${CSS.escape(group)}"]`);
  const thing = `#drawing .thing[data-id="${CSS.escape(id ?? "")}"] > `;
  return sign || document.querySelector(`${thing}.touch`) || document.querySelector(`${thing}.fold`);
}

settled(false);
const first = drawing()?.dataset.look;
const shown = first && of(first);
if (shown) focused(shown);
else uncovered(document.querySelector('#drawing .thing[data-state="lost"] > .touch'));

/** Brings a thing into sight within the drawing's own box; the page stays at its title. */
function uncovered(touch) {
  const box = drawing();
  if (!box || !touch) return;
  const [frame, seen] = [box.getBoundingClientRect(), touch.getBoundingClientRect()];
  if (seen.left < frame.left || seen.right > frame.right) box.scrollLeft += seen.left - frame.left - frame.width / 2;
  if (seen.top < frame.top || seen.bottom > frame.bottom) box.scrollTop += seen.top - frame.top - frame.height / 2;
}
