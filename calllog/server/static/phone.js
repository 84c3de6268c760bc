"use strict";
// Shows what the logger tells, and sends the chief's orders. It decides nothing by itself.

const STALE_MS = 2200; // without a word from the logger
const REOPEN_MS = 3000;
const AGAIN_MS = 1000; // between two tries to send
const SHOWN_MS = 20000; // how long an answer is shown
const SIGNS = { AGREES: "✓", BOOKED: "✓", ASKED: "?", STOP: "▲" };
const SEEN_MS = 500; // what changed later than this before a touch was not seen by who touched

const WORDS = JSON.parse(document.body.dataset.words);
// What this page says, in the language of the crew; facts stand in braces
const say = (name, facts = {}) => WORDS[name].replace(/\{([a-z]+)\}/g, (_, fact) => facts[fact]);

const byId = (id) => document.getElementById(id);
const text = (id, words) => {
  const node = byId(id);
  if (node.textContent !== words) node.textContent = words;
};
const make = (tag, className = "", words = "") => {
  const node = document.createElement(tag);
  if (className) node.className = className;
  node.textContent = words;
  return node;
};

let me = null; // name, token, conditions
let state = null; // what is shown
let asked = { before: "", changedAt: -Infinity }; // the question before the one that is shown
let sending = null; // the one order under way
let source = null;
let heardAt = -Infinity; // when the logger was heard last
let openedAt = 0;
let isStale = true;
let waits = ""; // what the logger has to do first
let pastShown = -1;
let pastFirst = 0;

// News

const newer = (one, other) => {
  const [a, b] = [one, other].map((id) => id.split("-").map(Number));
  return a[0] !== b[0] ? a[0] > b[0] : a[1] > b[1];
};

function open() {
  if (source) source.close();
  openedAt = performance.now();
  source = new EventSource("/api/events");
  source.addEventListener("known", (event) => take(JSON.parse(event.data)));
  source.addEventListener("state", (event) => {
    take(JSON.parse(event.data));
    hear();
  });
  source.addEventListener("beat", hear);
  source.addEventListener("gone", () => location.reload());
  source.addEventListener("error", () => {
    if (source.readyState === EventSource.CLOSED) know();
  });
  if (!me) know();
}

function take(told) {
  if (state && !newer(told.id, state.id)) return;
  if (state && state.stands.question !== told.stands.question) {
    asked = { before: seen(), changedAt: performance.now() };
  }
  state = told;
  show();
}

// The question that an order is given on: the one that was seen, though another may just have come
function seen() {
  const isNew = performance.now() - asked.changedAt < SEEN_MS;
  return isNew ? asked.before : state.stands.question;
}

function hear() {
  heardAt = performance.now();
  waits = "";
  tick();
}

function tick() {
  const now = performance.now();
  const silentMs = now - heardAt;
  const wasStale = isStale;
  isStale = silentMs > STALE_MS || !state;
  if (isStale !== wasStale) {
    document.body.classList.toggle("stale", isStale);
    enable();
  }
  if (isStale) {
    const seconds = Math.floor(silentMs / 1000);
    text("link-words", waits ? say("waiting", { why: waits }) : say("stale"));
    text("link-for", Number.isFinite(silentMs) ? ` ${say("stale-for", { seconds })}` : "");
  } else {
    text("link-words", say("live"));
    text("link-for", "");
  }
  if (silentMs > REOPEN_MS && now - openedAt > REOPEN_MS) open();
}

async function know() {
  try {
    const answer = await fetch("/api/me");
    if (answer.status === 401) location.reload();
    waits = answer.status === 503 ? (await answer.json()).words : "";
    tick();
    if (answer.ok) {
      me = await answer.json();
      text("name", me.name);
      listConditions();
      enable();
    }
  } catch {
    // not reached: tried again with the next opening
  }
}

// What is shown

function show() {
  text("line", state.line);
  text("pull", String(state.pull));
  text("sign", state.choices.length ? say("stop") : "");
  measured("take", state.take);
  measured("check", state.check);
  text("struck", state.struck.length ? say("struck", { lengths: state.struck.join(", ") }) : "");
  const isStopped = state.choices.length > 0;
  const held = state.held_told ? ` ${state.held_told}` : "";
  byId("decide").hidden = !isStopped;
  if (isStopped) {
    text("decide-title", say("decide-pull", { pull: state.pull }));
    text("decide-verdict", state.verdict);
    text("decide-remedy", `${state.remedy}.${held}`);
    choices();
  }
  const isSigned = state.sign && !isStopped;
  text("verdict", isSigned ? `${SIGNS[state.sign]} ${state.sign_told}: ${state.verdict}` : "");
  text("expected", state.expected);
  text("total", state.total);
  text("symbol", state.symbol);
  text("booked", String(state.booked));
  text("recorded", state.recorded);
  text("tape", state.tape);
  text("last-order", state.last_order ? say("last-order", { order: state.last_order }) : "");
  words("conditions", state.conditions);
  words("notices", state.notices);
  calls(byId("calls"), state.calls);
  text("as-of", say("changed-at", { time: new Date().toLocaleTimeString() }));
  if (state.past !== pastShown) past();
  enable();
  document.documentElement.dataset.state = state.id;
}

function measured(id, told) {
  text(id, told.figures || "–");
  byId(id).classList.toggle("long", told.figures.length > 6);
  text(`${id}-of`, told.made_of ? `= ${told.made_of}` : "");
}

function words(id, all) {
  const list = byId(id);
  if (list.dataset.shown === JSON.stringify(all)) return;
  list.dataset.shown = JSON.stringify(all);
  list.replaceChildren(...all.map((each) => make("li", "", each)));
}

function choices() {
  const list = byId("choices");
  const shown = JSON.stringify([state.choices, state.stands.question]);
  if (list.dataset.shown === shown) return;
  list.dataset.shown = shown;
  list.replaceChildren(
    ...state.choices.map((each) => {
      const button = make("button", "order");
      button.type = "button";
      button.dataset.does = each.does;
      button.append(make("span", "", each.label), " ", make("span", "keeps", each.keeps));
      const label = each.keeps ? `${each.label} ${each.keeps}` : each.label;
      button.addEventListener("click", () => send(each.does, seen(), "", label));
      return button;
    }),
  );
}

function calls(list, all) {
  const known = new Map([...list.children].map((each) => [each.dataset.shown, each]));
  list.replaceChildren(...all.map((each) => known.get(JSON.stringify(each)) || call(each)));
}

function call(told) {
  const item = make("li", "call");
  item.dataset.shown = JSON.stringify(told);
  if (told.standing) item.classList.add("out");
  const what = make("div");
  const who = told.who ? `${told.who}: ` : "";
  const said = make("span", "said", who);
  said.append(make("bdi", "", told.words), ` (${told.sure})`);
  what.append(said);
  if (told.standing) what.append(make("span", "stood", `✕ ${told.standing}`));
  item.append(make("span", "value", told.figures), what);
  if (told.has_sound) {
    const button = make("button", "", "▶");
    button.type = "button";
    button.setAttribute("aria-label", say("play", { call: told.number, said: told.words }));
    button.addEventListener("click", () => play(told.number, button));
    item.append(button);
  }
  return item;
}

const player = new Audio();
let playing = null;

function play(number, button) {
  if (playing) playing.textContent = "▶";
  if (playing === button && !player.paused) {
    player.pause();
    playing = null;
    return;
  }
  playing = button;
  button.textContent = "■";
  player.src = `/api/sound/${number}`;
  player.play().catch(() => answer(say("no-playing"), false));
}
for (const name of ["ended", "error"]) {
  player.addEventListener(name, () => {
    if (playing) playing.textContent = "▶";
    playing = null;
  });
}

async function past(before = null) {
  const change = state.past;
  try {
    const answered = await fetch(before === null ? "/api/past" : `/api/past?before=${before}`);
    if (!answered.ok) return;
    const told = await answered.json();
    pastFirst = told.first;
    const cards = told.cards.map(card);
    if (before === null) byId("past").replaceChildren(...cards);
    else byId("past").append(...cards);
    byId("earlier").hidden = pastFirst === 0;
    pastShown = change;
  } catch {
    // asked again with the next state
  }
}

function card(told) {
  const box = make("details", "card");
  const head = make("summary", "", `${say("card-pull", { pull: told.pull })} `);
  head.append(make("span", "value", told.length), ` ${state.symbol} `, make("bdi", "", told.booking));
  const body = make("div");
  const struck = told.struck.map((each) => make("s", "", each));
  const line = make("p");
  const values = say("card-values", { first: told.take, check: told.check || say("no-check") });
  line.append(make("bdi", "", told.line), `. ${values} `);
  if (struck.length) line.append(`${say("card-struck")} `, ...struck.flatMap((s) => [s, " "]));
  body.append(line, ...told.findings.map((each) => make("p", "stood", `! ${each}`)));
  const list = make("ol", "calls");
  calls(list, told.calls);
  body.append(list);
  box.append(head, body);
  return box;
}

// Orders

function enable() {
  const isOff = isStale || !me || sending !== null;
  for (const button of document.querySelectorAll(".order")) button.disabled = isOff;
  const can = state || { scratch: "", can_repeat: false, values: [] };
  byId("scratch").disabled = isOff || !can.scratch;
  text("scratch-does", can.scratch);
  byId("again").disabled = isOff || !can.can_repeat;
  byId("value-open").disabled = isOff || !can.values.length;
  byId("condition-open").disabled = byId("remark-open").disabled = isOff || !state;
}

function identity() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((each) => each.toString(16).padStart(2, "0")).join("");
}

function send(does, on, typed, label) {
  if (sending) return;
  sending = { order: { id: identity(), does, on, text: typed }, label };
  byId("answer").hidden = true;
  deliver(sending);
  enable();
}

// Sends one order until it is answered. It has one identity, so that it counts once.
async function deliver(mine) {
  while (sending === mine) {
    text("sending-words", say("sending", { order: mine.label }));
    byId("sending").hidden = false;
    try {
      const told = await fetch("/api/order", {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Calllog-Token": me.token },
        body: JSON.stringify(mine.order),
        signal: AbortSignal.timeout(8000),
      });
      if (told.status === 401) {
        location.reload();
        return;
      }
      if (told.status < 500 && told.status !== 429) {
        const said = await told.json();
        if (sending === mine) {
          answer(`${mine.label}: ${said.words}.`, told.ok && said.taken);
          sending = null;
        }
        break;
      }
    } catch {
      // not reached: tried again
    }
    await new Promise((done) => setTimeout(done, AGAIN_MS));
  }
  byId("sending").hidden = sending === null;
  enable();
}

let answerTimer = 0;

function answer(words, isTaken) {
  const node = byId("answer");
  node.classList.toggle("refused", !isTaken);
  node.textContent = `${isTaken ? "✓" : "✕"} ${words}`;
  node.hidden = false;
  clearTimeout(answerTimer);
  answerTimer = setTimeout(() => { node.hidden = true; }, SHOWN_MS);
}

byId("stop-sending").addEventListener("click", () => {
  if (!sending) return;
  answer(say("sent-no-more", { order: sending.label }), false);
  sending = null;
  byId("sending").hidden = true;
  enable();
});
byId("scratch").addEventListener("click", () =>
  send("scratch", seen(), "", say("strike")));
byId("again").addEventListener("click", () =>
  send("again", seen(), "", say("again")));
byId("earlier").addEventListener("click", () => past(pastFirst));
byId("leave").addEventListener("click", async () => {
  await fetch("/api/leave", {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-Calllog-Token": me.token },
    body: "{}",
  }).catch(() => {});
  location.reload();
});

// The dialogs: what an order is about is what stood when its dialog was opened

function dialog(id, onOpen, onSend) {
  const node = byId(id);
  let stood = null;
  byId(`${id}-open`).addEventListener("click", () => {
    stood = { ...state.stands, question: seen() };
    onOpen();
    node.returnValue = "";
    node.showModal();
  });
  node.addEventListener("close", () => {
    if (node.returnValue === "send") onSend(stood);
  });
}

// How each kind of value is typed and shown; how many digits stand after the point is the tape's
const KINDS = {
  whole: { form: () => "^[0-9]{1,3}$", text: (typed) => `${typed}.` },
  fraction: {
    form: (least, most) => `^[0-9]{${least},${most}}$`,
    text: (typed, least) => `.${typed.padEnd(least, "_")}`,
  },
  reading: {
    form: (least, most) => `^[0-9]{1,3}\\.[0-9]{${least},${most}}$`,
    text: (typed) => typed,
  },
};
const LONGEST = 7; // 100.125
let typed = "";
let typeable = [];

function kind() {
  const name = document.querySelector("#kinds input:checked").value;
  const { places } = typeable.find((each) => each.name === name);
  const [least, most] = [places[0], places[places.length - 1]];
  return {
    pattern: new RegExp(KINDS[name].form(least, most)),
    text: (all) => KINDS[name].text(all, least),
  };
}

function type(key) {
  typed = key === "back" ? typed.slice(0, -1) : (typed + key).slice(0, LONGEST);
  text("typed", typed ? kind().text(typed) : "–");
  byId("value-send").disabled = !kind().pattern.test(typed);
}

for (const key of ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", "back"]) {
  const button = make("button", "", key === "back" ? "⌫" : key);
  button.type = "button";
  if (key === "back") button.setAttribute("aria-label", say("clear-key"));
  if (key === ".") button.setAttribute("aria-label", say("point"));
  button.addEventListener("click", () => type(key));
  byId("keys").append(button);
}

dialog(
  "value",
  () => {
    typeable = state.values;
    const labels = typeable.map((each, place) => {
      const label = make("label");
      const input = make("input");
      Object.assign(input, { type: "radio", name: "kind", value: each.name, checked: place === 0 });
      input.addEventListener("change", () => { typed = ""; type(""); });
      label.append(input, each.label);
      return label;
    });
    byId("kinds").replaceChildren(byId("kinds").firstElementChild, ...labels);
    text("counts-for", state.counts_for);
    typed = "";
    type("");
  },
  (stood) => {
    const words = kind().text(typed);
    send("value", stood.question, words, say("value", { value: words }));
  },
);

function listConditions() {
  byId("condition-code").replaceChildren(
    ...me.conditions.map((each) => {
      const option = make("option", "", each.name);
      option.value = each.code;
      return option;
    }),
  );
}

function describeCondition() {
  const row = me.conditions.find((each) => each.code === byId("condition-code").value);
  text("condition-words", `${row.words} (${row.range})`);
}
byId("condition-code").addEventListener("change", describeCondition);
byId("condition-sign").addEventListener("click", () => {
  const amount = byId("condition-amount");
  amount.value = amount.value.startsWith("-") ? amount.value.slice(1) : `-${amount.value}`;
});

dialog(
  "condition",
  () => {
    byId("condition-amount").value = "";
    describeCondition();
  },
  (stood) => {
    const code = byId("condition-code");
    const amount = byId("condition-amount").value.trim().replace(",", ".").replace("−", "-");
    const name = code.selectedOptions[0].textContent;
    send("condition", stood.conditions, `${code.value}*${amount}`, `${name} ${amount}`);
  },
);

dialog(
  "remark",
  () => { byId("remark-text").value = ""; },
  (stood) => send("remark", stood.pull, byId("remark-text").value, say("remark")),
);

// A phone that slept has heard nothing meanwhile, whatever its clock says
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") {
    heardAt = -Infinity;
    tick();
    open();
  }
});
setInterval(() => {
  tick();
}, 250);
open();
