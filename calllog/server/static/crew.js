"use strict";
// A crew member's microphone, ear and keys. It decides nothing: the logger hears, and tells.

const RATE = 16000;
const FRAME = 320;
const FRAME_S = FRAME / RATE;
const HELD = 250; // frames that are kept while the logger cannot be reached: 5 s
const FULL_BYTES = 130000; // what the network has not taken yet; more is kept back here
const SILENT_S = 1.2; // without a word from the logger the connection is given up
const TRIES_S = [0.9, 0.9, 3]; // how long a connection may take to be made, over and over: a busy logger takes its time
const TOLD_S = 0.5; // so long after that, and it is said aloud
const ASKED_S = 3; // so long, and it is asked whether the pairing holds
const AGAIN_S = 10; // and said again
const SLEPT_S = 0.045; // the sound stood still for longer than this: its frames are counted as lost
const STOOD_S = 0.3; // they are later than that for so long: the sound did not only catch its breath
const REOPEN_MS = 1000; // how long until a microphone that ended is asked for again
const KEY_MS = 1000; // a key that cannot be sent by then is not sent any more
const SHAKES = { agrees: [60, 60, 60], stop: [400, 120, 400, 120, 400], question: [60, 90, 250] };

const byId = (id) => document.getElementById(id);
const text = (id, words) => {
  const node = byId(id);
  if (node.textContent !== words) node.textContent = words;
};
const now = () => performance.now() / 1000;
const page = [...crypto.getRandomValues(new Uint8Array(16))]
  .map((each) => each.toString(16).padStart(2, "0"))
  .join("");

let me = null;
let keeps = false;
let context = null;
let ear = null; // makes frames of what the microphone hears
let source = null;
let track = null;
let out = null; // where sayings go: a gain, then the side of the ear
let pan = null;
let words = null; // samples of the words
let line = null; // the connection
let heardS = -Infinity; // when the logger was heard last
let openedS = -Infinity;
let stands = {}; // what the logger tells of this phone
let isMuted = false;
let isDead = false;
let battery = null;
let tries = 0;
let lostS = Infinity; // since when the logger is not heard
let toldS = -Infinity; // when it was last said that nothing is heard
let isTold = false;
let number = 0;
let least = Infinity; // of the frames' times less their places
const late = []; // frames that are later than their place; sent as soon as it is known why
let lateS = 0; // since when
const held = [];
const queue = [];
let current = null;
let typed = "";
let ended = ""; // why this page does nothing any more

const WORDS = JSON.parse(document.body.dataset.words);
const say = (name) => WORDS[name];

// Who I am

async function know() {
  try {
    const answer = await fetch("/api/crew");
    if (answer.status === 401) location.replace("/");
    if (answer.status === 503) {
      text("state", (await answer.json()).words);
      setTimeout(know, 1000);
      return;
    }
    me = await answer.json();
  } catch {
    setTimeout(know, 1000);
    return;
  }
  document.title = `calllog: ${say(me.role)}`;
  text("who", `${say(me.role)}: ${me.name}`);
  text("paired", `${say("paired-as")} ${me.who}`);
  text("kept", me.keeps ? say("kept") : say("none-kept"));
  text("until", me.keeps ? (me.until ? `${say("until")} ${me.until}` : say("no-end")) : "");
  text("listeners", me.keeps ? `${say("listeners")} ${me.listeners.join(", ")}` : "");
  for (const id of ["until", "listeners", "agree-none"]) byId(id).hidden = !me.keeps;
  layKeys();
  text("state", say("consent-title"));
  byId("consent").hidden = false;
  if (!isSecureContext || !navigator.mediaDevices) {
    text("wrong", say("insecure"));
    byId("agree").disabled = byId("agree-none").disabled = true;
  }
  loadWords();
}

async function loadWords() {
  if (!Object.keys(me.spoken.spans).length) return;
  const name = `/api/words?${me.sha256}`;
  let kept = null;
  try {
    kept = await caches.open("calllog-words");
    const known = await kept.match(name);
    if (known) words = samplesOf(await known.arrayBuffer());
  } catch {
    kept = null; // a browser that keeps nothing: they are loaded each time
  }
  while (!words) {
    try {
      const answer = await fetch("/api/words");
      const copy = answer.clone();
      words = samplesOf(await answer.arrayBuffer());
      if (kept) {
        for (const old of await kept.keys()) await kept.delete(old);
        await kept.put(name, copy);
      }
    } catch {
      await new Promise((done) => setTimeout(done, 1000));
    }
  }
}

// A WAV file of 16 bits: its samples stand after the word "data" and their length.
function samplesOf(file) {
  const view = new DataView(file);
  let at = 12;
  while (at + 8 <= file.byteLength) {
    const size = view.getUint32(at + 4, true);
    if (view.getUint32(at, false) === 0x64617461) return new Int16Array(file.slice(at + 8, at + 8 + size));
    at += 8 + size + (size & 1);
  }
  throw new Error("no WAV");
}

// The microphone

const microphone = () =>
  navigator.mediaDevices.getUserMedia({
    audio: { echoCancellation: true, autoGainControl: false, noiseSuppression: false, channelCount: 1 },
  });

async function begin(agreed) {
  keeps = agreed;
  text("wrong", "");
  try {
    const stream = await microphone();
    context = new AudioContext({ latencyHint: "interactive" });
    await context.resume();
    await context.audioWorklet.addModule("/crew-ear.js");
    ear = new AudioWorkletNode(context, "ear", { channelCount: 1, channelCountMode: "explicit" });
    const silent = new GainNode(context, { gain: 0 });
    ear.connect(silent).connect(context.destination);
    ear.port.onmessage = (event) => send(event.data);
    connect(stream);
    out = new GainNode(context, { gain: Number(byId("volume").value) });
    pan = new StereoPannerNode(context, { pan: 1 });
    out.connect(pan).connect(context.destination);
  } catch (error) {
    text("wrong", `${say(error.name === "NotAllowedError" ? "refused" : "no-microphone")} (${error.message})`);
    return;
  }
  byId("consent").hidden = true;
  byId("work").hidden = false;
  stayAwake();
  followBattery();
  open();
}

function connect(stream) {
  const [opened] = stream.getAudioTracks();
  if (source) source.disconnect();
  source = context.createMediaStreamSource(stream);
  source.connect(ear);
  track = opened;
  const isOurs = () => track === opened;
  opened.addEventListener("mute", () => isOurs() && fare(true));
  opened.addEventListener("unmute", () => isOurs() && fare(false));
  opened.addEventListener("ended", () => isOurs() && reopen());
}

// A headset that was pulled out ends its microphone; the phone has another one.
async function reopen() {
  fare(true);
  try {
    connect(await microphone());
    fare(track.muted);
  } catch {
    setTimeout(reopen, REOPEN_MS);
  }
}

// A sound that stood still (a call came in, the phone slept) is told by numbers that are left out,
// right where it stood: until that is known the frames since wait.
function send(frame) {
  if (!late.length) lateS = now();
  late.push({ at: now() - (context.currentTime - frame.at), samples: frame.samples });
  const places = late.map((each, index) => each.at - (number + index) * FRAME_S);
  const place = places[places.length - 1];
  if (place < least || !Number.isFinite(least)) least = place;
  const isLate = place - least > SLEPT_S;
  least += 2e-6; // the two clocks may differ by 0.01 %
  if ((number + late.length) % 5 === 0) tick();
  if (isLate && now() - lateS < STOOD_S) return;
  if (isLate) number += Math.round((Math.min(...places) - least) / FRAME_S);
  for (const each of late.splice(0)) put(each);
}

// One frame: number, time, samples.
function put(frame) {
  const sent = new ArrayBuffer(12 + 2 * FRAME);
  const view = new DataView(sent);
  view.setUint32(0, number, true);
  view.setFloat64(4, frame.at, true);
  new Int16Array(sent, 12).set(frame.samples);
  number += 1;
  if (isMuted || isDead || ended) return; // what a dead microphone gives is no silence
  held.push(sent);
  while (held.length > HELD) held.shift();
  flush();
}

function flush() {
  const isReady = line && line.readyState === WebSocket.OPEN && stands.is_timed && stands.holds;
  while (isReady && held.length && line.bufferedAmount < FULL_BYTES) line.send(held.shift());
}

// The connection

function open() {
  if (line) {
    line.onclose = line.onmessage = line.onopen = null;
    line.close();
  }
  openedS = now();
  stands = {};
  const made = new WebSocket(new URL("/api/line", location.href.replace(/^http/, "ws")));
  made.binaryType = "arraybuffer";
  made.onopen = () => {
    made.send(JSON.stringify({ token: me.token, page, keeps }));
    if (battery !== null || isDead) tellFares();
  };
  made.onmessage = (event) => take(JSON.parse(event.data));
  made.onclose = (event) => {
    if (event.code === 4001) ended = say("replaced");
    heardS = -Infinity;
    tick();
  };
  line = made;
}

function take(told) {
  heardS = now();
  if (told.time !== undefined) {
    line.send(JSON.stringify({ time: told.time, at_s: now() }));
    stands = told;
    flush();
    tick();
  } else if (told.say !== undefined) {
    hear(told);
  } else if (told.hush) {
    hush(told.hush);
  } else if (told.mute !== undefined) {
    isMuted = told.mute;
    if (isMuted) held.length = 0;
    tick();
  } else if (told.show) {
    show(told.show);
  }
}

const tell = (words) => {
  const isOpen = line && line.readyState === WebSocket.OPEN;
  if (isOpen) line.send(JSON.stringify(words));
  return isOpen;
};

// Looks after everything; driven by the sound itself, since timers sleep behind a locked screen.
function tick() {
  if (!context || !me) return;
  const at = now();
  if (ended) {
    shown("stale", ended);
    return;
  }
  const isLost = at - heardS > SILENT_S;
  const isTrying = line && line.readyState === WebSocket.CONNECTING;
  if (isLost && at - openedS > (isTrying ? TRIES_S[tries % TRIES_S.length] : SILENT_S / 2)) {
    tries += 1;
    open();
    askAgain();
  }
  lostS = isLost ? Math.min(lostS, at) : Infinity;
  if (context.state !== "running") context.resume();
  let wrong = "";
  if (isDead) wrong = say("dead");
  else if (context.state !== "running") wrong = say("asleep");
  else if (isLost) wrong = say("cut-off");
  else if (!stands.holds) wrong = say("waiting");
  else if (isMuted) wrong = say("muted");
  const isHeard = !wrong && stands.is_timed && stands.got >= 0;
  shown(isHeard ? "heard" : "stale", wrong || say(isHeard ? "listening" : "connecting"));
  byId("here").hidden = !isMuted;
  const isWrong = isDead || context.state !== "running" || at - lostS > TOLD_S || isMuted;
  if (isWrong && at - toldS > AGAIN_S) {
    toldS = at;
    isTold = true;
    aloud(me.spoken.deaf, "warn");
    shake([300, 100, 300]);
  } else if (!isWrong && isHeard && isTold) {
    isTold = false;
    toldS = -Infinity;
    aloud(me.spoken.back, "heard");
  }
}

// A session that was ended, or waits for the logger, is known only by asking.
let isAsking = false;
async function askAgain() {
  if (isAsking || now() - lostS < ASKED_S) return;
  isAsking = true;
  try {
    const asked = new AbortController();
    setTimeout(() => asked.abort(), 900);
    const answer = await fetch("/api/crew", { signal: asked.signal });
    if (answer.status === 401) location.replace("/");
    if (answer.ok) me.token = (await answer.json()).token;
  } catch {
    // not reached: tried again
  } finally {
    isAsking = false;
  }
}

function shown(kind, words) {
  document.body.classList.toggle("stale", kind === "stale");
  document.body.classList.toggle("heard", kind === "heard");
  text("state", `${kind === "heard" ? "●" : "✕"} ${words}`);
}

// What is heard. The rules are those of the logger's own loudspeaker: a stop goes first and cuts a
// read-back off, and a read-back takes the place of an older one that waits.

function hear(told) {
  const saying = { number: told.say, tone: told.tone, parts: told.parts, isBack: told.back };
  if (SHAKES[told.tone]) shake(SHAKES[told.tone]);
  if (me.spoken.keys.includes(told.tone) && !told.parts.length) {
    play(saying, () => {});
    return;
  }
  if (saying.isBack) {
    for (let at = queue.length - 1; at >= 0; at -= 1) {
      if (queue[at].isBack && (saying.parts.length || !queue[at].parts.length)) queue.splice(at, 1);
    }
  }
  if (told.tone === "stop") {
    queue.unshift(saying);
    if (current && current.isBack) cut();
  } else {
    queue.push(saying);
  }
  if (!current) next();
}

function next() {
  current = queue.shift() || null;
  if (current) {
    const saying = current;
    play(saying, () => {
      if (current === saying) next();
    });
  }
}

function cut() {
  const saying = current;
  current = null;
  if (saying && saying.source) {
    saying.source.onended = null;
    saying.source.stop();
  }
  next();
}

function hush(what) {
  const isKept = (each) => what === "back" && !(each.isBack && each.parts.length);
  const kept = queue.filter(isKept);
  queue.splice(0, queue.length, ...kept);
  if (current && !isKept(current)) cut();
}

function play(saying, done) {
  const sound = render(saying);
  if (!context || !sound.length) {
    done();
    return;
  }
  const buffer = new AudioBuffer({ length: sound.length, numberOfChannels: 1, sampleRate: RATE });
  buffer.copyToChannel(sound, 0);
  saying.source = new AudioBufferSourceNode(context, { buffer });
  saying.source.connect(out);
  saying.source.onended = done;
  saying.source.start();
  const latency = context.outputLatency || context.baseLatency || 0;
  if (saying.number !== undefined) tell({ began: saying.number, at_s: now() + latency });
}

function render(saying) {
  const spoken = me.spoken;
  const pieces = [];
  const quiet = (seconds) => new Float32Array(Math.round(seconds * RATE));
  const notes = spoken.tones[saying.tone] || [];
  notes.forEach(([pitch, seconds], place) => {
    if (place) pieces.push(quiet(spoken.gap_s));
    pieces.push(note(pitch, seconds));
  });
  if (notes.length) pieces.push(quiet(saying.parts.length ? spoken.after_tone_s : 0.02));
  for (const part of saying.parts) {
    if (typeof part === "number") {
      pieces.push(quiet(part));
    } else if (words && spoken.spans[part]) {
      const [first, last] = spoken.spans[part];
      pieces.push(Float32Array.from(words.subarray(first, last), (each) => each / 32768));
      pieces.push(quiet(spoken.joint_s));
    }
  }
  const whole = new Float32Array(pieces.reduce((sum, each) => sum + each.length, 0));
  let at = 0;
  for (const piece of pieces) {
    whole.set(piece, at);
    at += piece.length;
  }
  return whole;
}

function note(pitch, seconds) {
  const { overtones, level, ramp_s: ramp } = me.spoken;
  const sum = overtones.reduce((one, other) => one + other, 0);
  return Float32Array.from({ length: Math.round(seconds * RATE) }, (_, place) => {
    const at = place / RATE;
    let wave = 0;
    overtones.forEach((strength, over) => {
      if ((over + 1) * pitch < RATE / 2) wave += strength * Math.sin(2 * Math.PI * (over + 1) * pitch * at);
    });
    const nearest = Math.min(at, seconds - at);
    return ((level * wave) / sum) * Math.sin((Math.PI / 2) * Math.min(Math.max(nearest, 0) / ramp, 1)) ** 2;
  });
}

const aloud = (parts, tone) => hear({ tone, parts, back: false });

const shake = (pattern) => {
  if (navigator.vibrate) navigator.vibrate(pattern);
};

// In the pocket

function stayAwake() {
  const lock = () => navigator.wakeLock && navigator.wakeLock.request("screen").catch(() => {});
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") {
      lock();
      context.resume();
      if (track.readyState === "ended" && !isDead) reopen();
      tick();
    }
  });
  lock();
  setInterval(tick, 500);
  // a sound too faint to be heard, so that the system takes this page for a player and lets it run
  const faint = new OscillatorNode(context, { frequency: 40 });
  const stream = new MediaStreamAudioDestinationNode(context);
  faint.connect(new GainNode(context, { gain: 0.0005 })).connect(stream);
  faint.start();
  byId("alive").srcObject = stream.stream;
  byId("alive").play().catch(() => {});
  if (!navigator.mediaSession) return;
  navigator.mediaSession.metadata = new MediaMetadata({ title: `calllog: ${say(me.role)}`, artist: me.name });
  navigator.mediaSession.playbackState = "playing";
  for (const button of ["play", "pause", "stop", "nexttrack", "previoustrack"]) {
    try {
      navigator.mediaSession.setActionHandler(button, () => {
        byId("alive").play().catch(() => {});
        key("r");
      });
    } catch {
      // a browser that does not know this button
    }
  }
}

async function followBattery() {
  if (!navigator.getBattery) return;
  const found = await navigator.getBattery();
  const look = () => {
    const percent = found.charging ? 100 : Math.round(found.level * 100);
    if (percent === battery) return;
    battery = percent;
    tellFares();
  };
  found.addEventListener("levelchange", look);
  found.addEventListener("chargingchange", look);
  look();
}

function fare(isGone) {
  isDead = isGone || track.readyState === "ended";
  tellFares();
  tick();
}

const tellFares = () => tell({ battery, is_dead: isDead });

// Hands

const KEYS = [
  ["7"], ["8"], ["9"], ["-", "strike"],
  ["4"], ["5"], ["6"], ["+", "switch"],
  ["1"], ["2"], ["3"], ["r", "again"],
  ["0"], [".", "", "point"], ["\b", "clear"], ["\n", "enter"],
  ["/"], ["*"],
];

function layKeys() {
  const made = KEYS.map(([sent, named, label]) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = named ? say(named) : sent;
    if (label) button.setAttribute("aria-label", say(label));
    if (named) button.className = "does";
    button.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      shake(15);
      key(sent);
    });
    button.addEventListener("click", (event) => {
      if (event.detail === 0) key(sent); // by a keyboard or a screen reader
    });
    return button;
  });
  byId("keys").replaceChildren(...made);
}

function key(sent) {
  const isReady = now() - heardS < KEY_MS / 1000 && stands.holds;
  if (!isReady || !tell({ key: sent })) {
    text("typed", say("not-sent"));
    shake([200]);
    aloud([], "error");
    return;
  }
  if (sent === "r" || sent === "h") return;
  typed = sent === "\n" || sent === "\b" ? "" : typed + sent;
  if (/^\d*\/$|^\+$/.test(typed) || typed.length > 12) typed = "";
  text("typed", typed || "–");
}

function show(told) {
  text("line", told.line);
  text("sign", told.sign);
  text("verdict", told.verdict);
  text("expected", told.expected);
}

byId("agree").addEventListener("click", () => begin(me.keeps));
byId("agree-none").addEventListener("click", () => begin(false));
byId("here").addEventListener("click", () => key("h"));
byId("volume").addEventListener("input", () => {
  out.gain.value = Number(byId("volume").value);
  aloud([], "heard");
});
for (const side of document.querySelectorAll("[name=ear]")) {
  side.addEventListener("change", () => {
    pan.pan.value = Number(side.value);
    aloud([], "heard");
  });
}
byId("leave").addEventListener("click", async () => {
  await fetch("/api/leave", {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-Calllog-Token": me.token },
    body: "{}",
  });
  location.replace("/");
});
know();
