// Keeps the page true to the file: the server says when there is something new, and the sheet is asked for again.
// Other scripts use `show` to change what is pulled, and hear `falsework:shown` on the document afterwards.

/** Tells a screen reader. */
export const say = (text) => { document.getElementById("live").textContent = text; };

/** What the server wants named by whoever writes. */
export const token = () => document.querySelector('meta[name="falsework"]').content;

const here = () => location.pathname + location.search;

let wanted = null; // the newest address that waits; "" is this one, once more
let asking = null; // ends when nothing waits any more

/** Shows an address in place. While an answer is awaited only the newest that comes after waits: none is cut off. */
export function show(address, { push = true } = {}) {
  wanted = { address, push };
  asking ??= ask().finally(() => { asking = null; });
  return asking;
}

/** Asks for what is shown once more, after whatever waits. */
export const again = () => wanted ? asking : show("", { push: false });

async function ask() {
  while (wanted) {
    const { address, push } = wanted;
    wanted = null;
    const context = { source: "#sheet", target: "#sheet", swap: "outerHTML show:none", push: push ? address : "false" };
    await htmx.ajax("GET", address || here(), context).catch(() => {}); // what went wrong is said by its event
  }
}

document.addEventListener("htmx:configRequest", (event) => {
  if (event.detail.verb !== "get") event.detail.headers["X-Falsework"] = token();
});

// What is wrong with a question is told by the answer itself, so it is shown like any other.
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.xhr.getResponseHeader("Content-Type")?.startsWith("text/html")) event.detail.shouldSwap = true;
});
document.addEventListener("htmx:sendError", () =>
  say("The page no longer answers. Start it again in the terminal; this view stays as it is."));

// The thing that had the focus has it again.
let held = null;
document.addEventListener("htmx:beforeSwap", () => {
  const thing = document.activeElement?.closest?.("[data-id]");
  held = thing?.closest("#sheet") ? thing.dataset.id : null;
});
document.addEventListener("htmx:afterSettle", (event) => {
  if (event.target.id !== "sheet") return; // heard once for each part that was swapped
  if (held) {
    const thing = document.querySelector(`#sheet [data-id="${CSS.escape(held)}"]`);
    (thing?.querySelector("a, button") ?? thing)?.focus?.({ preventScroll: true });
  }
  held = null;
  document.dispatchEvent(new CustomEvent("falsework:shown"));
});
document.addEventListener("htmx:historyRestore", () => document.dispatchEvent(new CustomEvent("falsework:shown")));

// A stream of news, closed while nobody looks: a browser gives one host few connections.
let stream = null;
let mark = document.querySelector('meta[name="falsework-mark"]').content;
const writing = () => document.getElementById("sheet").hasAttribute("data-holds"); // text that is not saved yet

function open() {
  if (stream) return;
  stream = new EventSource(`/events?since=${encodeURIComponent(mark)}`);
  for (const kind of ["drawn", "judged", "made", "trouble", "working"]) {
    stream.addEventListener(kind, (event) => {
      mark = event.lastEventId || mark;
      heard(kind, JSON.parse(event.data));
    });
  }
  stream.addEventListener("error", () => document.documentElement.toggleAttribute("data-away", true));
  stream.addEventListener("open", () => document.documentElement.toggleAttribute("data-away", false));
}

function heard(kind, news) {
  document.dispatchEvent(new CustomEvent(`falsework:${kind}`, { detail: news }));
  if (kind === "working") return; // how far work is: the sheet that shows it listens by itself
  if (kind === "made" && news.sheet !== location.pathname) return;
  if (kind === "trouble") say("The file has faults; shown is what was read before.");
  if (kind === "drawn") say("The file was read again.");
  if (!writing()) again();
}

document.addEventListener("visibilitychange", () => {
  if (!document.hidden) return open();
  stream?.close();
  stream = null;
});
open();
