// Nothing typed is lost: what is typed in a long form is kept as it is typed, in this browser until the shop's computer
// has it. Only betterment: without this file a form is kept once it is sent.
"use strict";

(function () {
  const person = document.querySelector('meta[name="person"]');
  if (!person) { return; }
  const csrf = document.querySelector('meta[name="csrf-token"]').content;
  const prefix = `draft:${person.content}:`;
  const LONGEST = 60 * 24 * 3600 * 1000;
  // Signing out waits so long for a busy computer to have it; without it, it stays in this browser for whoever typed it.
  const PAUSE = 700, LATEST = 3000, AGAIN = 5000, BEFORE_LEAVING = 15000;

  // ---- what a form holds ------------------------------------------------------------------------------------------

  const controls = "input:not([type=submit], [type=button], [type=file], [type=password]), select, textarea";
  // What belongs to the page that was shown, not to what is typed in it.
  const ofThePage = (name) => /^(csrf_token|form_key|told|drawn|draft|draft\..*|removed\..*)$/.test(name);
  const chosenFirst = (list) => Math.max(0, Array.from(list.options).findIndex((one) => one.defaultSelected));
  const textOf = (one, asServed) => {
    if (one.matches("select")) {
      const answer = one.options[asServed ? chosenFirst(one) : one.selectedIndex];
      return answer ? answer.value : null;
    }
    if (one.matches("[type=checkbox], [type=radio]")) {
      return (asServed ? one.defaultChecked : one.checked) ? one.value : null;
    }
    return asServed ? one.defaultValue : one.value;
  };
  const typedIn = (form) => Array.from(form.elements).filter((one) => one.name && one.matches(controls) && !ofThePage(one.name));
  const fieldsOf = (form, asServed = false) =>
    typedIn(form).map((one) => [one.name, textOf(one, asServed)]).filter(([, text]) => text !== null);
  const wordsOf = (one) => {
    const words = one.getAttribute("aria-label") || (one.labels && one.labels[0] ? one.labels[0].textContent : one.name);
    return words.trim().replace(/\s+/g, " ").slice(0, 120);
  };
  const shownIn = (one, text) => {
    if (text === null) { return "no"; }
    if (one.matches("[type=checkbox], [type=radio]")) { return "yes"; }
    const answer = one.matches("select") ? Array.from(one.options).find((each) => each.value === text) : null;
    return (answer ? answer.textContent.trim() : text).slice(0, 120);
  };
  // In words, what was typed otherwise than the page was served with.
  const typedOtherwise = (form) => typedIn(form)
    .filter((one) => one.type !== "hidden" && textOf(one, false) !== textOf(one, true))
    .slice(0, 40).map((one) => [wordsOf(one), shownIn(one, textOf(one, true)), shownIn(one, textOf(one, false))]);

  const keptForm = () => document.querySelector("form[data-kept]");
  const told = (form, name) => { const one = form.elements[name]; return one ? one.value : ""; };
  const idOf = (mark) => mark.split(".")[0];

  // ---- what this browser holds, until the shop's computer has it --------------------------------------------------

  const beside = new Map();
  const held = {
    read(key) { try { return localStorage.getItem(key) ?? beside.get(key) ?? null; } catch { return beside.get(key) ?? null; } },
    write(key, text) { try { localStorage.setItem(key, text); beside.delete(key); } catch { beside.set(key, text); } },
    drop(key) { beside.delete(key); try { localStorage.removeItem(key); } catch { /* there is none */ } },
    keys() {
      let stored = [];
      try { stored = Object.keys(localStorage); } catch { /* there is none */ }
      return [...new Set([...stored, ...beside.keys()])].filter((key) => key.startsWith(prefix));
    },
  };

  const entryOf = (form) => ({
    mark: told(form, "draft"), place: form.dataset.kept, words: told(form, "draft.words"), asks: told(form, "draft.asks"),
    from: told(form, "draft.from"), fields: fieldsOf(form), otherwise: form.hasAttribute("data-unsaved") ? [] : typedOtherwise(form),
    at: Date.now(), sent: false,
  });

  // ---- what is said of it -----------------------------------------------------------------------------------------

  const NOT_SAVED = "not saved";
  const HERE = "not saved; kept here until the shop’s computer answers";
  const SIGNED_OUT = "not saved; you are signed out, and it is kept in this browser for you";
  const TOO_LARGE = "not saved; too long for a draft, so that it is kept in this browser only";
  // When it was saved; a sheet that was put in place anew in between doesn't know.
  let saved = "";
  const say = (sentence) => {
    let place = document.getElementById("kept-state");
    const form = keptForm();
    if (!place && form && sentence) {
      place = document.createElement("span");
      place.id = "kept-state";
      place.className = "kept-state";
      place.setAttribute("role", "status");
      place.dataset.saved = "";
      const acts = Array.from(form.querySelectorAll(".acts")).filter((one) => one.querySelector("button")).pop();
      (acts || form).append(place);
    }
    if (!place) { return; }
    saved = place.dataset.saved || saved;
    const words = sentence || saved;
    if (place.textContent !== words) { place.textContent = words; }
    place.classList.toggle("unsaved", Boolean(sentence));
  };

  // ---- to the shop's computer -------------------------------------------------------------------------------------

  const bodyOf = (entry) => {
    const body = new URLSearchParams(entry.fields);
    const beyond = { "draft": entry.mark, "draft.place": entry.place, "draft.words": entry.words, "draft.asks": entry.asks,
      "draft.from": entry.from, "draft.typed": JSON.stringify(entry.otherwise), "draft.age": String(Math.max(0, Math.round((Date.now() - entry.at) / 1000))) };
    Object.entries(beyond).forEach(([name, text]) => body.append(name, text));
    return body;
  };
  const send = (address, body, keepalive = false) => fetch(address, {
    method: "POST", body, keepalive, redirect: "manual", headers: { "HX-Request": "true", "X-CSRF-Token": csrf },
  });
  // "kept" where the shop's computer has it now, "saved" where it was saved before, and "" where it is held here still.
  const bring = async (key, keepalive = false) => {
    const text = held.read(key);
    if (text === null) { return "kept"; }
    const entry = JSON.parse(text);
    const form = keptForm();
    const isOpen = form && told(form, "draft") === entry.mark;
    let answer;
    try { answer = await send("/drafts", bodyOf(entry), keepalive); } catch { answer = null; }
    if (answer && (answer.status === 204 || (answer.status === 409 && entry.sent))) {
      if (held.read(key) === text) { held.drop(key); }
      if (isOpen && !entry.sent) { say(NOT_SAVED); }
      return answer.status === 204 ? "kept" : "saved";
    }
    const next = answer && answer.status === 409 ? answer.headers.get("X-Next-Mark") : null;
    if (next) {
      // It was saved, or thrown away, and typed in once more after that: a draft of its own.
      const now = held.read(key);
      held.drop(key);
      if (now === null) { return "saved"; }
      const further = { ...JSON.parse(now), mark: next };
      if (isOpen && form.isConnected) { form.elements.draft.value = next; }
      held.write(prefix + idOf(next), JSON.stringify(further));
      return bring(prefix + idOf(next), keepalive);
    }
    if (isOpen) { say(answer && answer.status === 413 ? TOO_LARGE : answer && answer.status < 500 ? SIGNED_OUT : HERE); }
    return "";
  };

  let first = 0, waits = 0;
  const keyOf = (form) => prefix + idOf(told(form, "draft"));
  const bringSoon = (form) => {
    const now = Date.now();
    first = first || now;
    window.clearTimeout(waits);
    waits = window.setTimeout(() => { bringNow(form); }, Math.min(PAUSE, Math.max(0, first + LATEST - now)));
  };
  const bringNow = async (form, keepalive = false) => {
    window.clearTimeout(waits);
    first = 0;
    const key = keyOf(form);
    if (!await bring(key, keepalive) && held.read(key) !== null) {
      window.clearTimeout(waits);
      waits = window.setTimeout(() => { if (form.isConnected) { bringNow(form); } }, AGAIN);
    }
  };

  // ---- as one types -----------------------------------------------------------------------------------------------

  let stood = null, seen = "";
  const noteStood = (form) => {
    seen = told(form, "draft");
    stood = form.hasAttribute("data-unsaved") ? null : JSON.stringify(fieldsOf(form, true));
    // What the browser itself would put back has no one to say how old it is; what is kept is offered instead.
    form.setAttribute("autocomplete", "off");
    say(stood === null ? NOT_SAVED : "");
  };
  const noteTyped = (form) => {
    const key = keyOf(form);
    if (JSON.stringify(fieldsOf(form)) === stood) {
      window.clearTimeout(waits);
      held.drop(key);
      send("/drafts/throw-away", new URLSearchParams({ thrown: idOf(told(form, "draft")) })).catch(() => { /* it is offered once more */ });
      say("");
      return;
    }
    held.write(key, JSON.stringify(entryOf(form)));
    const place = document.getElementById("kept-state");
    if (!place || !place.textContent.startsWith(NOT_SAVED)) { say(NOT_SAVED); }
    bringSoon(form);
  };
  const formOf = (target) => { const form = target.form || target; return form.matches && form.matches("form[data-kept]") ? form : null; };
  // Heard before anything else, as some fields keep their keys from the sums.
  ["input", "change"].forEach((name) => document.addEventListener(name, (event) => {
    const form = formOf(event.target);
    // What only leads to another form is no more than a link.
    if (form && !event.target.matches("[hx-get]")) { noteTyped(form); }
  }, true));
  document.addEventListener("htmx:afterSwap", (event) => {
    const form = keptForm();
    if (!form) { return; }
    // Another form came in its place; or an entry was added or taken out, which is typed as much as a key is.
    if (told(form, "draft") !== seen) { noteStood(form); } else if (event.detail.target.id === form.id) { noteTyped(form); }
  });
  document.addEventListener("submit", (event) => {
    const form = formOf(event.target);
    const text = form ? held.read(keyOf(form)) : null;
    if (text !== null) { held.write(keyOf(form), JSON.stringify({ ...JSON.parse(text), sent: true })); }
  });
  const leave = () => {
    const form = keptForm();
    const text = form ? held.read(keyOf(form)) : null;
    // What is on its way to be saved is brought where that came to nothing.
    if (text !== null && !JSON.parse(text).sent) { bring(keyOf(form), true); }
  };
  window.addEventListener("pagehide", leave);
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "hidden") { leave(); } });

  // ---- on return --------------------------------------------------------------------------------------------------

  const offerAnew = async () => {
    const place = document.getElementById("typed-before");
    if (!place) { return; }
    try {
      const answer = await fetch(window.location.href);
      const found = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("typed-before");
      if (answer.ok && found) { place.replaceChildren(...found.childNodes); }
    } catch { /* they are offered the next time */ }
  };
  const bringAll = async () => {
    const form = keptForm();
    let anew = false;
    for (const key of held.keys()) {
      const entry = JSON.parse(held.read(key) || "null");
      if (!entry || Date.now() - entry.at > LONGEST) { held.drop(key); continue; }
      const isHere = form && entry.place === form.dataset.kept && entry.mark !== told(form, "draft");
      anew = await bring(key) === "kept" && isHere || anew;
    }
    if (anew) { await offerAnew(); }
  };
  window.addEventListener("online", bringAll);
  window.addEventListener("pageshow", (event) => { if (event.persisted) { bringAll(); } });

  // Whoever signs out leaves nothing in this browser that the shop's computer has.
  document.addEventListener("submit", async (event) => {
    if (!event.target.matches("form.sign-out")) { return; }
    event.preventDefault();
    await Promise.race([bringAll(), new Promise((done) => { window.setTimeout(done, BEFORE_LEAVING); })]);
    try { sessionStorage.clear(); } catch { /* there is none */ }
    event.target.submit();
  });

  window.typedForm = { find: keptForm, controls: typedIn, fields: fieldsOf };

  const form = keptForm();
  if (form) {
    noteStood(form);
    // The draft in hand is named by the form now: once it is typed in, its address would show an older one.
    const address = new URL(window.location.href);
    if (address.searchParams.has("draft")) {
      address.searchParams.delete("draft");
      window.history.replaceState(window.history.state, "", address);
    }
  }
  document.addEventListener("DOMContentLoaded", bringAll);
})();
