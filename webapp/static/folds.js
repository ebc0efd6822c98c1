// Folds stay as each person left them; a section fetches its rows as it opens; a link to what lies in a fold opens it.
"use strict";

(function () {
  const signedIn = document.querySelector(".sign-out a");
  const kept = `folds of ${signedIn ? signedIn.textContent.trim() : ""}`;
  const remembered = () => {
    try { return JSON.parse(window.localStorage.getItem(kept)) || {}; } catch { return {}; }
  };
  const remember = (name, open) => {
    try { window.localStorage.setItem(kept, JSON.stringify({ ...remembered(), [name]: open })); } catch { /* no room for it */ }
  };

  // What a section sends along says whether its rows are wanted: with the next key, or at once where it was opened.
  const wantRows = (fold) => {
    const wanted = fold.querySelector(":scope > input[name^='open.']");
    if (!fold.open) { if (wanted) { wanted.remove(); } return; }
    if (wanted) { return; }
    const want = document.createElement("input");
    Object.assign(want, { type: "hidden", name: `open.${fold.dataset.section}`, value: "yes" });
    fold.append(want);
    fold.closest("form").dispatchEvent(new Event("section-opened"));
  };
  document.addEventListener("toggle", (event) => {
    const fold = event.target;
    if (!fold.matches("details[data-fold]")) { return; }
    remember(fold.dataset.fold, fold.open);
    if (fold.dataset.section) { wantRows(fold); }
  }, true);
  document.addEventListener("DOMContentLoaded", () => {
    const left = remembered();
    document.querySelectorAll("details[data-fold]").forEach((fold) => {
      if (fold.dataset.fold in left) { fold.open = left[fold.dataset.fold]; }
    });
    reach(window.location.hash.slice(1));
  });

  // Rows that a link leads to may come only once their section is open.
  const SECTIONS = { material: "materials", step: "hours" };
  let awaited = "";
  const reach = (id) => {
    if (!id || !document.querySelector(".folds")) { return false; }
    const place = document.getElementById(id);
    if (!place) {
      const section = document.querySelector(`details[data-section="${SECTIONS[id.split("-")[0]]}"]`);
      awaited = section && !section.open ? id : "";
      if (section) { section.open = true; section.scrollIntoView({ block: "nearest" }); }
      return Boolean(section);
    }
    for (let fold = place.closest("details"); fold; fold = fold.parentElement.closest("details")) { fold.open = true; }
    const fields = "input:not([type=hidden]), select, textarea";
    const field = place.matches(fields) ? place : Array.from(place.querySelectorAll(fields)).find((one) => one.checkVisibility());
    const heading = place.closest("summary") || place.querySelector(":scope > summary");
    const shown = field && !place.matches(".section") ? field : heading;
    if (shown) { shown.focus({ preventScroll: true }); }
    place.scrollIntoView({ block: place === field ? "center" : "start" });
    return true;
  };
  document.addEventListener("click", (event) => {
    const link = event.target.closest(".folds a[href^='#']");
    document.querySelectorAll("details.menu[open]").forEach((menu) => { if (!menu.contains(event.target) || link) { menu.open = false; } });
    if (link && reach(link.getAttribute("href").slice(1))) { event.preventDefault(); }
  });
  document.addEventListener("htmx:afterSettle", () => {
    if (awaited && document.getElementById(awaited)) { const id = awaited; awaited = ""; reach(id); }
  });
  document.addEventListener("keydown", (event) => {
    const menu = event.key === "Escape" && event.target.closest("details.menu[open]");
    if (menu) { menu.open = false; menu.querySelector("summary").focus(); }
  });
})();
