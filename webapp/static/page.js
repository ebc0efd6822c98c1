// Only betterment: every page works without this file.
"use strict";

(function () {
  const csrf = document.querySelector('meta[name="csrf-token"]');
  const said = document.getElementById("said");
  const latest = new Map();
  let before = new Map();

  const say = (sentence) => { if (said) { said.textContent = sentence; } };
  const figures = (root) => new Map(Array.from(root.querySelectorAll("[data-figure]"), (one) => [one.id, one.textContent]));

  document.addEventListener("htmx:configRequest", (event) => {
    if (csrf) { event.detail.headers["X-CSRF-Token"] = csrf.content; }
  });

  // Replies may overtake one another: only the newest asked for a place may fill it.
  document.addEventListener("htmx:beforeSend", (event) => { latest.set(event.detail.target.id, event.detail.xhr); });
  document.addEventListener("htmx:beforeSwap", (event) => {
    const id = event.detail.target.id;
    if (latest.has(id) && latest.get(id) !== event.detail.xhr) { event.detail.shouldSwap = false; return; }
    if (event.detail.shouldSwap) { say(""); before = figures(document); }
  });

  // On a narrow screen the margin folds under its line: a working opens beneath the figure that asked for it.
  const fold = (asker) => {
    const working = document.getElementById("working");
    const margin = document.getElementById("margin");
    if (!working || !margin) { return; }
    const row = asker && document.contains(asker) ? asker.closest("tr") : null;
    if (asker && (asker === working || working.contains(asker))) { return; }
    document.querySelectorAll("tr.opened-row").forEach((one) => { if (!one.contains(working)) { one.remove(); } });
    if (!window.matchMedia("(max-width: 63.99rem)").matches) { return; }
    const earlier = working.closest("tr.opened-row");
    if (row && row.closest("table").closest("#sheet")) {
      const opened = document.createElement("tr");
      opened.className = "opened-row";
      const cell = opened.insertCell();
      cell.colSpan = row.cells.length;
      cell.className = "opened";
      cell.append(working);
      row.after(opened);
    } else {
      const place = asker && asker.closest("dl, p, .price-line, .noted, .field, .note");
      if (place) { place.after(working); }
    }
    if (earlier) { earlier.remove(); }
  };
  document.addEventListener("htmx:afterSwap", (event) => {
    if (event.detail.target.id === "working") { fold(event.detail.requestConfig.elt); }
    if (!document.getElementById("working")) {
      const place = document.querySelector(".margin-stays") || document.getElementById("margin");
      const working = document.createElement("section");
      working.id = "working";
      working.className = "working";
      place.append(working);
    }
  });

  document.addEventListener("htmx:afterSettle", () => {
    figures(document).forEach((text, id) => {
      const one = document.getElementById(id);
      if (one && before.has(id) && before.get(id) !== text) {
        one.classList.add("changed");
        window.setTimeout(() => one.classList.remove("changed"), 1600);
      }
    });
    before = figures(document);
  });

  document.addEventListener("htmx:responseError", (event) => {
    const status = event.detail.xhr.status;
    if (status === 401) { window.location.reload(); }
    if (status >= 500) { say("The shop's computer could not finish this. What you typed is still here; try once more."); }
  });
  document.addEventListener("htmx:sendError", () => say("No answer from the shop's computer. What you typed is still here."));

  // A link inside a drawing is no HTML anchor, so the request made for it does not hold back the jump.
  document.addEventListener("click", (event) => {
    const stretch = event.target.closest("svg a[hx-get]");
    if (stretch && window.htmx && !event.ctrlKey && !event.metaKey && !event.shiftKey) { event.preventDefault(); }
  });

  document.addEventListener("keydown", (event) => {
    const field = event.target;
    const form = field.form;
    if (event.key !== "Enter" || event.ctrlKey || event.isComposing || !form || !form.hasAttribute("data-enter-moves-on")) { return; }
    if (!field.matches("input, select") || field.type === "submit") { return; }
    const stops = Array.from(form.elements).filter((one) =>
      one.matches("input:not([type=hidden]), select, textarea, button") && !one.disabled && one.offsetParent !== null);
    const next = stops[stops.indexOf(field) + 1];
    if (!next) { return; }
    event.preventDefault();
    next.focus();
    if (next.select) { next.select(); }
  });
})();
