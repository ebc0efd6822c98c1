// What is entered at a list waits here, for the person who entered it, until the shop's computer has it: each entry is
// sent once, in order, under its own id. Only betterment: without this file every line is a plain form.
"use strict";

const Outbox = (function () {
  const told = document.querySelector('meta[name="person"]');
  if (!told) { return null; }
  const person = told.content;
  const prefix = `outbox:${person}:`;
  const CACHES = ["lists-pages", "lists-files"];
  const AGAIN = 20000;
  let token = document.querySelector('meta[name="csrf-token"]').content;

  // ---- what this browser holds ------------------------------------------------------------------------------------

  const beside = new Map();
  let full = false;
  const held = {
    read(key) { try { return localStorage.getItem(key) ?? beside.get(key) ?? null; } catch { return beside.get(key) ?? null; } },
    write(key, text) { try { localStorage.setItem(key, text); beside.delete(key); full = false; } catch { beside.set(key, text); full = true; } },
    drop(key) { beside.delete(key); try { localStorage.removeItem(key); } catch { /* there is none */ } },
    keys() {
      let stored = [];
      try { stored = Object.keys(localStorage); } catch { /* there is none */ }
      return [...new Set([...stored, ...beside.keys()])].filter((key) => key.startsWith(prefix)).sort();
    },
  };
  // The keys are in the order in which the entries were made, list by list.
  const keyOf = (entry) => `${prefix}${entry.list.padStart(10, "0")}:${String(entry.counter).padStart(12, "0")}:${entry.id}`;
  const put = (entry) => held.write(keyOf(entry), JSON.stringify(entry));
  const all = () => held.keys().map((key) => held.read(key)).filter((text) => text !== null).map((text) => JSON.parse(text));
  const drop = (entry) => held.drop(keyOf(entry));
  const waiting = () => all().filter((entry) => !entry.sent);
  const say = (state) => document.dispatchEvent(new CustomEvent("outbox", { detail: state }));

  // ---- to the shop's computer -------------------------------------------------------------------------------------

  const post = (entry) => fetch(`/lists/${entry.list}`, {
    method: "POST", body: new URLSearchParams(entry.fields), redirect: "manual",
    headers: { "HX-Request": "true", "X-CSRF-Token": token },
  });
  // A page that is open for long, or was kept, has the token of a sign-in that has ended.
  const renewed = async (list) => {
    const answer = await fetch(`/lists/${list}?fresh`, { redirect: "manual" });
    if (!answer.ok) { return false; }
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const theirs = page.querySelector('meta[name="person"]'), fresh = page.querySelector('meta[name="csrf-token"]');
    // Somebody else may have signed in meanwhile: what waits is not theirs.
    if (!theirs || theirs.content !== person || fresh.content === token) { return false; }
    token = fresh.content;
    return true;
  };
  const send = async (entry) => {
    let answer;
    try {
      answer = await post(entry);
      if (answer.status === 403 && await renewed(entry.list)) { answer = await post(entry); }
    } catch { return "away"; }
    if (answer.status === 200) { put({ ...entry, sent: true, problems: null }); return "sent"; }
    if (answer.status === 422 || answer.status === 404) {
      const said = answer.status === 422 ? (await answer.json()).problems : { line: "This list is not kept any more." };
      put({ ...entry, problems: said });
      return "refused";
    }
    return answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403 ? "signed out" : "away";
  };
  const toSend = () => waiting().find((one) => !one.problems);
  let running = null;
  const replay = () => {
    running = running || (async () => {
      let state = "sent", sent = 0;
      // What is entered meanwhile is sent as well.
      for (let next = toSend(); next; next = toSend()) {
        state = await send(next);
        if (state === "away" || state === "signed out") { break; }
        sent += state === "sent";
      }
      running = null;
      say({ state, sent });
      return state;
    })();
    return running;
  };

  // What is kept of pages is one person's: whoever comes after them in this browser sees nothing of it.
  const WHOSE = "lists:person";
  const dropPages = async () => { if ("caches" in window) { await Promise.all(CACHES.map((name) => caches.delete(name))); } };
  try {
    const whose = localStorage.getItem(WHOSE);
    if (whose && whose !== person) { dropPages(); }
    localStorage.setItem(WHOSE, person);
  } catch { dropPages(); }

  const forget = async () => {
    held.keys().forEach((key) => held.drop(key));
    try { localStorage.removeItem("lists:clock"); } catch { /* there is none */ }
    await dropPages();
  };

  // ---- before signing out -----------------------------------------------------------------------------------------

  const form = document.querySelector("form.sign-out");
  // Then it is signed out as ever: drafts have their turn at it.
  let cleared = false;
  const leave = async () => { await forget(); cleared = true; form.requestSubmit(); };
  const offer = () => {
    const count = waiting().length;
    let note = document.getElementById("outbox-note");
    if (!note) {
      note = document.createElement("div");
      note.id = "outbox-note";
      note.className = "note warning";
      note.setAttribute("role", "alert");
      form.closest("header").after(note);
    }
    const words = document.createElement("p");
    words.textContent = `${count === 1 ? "1 entry" : `${count} entries`} of your lists ${count === 1 ? "waits" : "wait"} on this browser and ${count === 1 ? "is" : "are"} not sent yet. Signing out throws ${count === 1 ? "it" : "them"} away.`;
    const act = (verb, weight, does) => {
      const button = document.createElement("button");
      button.type = "button"; button.className = weight; button.textContent = verb;
      button.addEventListener("click", does);
      return button;
    };
    const acts = document.createElement("p");
    acts.className = "acts";
    acts.append(act("Send what waits, then sign out", "first", async () => { await replay(); if (waiting().length) { offer(); } else { leave(); } }),
      act("Throw it away and sign out", "second", leave), act("Stay signed in", "second", () => note.remove()));
    note.replaceChildren(words, acts);
  };
  if (form) {
    form.addEventListener("submit", async (event) => {
      if (cleared) { return; }
      event.preventDefault();
      event.stopPropagation();
      if (waiting().length) { await replay(); }
      if (waiting().length) { offer(); } else { leave(); }
    });
  }

  window.addEventListener("online", replay);
  document.addEventListener("visibilitychange", () => { if (!document.hidden && waiting().length) { replay(); } });
  setInterval(() => { if (waiting().length) { replay(); } }, AGAIN);
  if (waiting().length) { window.addEventListener("load", replay); }
  return { person, all, put, drop, waiting, replay, isFull: () => full };
})();
