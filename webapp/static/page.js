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
    // A working belongs to the figures in sight, so the job goes along as it is typed, saved or not.
    const sheet = document.getElementById("job-sheet");
    if (sheet && event.detail.verb === "get" && event.detail.path.startsWith(`${sheet.getAttribute("action")}/working/`)) {
      event.detail.verb = "post";
      event.detail.useUrlParams = false;
      event.detail.parameters = new FormData(sheet);
      event.detail.headers["Content-Type"] = "application/x-www-form-urlencoded";
    }
  });

  // Replies may overtake one another: only the newest asked for a place may fill it.
  document.addEventListener("htmx:beforeSend", (event) => { latest.set(event.detail.target.id, event.detail.xhr); });
  document.addEventListener("htmx:beforeSwap", (event) => {
    const id = event.detail.target.id;
    if (latest.has(id) && latest.get(id) !== event.detail.xhr) { event.detail.shouldSwap = false; return; }
    if (event.detail.shouldSwap) { say(""); before = figures(document); keepTyped(event.detail.target); }
  });

  // What is put in place anew may hold fields. Tables follow every key: what is typed by now is newer than what they were
  // sent for. A whole sheet comes back after an entry was added or taken out: what was typed since stays.
  const typedFields = "input:not([type=hidden], [type=checkbox]), select, textarea";
  const typed = (place) => new Map(Array.from(place.querySelectorAll(typedFields), (one) => [one.id, one.value]));
  let sent = new Map(), kept = new Map(), folded = new Map(), wholeSheet = false;
  document.addEventListener("htmx:beforeSend", (event) => {
    if (event.detail.target.id === "job-sheet") { sent = typed(event.detail.target); }
  });
  const keepTyped = (place) => {
    const whole = wholeSheet = place.id === "job-sheet";
    const places = whole || !place.hasAttribute("data-keep-typed") ? [place] : Array.from(document.querySelectorAll("[data-keep-typed]"));
    kept = new Map(whole || place.hasAttribute("data-keep-typed") ? places.flatMap((one) => [...typed(one)]) : []);
    if (whole) { kept.forEach((text, id) => { if (sent.get(id) === text) { kept.delete(id); } }); }
    folded = new Map(places.flatMap((one) => Array.from(one.querySelectorAll("details[id]"), (fold) => [fold.id, fold.open])));
  };
  // The sums follow the first key after a rest at once, which ends the pause that is waited for after each key. Of keys
  // that come while it is answered, or quickly, the last is asked for after its pause.
  const REST = 400;
  let keyed = -Infinity;
  document.addEventListener("input", (event) => {
    const form = event.target.closest("form");
    const follows = form && form.querySelector("[data-follows-keys]");
    const rested = performance.now() - keyed > REST;
    keyed = performance.now();
    if (follows && rested && !follows.classList.contains("htmx-request")) { window.htmx.trigger(follows, "first-key"); }
  });
  // While a button of the sheet is being answered, the sums wait; they follow the keys again after that.
  let waiting = false;
  document.addEventListener("htmx:confirm", (event) => {
    if (event.detail.elt.matches("[data-follows-keys]") && document.querySelector("#job-sheet button.htmx-request")) {
      event.preventDefault();
      waiting = true;
    }
  });
  document.addEventListener("htmx:afterSettle", () => {
    const sheet = document.getElementById("job-sheet");
    if (waiting && sheet && !sheet.querySelector("button.htmx-request")) {
      waiting = false;
      sheet.dispatchEvent(new Event("input", { bubbles: true }));
    }
  });
  document.addEventListener("htmx:afterSwap", (event) => {
    // What was typed as the sheet was replaced had no time to reach the sums: the place that follows the keys is gone.
    if (event.detail.target.id === "job-sheet" && kept.size) { waiting = true; }
    kept.forEach((text, id) => { const one = document.getElementById(id); if (one) { one.value = text; } });
    folded.forEach((open, id) => { const one = document.getElementById(id); if (one && one.matches("details")) { one.open = open || (wholeSheet && one.open); } });
    // What came before holds its own field to go on at no longer: it would open its fold anew with every key.
    const came = document.getElementById(event.detail.target.id);
    const next = came && came.querySelector("[autofocus]");
    for (let fold = next && next.closest("details"); fold; fold = fold.parentElement.closest("details")) { fold.open = true; }
    kept = new Map();
    folded = new Map();
  });

  // Fields that wait for a button of their own are no reason to work the job out anew.
  document.addEventListener("input", (event) => {
    if (event.target.matches("[data-still]")) { event.stopPropagation(); }
  }, true);

  // A sentence that came or went beside a field is said with the field.
  document.addEventListener("htmx:afterSettle", () => {
    document.querySelectorAll(".field-beside[id]").forEach((beside) => {
      const one = document.getElementById(beside.id.replace(/-beside$/, ""));
      if (!one) { return; }
      const said = Array.from(beside.querySelectorAll("p[id]"), (sentence) => sentence.id).join(" ");
      if (said) { one.setAttribute("aria-describedby", said); } else { one.removeAttribute("aria-describedby"); }
      if (beside.querySelector(".problem")) { one.setAttribute("aria-invalid", "true"); } else { one.removeAttribute("aria-invalid"); }
    });
  });

  // Prices in doubt are typed one after another: once one is kept, the field of the next row is ready.
  document.addEventListener("htmx:afterSettle", (event) => {
    const row = document.getElementById(event.detail.target.id);
    const table = row && row.querySelector(".kept") ? row.closest("#doubts") : null;
    if (!table) { return; }
    const rows = Array.from(table.querySelectorAll("tr[id]"));
    const next = rows.slice(rows.indexOf(row) + 1).find((one) => !one.querySelector(".kept"));
    const amount = next && next.querySelector("input[name=amount]");
    if (amount) { amount.focus(); amount.scrollIntoView({ block: "center" }); }
  });

  // A working opens beneath the row that asked for it where there is no margin beside the row, as on a narrow screen and on
  // a job's sheet; else in its own place.
  const home = () => document.querySelector("#working-here, .margin-stays") || document.getElementById("margin");
  const fold = (asker) => {
    const working = document.getElementById("working");
    if (!working || !home()) { return; }
    if (asker && (asker === working || working.contains(asker))) { return; }
    const row = asker && document.contains(asker) ? asker.closest("tr") : null;
    document.querySelectorAll("tr.opened-row").forEach((one) => { if (!one.contains(working)) { one.remove(); } });
    const ownPlace = document.getElementById("working-here");
    if (!ownPlace && !window.matchMedia("(max-width: 63.99rem)").matches) { return; }
    const earlier = working.closest("tr.opened-row");
    if (row && row.closest("table").closest("#sheet")) {
      const opened = document.createElement("tr");
      opened.className = "opened-row";
      const cell = opened.insertCell();
      cell.colSpan = row.cells.length;
      cell.className = "opened";
      cell.append(working);
      row.after(opened);
    } else if (ownPlace) {
      ownPlace.append(working);
    } else {
      const place = asker && asker.closest("dl, p, .price-line, .noted, .field, .note");
      if (place) { place.after(working); }
    }
    working.scrollIntoView({ block: "nearest" });
    if (earlier) { earlier.remove(); }
  };
  document.addEventListener("htmx:afterSwap", (event) => {
    if (event.detail.target.id === "working") { fold(event.detail.requestConfig.elt); }
    if (!document.getElementById("working") && home()) {
      const working = document.createElement("section");
      working.id = "working";
      working.className = "working";
      home().append(working);
    }
  });

  // Once a price is kept its field is gone: the next one that wants a price is ready, and the eye stays where it was.
  let keptAt = -1;
  const openPrices = () => Array.from(document.querySelectorAll(".open-prices .typed-price > input:not([type=hidden])"));
  document.addEventListener("htmx:beforeSend", (event) => {
    const row = event.detail.elt.closest(".open-prices .typed-price");
    keptAt = row ? openPrices().indexOf(row.querySelector("input")) : keptAt;
  });
  document.addEventListener("htmx:afterSettle", (event) => {
    if (keptAt < 0 || event.detail.target.id !== "result") { return; }
    const fields = openPrices().filter((one) => one.checkVisibility());
    const next = fields[keptAt] || fields[keptAt - 1];
    if (next && document.activeElement === document.body) { next.focus({ preventScroll: true }); }
    keptAt = -1;
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

  // Better cut plans came: the sums are worked out anew, and once they stand it is said.
  let gained = "";
  document.addEventListener("better-plans", (event) => { gained = event.detail.said; });
  document.addEventListener("htmx:afterSettle", (event) => {
    if (gained && event.detail.target.id === "result") { say(gained); gained = ""; }
  });

  document.addEventListener("htmx:responseError", (event) => {
    const status = event.detail.xhr.status;
    if (status === 401) { window.location.reload(); }
    if (status >= 500) { say("The shop's computer could not finish this. What you typed is still here; try once more."); }
  });
  document.addEventListener("htmx:sendError", () => say("No answer from the shop's computer. What you typed is still here."));

  // The job sheet has hundreds of figures that are put in place anew with every key: they are plain links, opened here.
  // So are those of a design being made, of which all is kept: nothing goes along.
  const openWorking = (figure) => {
    // The sheet's own requests put one another off; a working and the sums don't. Of workings the last asked for counts.
    figure.setAttribute("hx-sync", "#working:replace");
    const asked = { source: figure, target: "#working", swap: "outerHTML" };
    window.htmx.ajax(figure.closest("#job-sheet") ? "POST" : "GET", figure.getAttribute("href"), asked).catch(() => { /* put off, or said by what hears of it */ });
  };
  document.addEventListener("click", (event) => {
    const figure = event.target.closest(":is(#job-sheet, #maker) :is(.figure a:not([hx-get]), a.stretch)");
    if (!figure || !window.htmx || event.ctrlKey || event.metaKey || event.shiftKey) { return; }
    event.preventDefault();
    openWorking(figure);
  });
  // What a job may come to is drawn many times over: it waits until the keys rest, so that no key waits for it.
  document.addEventListener("htmx:beforeRequest", (event) => {
    const range = event.target;
    const wait = 700 - (performance.now() - keyed);
    if (range.id !== "range" || wait <= 0) { return; }
    event.preventDefault();
    window.setTimeout(() => { if (range.isConnected) { window.htmx.trigger(range, "again"); } }, wait);
  });

  // A stretch of the price line opens as one rests on it, by pointer or by key.
  ["mouseover", "focusin"].forEach((name) => {
    let resting = 0;
    document.addEventListener(name, (event) => {
      const stretch = event.target.closest("#job-sheet a.stretch");
      window.clearTimeout(resting);
      if (stretch && window.htmx) { resting = window.setTimeout(() => openWorking(stretch), 200); }
    });
  });

  document.addEventListener("keydown", (event) => {
    const field = event.target;
    const form = field.form;
    const row = event.key === "Enter" && field.matches("input") ? field.closest("[data-enter-clicks]") : null;
    if (row && !event.isComposing) { event.preventDefault(); row.querySelector("button").click(); return; }
    if (event.key !== "Enter" || event.ctrlKey || event.isComposing || !form || !form.hasAttribute("data-enter-moves-on")) { return; }
    if (!field.matches("input, select") || field.type === "submit") { return; }
    const wanted = `input:not([type=hidden], [type=checkbox][data-still]), select, textarea${form.dataset.enterMovesOn === "fields" ? "" : ", button"}`;
    const stops = Array.from(form.elements).filter((one) => one.matches(wanted) && !one.disabled && one.checkVisibility());
    const next = stops[stops.indexOf(field) + 1];
    if (next || form.dataset.enterMovesOn === "fields") { event.preventDefault(); }
    if (!next) { return; }
    next.focus();
    if (next.select) { next.select(); }
  });

  // Enter takes the first of what a search found, once it has found what was typed.
  const first = (field) => {
    const found = document.querySelector(field.dataset.enterFollows);
    if (!found || found.dataset.words !== field.value.trim().replace(/\s+/g, " ")) { return false; }
    const link = found.querySelector("a");
    if (link) { link.click(); }
    return true;
  };
  let wantsFirst = null;
  document.addEventListener("keydown", (event) => {
    const field = event.key === "Enter" && !event.isComposing ? event.target.closest("[data-enter-follows]") : null;
    wantsFirst = null;
    if (!field || !window.htmx) { return; }
    event.preventDefault();
    if (!first(field)) { wantsFirst = field; }
  });
  document.addEventListener("htmx:afterSettle", () => { if (wantsFirst && first(wantsFirst)) { wantsFirst = null; } });

  // What stands in a field of the telephone page is there to be typed over: coming to it selects it, so that a new size
  // never runs into the old one. A press of the mouse sets the caret after the focus, so its click selects once more.
  let justCome = null;
  const comeTo = (field) => { field.select(); justCome = field; };
  document.addEventListener("focusin", (event) => {
    justCome = null;
    if (event.target.matches("input[data-select]")) { comeTo(event.target); }
  });
  document.addEventListener("click", (event) => {
    if (event.target === justCome) { justCome.select(); }
    justCome = null;
  });
  document.addEventListener("input", () => { justCome = null; });
  document.addEventListener("DOMContentLoaded", () => {
    const first = document.activeElement;
    if (first && first.matches("input[data-select]") && first.value === first.defaultValue) { comeTo(first); }
  });

  // On a slow line a person types and chooses before this file is here. Those events are over: they are told again, once
  // htmx, whose own listener was put down before this one, is ready to hear them.
  const chosenFirst = (list) => Math.max(0, Array.from(list.options).findIndex((one) => one.defaultSelected));
  const wasTouched = (one) => {
    if (one.matches("select")) { return one.selectedIndex !== chosenFirst(one); }
    return one.matches("[type=checkbox], [type=radio]") ? one.checked !== one.defaultChecked : one.value !== one.defaultValue;
  };
  document.addEventListener("DOMContentLoaded", () => {
    Array.from(document.querySelectorAll(`${typedFields}, input[type=checkbox]`)).filter(wasTouched).forEach((one) => {
      ["input", "change"].forEach((name) => one.dispatchEvent(new Event(name, { bubbles: true })));
    });
  });

  // From a sentence to the line of the text that it is about.
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-line]");
    const text = link && document.querySelector(link.getAttribute("href"));
    if (!text || !text.setSelectionRange) { return; }
    event.preventDefault();
    const lines = text.value.split("\n");
    const at = Number(link.dataset.line) - 1;
    const start = lines.slice(0, at).reduce((sum, one) => sum + one.length + 1, 0);
    text.focus();
    text.setSelectionRange(start, start);
    // Focus brings the place that is written at in sight, in a text that is as tall as its page too.
    text.blur();
    text.focus();
    text.setSelectionRange(start, start + lines[at].length);
  });
})();
