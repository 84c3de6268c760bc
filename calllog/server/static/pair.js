"use strict";
// The code may come with the address, behind the #, which is never sent to any server.
const WORDS = JSON.parse(document.body.dataset.words);
const form = document.getElementById("pair");
const words = document.getElementById("words");
const given = location.hash.slice(1);
if (/^[0-9]{4,12}$/.test(given)) {
  form.elements.code.value = given;
  form.elements.name.focus();
}
history.replaceState(null, "", "/");

// Where the crew works by phones, whose this one is must be said.
async function offer() {
  const roles = await (await fetch("/api/offered")).json();
  for (const role of roles) {
    const label = document.createElement("label");
    const input = Object.assign(document.createElement("input"), { type: "radio", name: "role", value: role });
    const span = Object.assign(document.createElement("span"), { textContent: WORDS[role] });
    label.append(input, span);
    document.getElementById("roles").append(label);
  }
  document.getElementById("roles").hidden = roles.length === 0;
  for (const each of roles.length ? form.querySelectorAll("[name=role]") : []) each.required = true;
  if (!roles.length) form.querySelector("[name=role]").checked = true;
}
offer().catch(() => {});

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  words.textContent = "";
  try {
    const answer = await fetch("/api/pair", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({
        code: form.elements.code.value,
        name: form.elements.name.value,
        role: (form.querySelector("[name=role]:checked") || { value: "unsaid" }).value,
      }),
    });
    if (answer.ok) {
      location.replace("/");
      return;
    }
    const why = (await answer.json()).words;
    words.textContent = WORDS["not-paired"].replace("{why}", () => why);
  } catch {
    words.textContent = WORDS.unreached;
  }
});
