"use strict";
// The code may come with the address, behind the #, which is never sent to any server.
const form = document.getElementById("pair");
const words = document.getElementById("words");
const given = location.hash.slice(1);
if (/^[0-9]{4,12}$/.test(given)) {
  form.elements.code.value = given;
  form.elements.name.focus();
}
history.replaceState(null, "", "/");

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  words.textContent = "";
  try {
    const answer = await fetch("/api/pair", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ code: form.elements.code.value, name: form.elements.name.value }),
    });
    if (answer.ok) {
      location.replace("/");
      return;
    }
    words.textContent = `Not paired: ${(await answer.json()).words}.`;
  } catch {
    words.textContent = "Not paired: the logger cannot be reached.";
  }
});
