// The page works without this. With it there is a keypad, a number is held and sent
// again when the computer does not answer, a readout that types loses nothing, and
// what other devices do is told.
"use strict";
document.documentElement.classList.add("js");
const asleepFor = 600; // milliseconds after a page appears: a second tap does nothing
const answerWithin = 4000;
const tries = [1000, 2000, 4000, 5000];
let busy = false; // a form is on its way
let sounds = localStorage.getItem("sounds") !== "off";
let audio = null;
let cards = []; // numbers that came when no step waited for them
let coming = ""; // the number that is being typed without a field
let last = "";
let typedAt = 0;
let sent = ""; // the step for which a contact was sent without a tap
let warned = ""; // the step for which it was told that the engine turns the other way
let alone = false; // what is on its way was sent without a tap
let into = "text"; // which of the two fields of a sweep the keypad types into

function base() { return document.body.dataset.base || ""; }
function el(id) { return document.getElementById(id); }
function field() { const f = el("text"); return f && f.form && f.form.id === "entry" ? f : null; }

function tone(pitch, long) {
  if (!sounds || !audio) return;
  const o = audio.createOscillator(), g = audio.createGain();
  o.frequency.value = pitch;
  g.gain.value = 0.2;
  o.connect(g).connect(audio.destination);
  o.start();
  o.stop(audio.currentTime + long);
}

// show puts an answered page in the place of this one, without a new start: so no
// key is lost on the way.
function show(html) {
  const doc = new DOMParser().parseFromString(html, "text/html");
  document.title = doc.title;
  document.body.replaceWith(doc.body);
  if (location.pathname !== base() + "/") history.pushState(null, "", base() + "/");
  begin();
  speak();
  const heard = document.querySelector("[data-refused]") ? 1 : document.querySelector("[data-kept]") ? 2 : 0;
  if (heard === 1) tone(220, 0.35);
  if (heard === 2) tone(alone ? 880 : 1320, 0.12);
  if (heard === 2 && alone) setTimeout(() => tone(1320, 0.12), 150);
  alone = false;
}

// speak lets a screen reader say what came of a form. What is put into a page together
// with the page is often not said; what comes a little later into a place that is there
// is.
function speak() {
  const told = [...document.querySelectorAll("main [role=status], main [role=alert]")];
  const place = document.createElement("div");
  place.id = "spoken";
  place.className = "jump";
  place.setAttribute("role", document.querySelector("[data-refused]") ? "alert" : "status");
  document.body.append(place);
  for (const e of told) e.removeAttribute("role");
  setTimeout(() => { place.textContent = told.map((e) => e.textContent).join(" "); }, 150);
}

function begin() {
  document.body.classList.add("asleep");
  setTimeout(() => document.body.classList.remove("asleep"), asleepFor);
  const f = field();
  if (f) {
    f.inputMode = "none";
    if (el("height")) el("height").inputMode = "none";
    f.value = "";
    f.focus();
  } else if (el("task")) el("task").focus();
  const s = el("sound");
  if (s) s.textContent = sounds ? "Sounds off" : "Sounds on";
  drawCards();
}

// send sends a form, and holds it until the computer has answered. The identity of
// the step goes with it, so that it has one effect however often it comes.
async function send(body, text, to) {
  busy = true;
  sessionStorage.setItem("held", JSON.stringify({ body: body, text: text, to: to }));
  for (let n = 0; ; n++) {
    try {
      const stop = new AbortController();
      const timer = setTimeout(() => stop.abort(), answerWithin);
      const answer = await fetch(to + "/do", { method: "POST", body: new URLSearchParams(body), signal: stop.signal, cache: "no-store", credentials: "same-origin" });
      const html = await answer.text();
      clearTimeout(timer);
      if (answer.status === 429) throw new Error("wait");
      sessionStorage.removeItem("held");
      busy = false;
      if (answer.headers.get("Content-Type").startsWith("text/html") && to === base()) show(html);
      else location.href = to + "/";
      return;
    } catch {
      wait(text);
      await new Promise((go) => {
        const timer = setTimeout(go, tries[Math.min(n, tries.length - 1)]);
        addEventListener("online", () => { clearTimeout(timer); go(); }, { once: true });
      });
    }
  }
}

// wait says that a number is not kept yet.
function wait(text) {
  if (document.querySelector(".waits")) return;
  const note = document.createElement("div");
  note.className = "waits";
  note.setAttribute("role", "alert");
  const big = document.createElement("b"), small = document.createElement("span");
  big.textContent = "WAIT HERE";
  small.textContent = "Do not turn: " + (text || "this") + " is not kept yet. No answer from the computer on the bench; it stays on this device and is sent again. Still nothing? Write it down, and look at the computer.";
  note.append(document.createElement("span"), big, small);
  const main = document.querySelector("main");
  if (main) main.prepend(note);
  for (const b of document.querySelectorAll("button")) b.disabled = true;
  for (const a of document.querySelectorAll(".H a")) a.removeAttribute("href");
  const go = el("go");
  if (go) { go.textContent = "Sending …"; go.classList.remove("go"); go.classList.add("wait"); }
  tone(220, 0.35);
}

document.addEventListener("submit", (e) => {
  const form = e.target;
  if (form.method !== "post" || new URL(form.action).pathname !== base() + "/do") return;
  e.preventDefault();
  if (busy || document.body.classList.contains("asleep") && form.id !== "entry") return;
  const data = new FormData(form, e.submitter);
  const body = [...data].map(([k, v]) => [k, String(v)]);
  last = data.get("do") === "read" ? String(data.get("text")) : "";
  send(body, last, base());
});

function press(key) {
  const f = field();
  if (!f || busy) return;
  const to = into === "height" && el("height") || f;
  if (key === "erase") to.value = to.value.slice(0, -1);
  else if (key === "-") to.value = to.value.startsWith("-") ? to.value.slice(1) : "-" + to.value;
  else if (key.startsWith(".") && to.value.includes(".")) {
    if (key !== ".") to.value = to.value.split(".")[0] + key;
  } else to.value += key;
}

// A tap on a key takes the focus, so the field that had it last is remembered.
document.addEventListener("focusin", (e) => {
  if (e.target.id === "text" || e.target.id === "height") into = e.target.id;
});

document.addEventListener("click", (e) => {
  if (!audio && window.AudioContext) audio = new AudioContext();
  const b = e.target.closest("button");
  if (!b) return;
  if (b.dataset.key) {
    e.preventDefault();
    if (!document.body.classList.contains("asleep")) press(b.dataset.key);
  }
  if (b.id === "sound") {
    sounds = !sounds;
    localStorage.setItem("sounds", sounds ? "on" : "off");
    b.textContent = sounds ? "Sounds off" : "Sounds on";
  }
  if (b.dataset.card) {
    const i = Number(b.dataset.at);
    const text = cards[i];
    cards.splice(i, 1);
    const f = field();
    if (b.dataset.card === "take" && f) { f.value = text; f.focus(); }
    drawCards();
  }
});

// A readout types like a keyboard, wherever the focus is. What it types belongs to
// the step that stood there at its first digit; what comes while a number is on
// its way, or while a button is asked for, becomes a card, and no step gets it by
// itself.
document.addEventListener("keydown", (e) => {
  if (e.ctrlKey || e.altKey || e.metaKey) return;
  const f = field();
  const other = e.target.closest && e.target.closest("input, select, textarea");
  if (other && other !== f) return;
  const mark = /^[0-9.,+-]$/.test(e.key) || (coming && /^[a-zA-Z° /]$/.test(e.key));
  const end = e.key === "Enter" || e.key === "Tab";
  if (f && !busy && !coming) {
    if (mark && document.activeElement !== f) { e.preventDefault(); f.focus(); f.value += e.key; }
    if (mark) typedAt = e.timeStamp;
    // A readout may end its number with Tab; a person takes longer to press it.
    if (e.key === "Tab" && f.value && e.timeStamp - typedAt < 60) { e.preventDefault(); f.form.requestSubmit(el("go")); }
    return;
  }
  if (mark) {
    e.preventDefault();
    coming += e.key;
  } else if (end && coming) {
    e.preventDefault();
    cards.push(coming);
    coming = "";
    drawCards();
  }
});

function drawCards() {
  for (const c of document.querySelectorAll(".card")) c.remove();
  const main = document.querySelector("main");
  if (!main) return;
  cards.forEach((text, i) => {
    const c = document.createElement("div");
    c.className = "card";
    c.setAttribute("role", "alert");
    const says = document.createElement("p");
    says.textContent = text + " came " + (last ? "at once after " + last : "while no number was asked for") + ".";
    const row = document.createElement("div");
    row.className = "inrow";
    for (const [what, label] of [["take", "For this step"], ["drop", "Drop it"]]) {
      if (what === "take" && !field()) continue;
      const b = document.createElement("button");
      b.type = "button";
      b.dataset.card = what;
      b.dataset.at = i;
      b.textContent = label;
      row.append(b);
    }
    c.append(says, row);
    main.prepend(c);
  });
}

// What another device did is told; a number that is being typed is never moved.
async function look() {
  const mine = document.body.dataset.step;
  if (busy || !mine || document.hidden) return;
  try {
    const answer = await fetch(base() + "/at", { cache: "no-store", credentials: "same-origin" });
    if (!answer.ok || (await answer.text()) === mine || busy || mine !== document.body.dataset.step) return;
    const f = field();
    const typed = [...document.querySelectorAll("input:not([type=hidden]):not([type=radio])")].some((i) => i.value !== i.defaultValue);
    if (!typed && !(f && f.value) && location.pathname === base() + "/") {
      const page = await fetch(base() + "/", { cache: "no-store", credentials: "same-origin" });
      if (page.ok && !busy) show(await page.text());
      return;
    }
    if (document.querySelector("[data-elsewhere]")) return;
    const note = document.createElement("p");
    note.className = "look";
    note.dataset.elsewhere = "1";
    note.setAttribute("role", "alert");
    note.textContent = "Something was entered on another device. ";
    const link = document.createElement("a");
    link.href = base() + "/";
    link.textContent = "Show it";
    note.append(link);
    const main = document.querySelector("main");
    if (main) main.prepend(note);
  } catch {
    // The computer may be asleep; the next form will say so.
  }
}

// A readout that streams is shown as it stands, beside the field and not in it.
async function live() {
  const at = el("live");
  if (!at || busy || document.hidden) return;
  const step = document.body.dataset.step;
  try {
    const answer = await fetch(base() + "/live", { cache: "no-store", credentials: "same-origin" });
    if (!answer.ok || busy || step !== document.body.dataset.step) return;
    const l = await answer.json();
    if (l.ended) at.textContent = "The readout sends nothing any more: type the number.";
    else if (l.against) at.textContent = "LOOK: " + l.now + ", turned the other way, or the sheet is wrong on which way it counts.";
    else if (l.now && l.free) at.textContent = "It shows " + l.now + ". Stand at the stop for a second, then turn away: it is kept.";
    else if (l.now) at.textContent = "It shows " + l.now + ". Keep takes what stands there.";
    if (l.against && warned !== step) {
      warned = step;
      tone(220, 0.35);
    }
    const f = field();
    if (!l.stood || !f || f.value || busy || step !== document.body.dataset.step || sent === step) return;
    // The engine was turned away from the contact: what stood there is sent as if it were typed.
    sent = step;
    const data = new FormData(f.form);
    data.set("text", l.stood);
    last = l.stood;
    alone = true;
    send([...data].map(([k, v]) => [k, String(v)]), l.stood, base());
  } catch {
    // The next form will say so.
  }
}

begin();
setInterval(live, 250);
setInterval(look, 2000);
addEventListener("pageshow", (e) => { if (e.persisted) location.reload(); });
const held = sessionStorage.getItem("held");
if (held) { // the page was loaded anew before the answer came
  const { body, text, to } = JSON.parse(held);
  last = text;
  wait(text);
  send(body, text, to || "");
}
