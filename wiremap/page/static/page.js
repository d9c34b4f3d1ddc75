"use strict";
// Word of what another screen did, the countdown of a wait that was begun, and keys.
// Nothing here answers, sends or moves on by itself; without it the page works as well.

const LOOK_MS = 5000;
const shown = document.body.dataset.stamp;
const elsewhere = document.getElementById("elsewhere");

async function lookElsewhere() {
  const answer = await fetch("/stamp", { cache: "no-store" });
  if (!answer.ok) {
    return;
  }
  const stamp = await answer.text();
  if (stamp !== shown && elsewhere.hidden) {
    elsewhere.textContent = "Something was kept on another screen or by a command. ";
    const again = document.createElement("a");
    again.href = location.href;
    again.textContent = "Look at the card anew";
    elsewhere.append(again);
    elsewhere.hidden = false;
  }
}

if (shown && elsewhere) {
  setInterval(() => lookElsewhere().catch(() => {}), LOOK_MS);
}

function countDown(line) {
  const until = Date.now() + 60000 * Number(line.dataset.minutes);
  const show = () => {
    const left = Math.max(0, Math.round((until - Date.now()) / 1000));
    const seconds = String(left % 60).padStart(2, "0");
    line.textContent = left ? `${Math.floor(left / 60)}:${seconds} left` : "The wait is over.";
  };
  show();
  setInterval(show, 1000);
}

for (const line of document.querySelectorAll(".wait")) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "quiet";
  button.textContent = `start the wait of ${line.dataset.minutes} minutes`;
  button.addEventListener("click", () => {
    button.remove();
    countDown(line);
  });
  line.after(button);
}

// A letter touches the answer that begins with it, in the question that has the focus.
document.addEventListener("keydown", (event) => {
  if (event.key.length > 1 || event.ctrlKey || event.altKey || event.metaKey || event.target.matches("textarea, select, input[type=text]")) {
    return;
  }
  const question = event.target.closest("fieldset") || document.querySelector("main fieldset");
  for (const label of question ? question.querySelectorAll("label.choice") : []) {
    if (label.textContent.trim().toLowerCase().startsWith(event.key.toLowerCase())) {
      const box = label.querySelector("input");
      box.checked = true;
      box.focus();
      return;
    }
  }
});
