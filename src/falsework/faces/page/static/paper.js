// Light or dark paper: the owner's word if there is one, else what the browser wishes. Runs before the first paint.
(() => {
  const root = document.documentElement;
  const wish = matchMedia("(prefers-color-scheme: dark)");
  const kept = () => { try { return localStorage.getItem("falsework-paper"); } catch { return null; } };
  const night = () => root.dataset.paper ? root.dataset.paper === "night" : wish.matches;
  if (kept() === "day" || kept() === "night") root.dataset.paper = kept();
  addEventListener("DOMContentLoaded", () => {
    const button = document.getElementById("paper");
    if (!button) return;
    const say = () => { button.textContent = night() ? "Light paper" : "Dark paper"; };
    button.hidden = false;
    say();
    wish.addEventListener("change", say);
    button.addEventListener("click", () => {
      root.dataset.paper = night() ? "day" : "night";
      try { localStorage.setItem("falsework-paper", root.dataset.paper); } catch { /* not kept, then */ }
      say();
    });
  });
})();
