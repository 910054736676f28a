// The page works without this. It tells when another device has entered
// something, and keeps a double press from sending twice.
"use strict";
const mine = document.body.dataset.version;
const field = document.getElementById("text");
let told = false;
async function look() {
  try {
    const answer = await fetch("/version", { cache: "no-store" });
    if (!answer.ok || (await answer.text()) === mine || told) return;
    const busy = [...document.querySelectorAll("input[name=text], input[name=row], input[name=note]")].some((i) => i.value !== i.defaultValue);
    if (!busy && !(field && field.value)) {
      location.reload();
      return;
    }
    told = true;
    const note = document.createElement("p");
    note.className = "trouble";
    note.setAttribute("role", "alert");
    note.textContent = "Something was entered on another device. ";
    const link = document.createElement("a");
    link.href = "/";
    link.textContent = "Show it";
    note.append(link);
    document.querySelector(".now").prepend(note);
  } catch {
    // The computer may be asleep; the next form will say so.
  }
}
if (mine) setInterval(look, 3000);
for (const form of document.forms) {
  let sent = false;
  form.addEventListener("submit", (e) => {
    if (sent) e.preventDefault();
    sent = true;
  });
}
addEventListener("pageshow", (e) => { if (e.persisted) location.reload(); });
