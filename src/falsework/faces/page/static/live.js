// Keeps the page true to the file: the server says when there is something new, and the sheet is asked for again.
// Other scripts use `show` to change what is pulled, and hear `falsework:shown` on the document afterwards.

const say = (text) => { document.getElementById("live").textContent = text; };
let asked = 0;

/** Shows an address in place: the title block and the sheet are swapped, the newest answer wins. */
export async function show(address, { push = true, quiet = false } = {}) {
  const turn = ++asked;
  let response;
  try {
    response = await fetch(address, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
  } catch {
    say("The page no longer answers. Start it again in the terminal; this view stays as it is.");
    return false;
  }
  const text = await response.text();
  if (turn !== asked) return false;
  const fresh = new DOMParser().parseFromString(`<body>${text}</body>`, "text/html");
  const sheet = fresh.getElementById("sheet");
  if (!sheet) { location.assign(address); return false; }
  const held = document.activeElement?.closest?.("[data-id]")?.dataset.id;
  if (push && address !== location.pathname + location.search) history.pushState({}, "", address);
  document.getElementById("sheet").replaceWith(document.adoptNode(sheet));
  const block = fresh.getElementById("block");
  if (block) document.getElementById("block").replaceWith(document.adoptNode(block));
  document.dispatchEvent(new CustomEvent("falsework:shown", { detail: { held, quiet } }));
  return true;
}

/** What the server wants named by whoever writes. */
export const token = () => document.querySelector('meta[name="falsework"]').content;

addEventListener("popstate", () => show(location.pathname + location.search, { push: false }));

// A link to a sheet, or to another state of this one, is followed in place; all else is the browser's.
document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a[data-in-place]");
  if (!link || event.defaultPrevented || event.button || event.metaKey || event.ctrlKey || event.shiftKey) return;
  const address = link.href?.baseVal ?? link.getAttribute("href");
  event.preventDefault();
  show(address);
});

const events = new EventSource("/events");
const again = () => show(location.pathname + location.search, { push: false, quiet: true });
const holds = () => document.getElementById("sheet").hasAttribute("data-holds"); // someone is writing here
for (const kind of ["drawn", "judged", "made", "trouble", "working"]) {
  events.addEventListener(kind, (event) => {
    const news = JSON.parse(event.data);
    document.dispatchEvent(new CustomEvent(`falsework:${kind}`, { detail: news }));
    if (kind === "working") return; // progress: the sheet that shows it listens itself
    if (kind === "made" && news.sheet !== location.pathname) return;
    if (kind === "trouble") say("The file has faults; shown is what was read before.");
    if (kind === "drawn") say("The file was read again.");
    if (!holds()) again();
  });
}
events.addEventListener("error", () => document.documentElement.toggleAttribute("data-away", true));
events.addEventListener("open", () => document.documentElement.toggleAttribute("data-away", false));
