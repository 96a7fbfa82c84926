// The page's only script: it sends what was dragged, and shows what comes back. It computes nothing
// about glazes.
"use strict";
const $ = (s, from = document) => from.querySelector(s);
const token = $("meta[name=bench-token]")?.content ?? "";
const store = {
  get(key) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
  set(key, value) { try { value === null ? localStorage.removeItem(key) : localStorage.setItem(key, JSON.stringify(value)); } catch { /* no room */ } },
};
const mm = store.get("cofire-mm");
if (mm) document.documentElement.style.setProperty("--mm", `${mm}px`);

const patience = 60000; // ms; then a server is taken for one that does not answer
async function ask(path, body) {
  const late = new AbortController(), timer = setTimeout(() => late.abort(), patience);
  try {
    const answer = await fetch(path, {
      method: "POST", headers: { "Content-Type": "application/json", "X-Bench-Token": token },
      body: JSON.stringify(body), signal: late.signal,
    });
    const data = await answer.json();
    if (!answer.ok) throw Object.assign(new Error(data.error), { data, status: answer.status });
    return data;
  } finally { clearTimeout(timer); }
}

// what comes back takes the place of what was there: the focus, what is being typed, and what was
// unfolded stay
const called = (e) => e.id || [e.tagName, e.type, ...Object.values(e.dataset), e.getAttribute("href"), e.matches("button, summary") ? e.textContent.replace(/[0-9]+/g, "") : ""].join(" ");
const reached = (box) => [...box.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex]")];
function put(box, html) {
  const at = document.activeElement, was = box.contains(at) ? reached(box) : [];
  const name = was.length ? called(at) : "", twin = was.filter((e) => called(e) === name).indexOf(at), place = was.indexOf(at);
  const open = [...box.querySelectorAll("details[open] > summary")].map(called);
  box.innerHTML = html;
  for (const fold of box.querySelectorAll("summary")) if (open.includes(called(fold))) fold.parentElement.open = true;
  if (!was.length) return;
  const now = reached(box).filter((e) => e.checkVisibility()), free = (e) => !e.disabled;
  const same = now.filter((e) => called(e) === name)[twin];
  const next = same && free(same) ? same : now.slice(Math.max(0, Math.min(place, now.length - 1))).find(free) ?? now.findLast(free);
  next?.focus({ preventScroll: next === same });
  if (next === same && at.matches("input:not([type=range]):not([data-path])") && at.value !== at.defaultValue) {
    same.value = at.value;
    same.setSelectionRange(at.selectionStart, at.selectionEnd);
  }
}

const bench = $("#bench");
if (bench) {
  const look = $("#look"), trouble = $("#trouble"), controls = $("#controls");
  const draft = bench.dataset.draft, key = `cofire-draft-${draft}`;
  const guest = document.body.dataset.role === "guest";
  let version = Number(bench.dataset.version);
  let changes = new Map();      // path -> value, not yet in the draft
  let asking = false, again = false, latest = 0, sharpLater = 0, retry = 0, grip = null, committing = null;

  const mini = $("#mini");       // the answer in words, where the picture is out of sight
  new IntersectionObserver(([seen]) => mini.classList.toggle("far", !seen.isIntersecting)).observe(look);
  const list = () => [...changes];
  const width = () => Math.round(look.clientWidth);
  const say = (text) => { trouble.textContent = text; trouble.hidden = !text; };

  function remember() { if (!guest) store.set(key, changes.size ? { version, changes: list() } : null); }

  function show(data) {
    put(look, data.html);
    if (grip) look.querySelector(`.grip[data-path="${grip.path}"]`)?.classList.add("held");
    look.setAttribute("aria-busy", String(!data.sharp));
    mini.textContent = `${data.yes ? "✓" : "✗"} ${data.sentence}`;
    look.dataset.draws = data.draws;
    const size = $("#mm", look);
    if (size && store.get("cofire-mm")) size.value = store.get("cofire-mm");
    say("");
  }

  // a look is of one version of the draft: it waits for a change that is being kept, and such a
  // change waits for looks that are on their way
  const flying = new Set();
  async function glance(draws) {
    while (committing) await committing.catch(() => {});
    const turn = ++latest;
    const one = ask("/api/look", { draft, version, changes: list(), width: width(), draws });
    flying.add(one);
    try {
      const data = await one;
      if (turn === latest) show(data);
    } catch (error) { failed(error); }
    flying.delete(one);
  }
  async function alone(work) {
    while (committing) await committing.catch(() => {});
    committing = Promise.allSettled([...flying]).then(work);
    try { return await committing; } finally { committing = null; }
  }

  async function quick() {
    if (asking) { again = true; return; }
    asking = true;
    await glance("few");
    asking = false;
    if (again) { again = false; quick(); }
  }

  function sharpen(after = 250) {
    clearTimeout(sharpLater);
    sharpLater = setTimeout(async () => {
      if (asking || grip || committing) sharpen();
      else await glance("all");
    }, after);
  }

  function failed(error) {
    if (error.status === 409 && error.data.changed) { elsewhere(); return; }
    if (error.status) { look.setAttribute("aria-busy", "false"); say(error.message); return; }
    remember();
    say("The bench does not answer. What you changed is kept in this browser; it goes on by itself once “cofire bench” runs again.");
    clearTimeout(retry);
    retry = setTimeout(() => { changes.size && !guest ? commit() : quick(); sharpen(); }, 2000);
  }

  function elsewhere() {
    remember();
    say("This draft was changed in another window. ");
    const theirs = Object.assign(document.createElement("button"), { textContent: "Show what is there now" });
    theirs.onclick = () => { store.set(key, null); location.reload(); };
    trouble.append(theirs);
    if (changes.size && !guest) {
      const mine = Object.assign(document.createElement("button"), { textContent: "Keep mine as a draft of its own" });
      mine.onclick = async () => {
        const made = await ask("/api/fork", { draft, version, changes: list() });
        store.set(key, null);
        location.href = `/bench/${made.draft}`;
      };
      trouble.append(" ", mine);
    }
  }

  function set(path, value) {
    changes.delete(path);
    changes.set(path, value);
    remember();
    for (const twin of controls.querySelectorAll(`[data-path="${path}"]`))
      if (twin !== document.activeElement) twin.value = value;
    quick();
  }

  async function commit() {
    if (guest || !changes.size) { sharpen(); return; }
    remember();
    try {
      await alone(async () => {
        const sent = list();
        if (!sent.length) return;
        try {
          const data = await ask("/api/commit", { draft, version, changes: sent });
          for (const [path, value] of sent) if (changes.get(path) === value) changes.delete(path);
          now(data);
        } catch (error) {
          if (error.status && error.status !== 409) { for (const [path] of sent) changes.delete(path); remember(); }
          throw error;
        }
      });
    } catch (error) {
      failed(error);
      if (error.status && error.status !== 409) return; // until something else is changed
    }
    sharpen();
  }

  function now(data) {
    version = data.version;
    put(controls, data.html);
    for (const [p, value] of changes)
      for (const twin of controls.querySelectorAll(`[data-path="${p}"]`)) twin.value = value;
    remember();
  }

  async function at_once(pairs) {
    for (const [path, value] of pairs) changes.set(path, value);
    quick();
    await commit();
  }

  // fields and buttons beside the picture
  controls.addEventListener("input", (event) => {
    const at = event.target;
    if (at.dataset.path && at.value !== "" && Number.isFinite(at.valueAsNumber)) set(at.dataset.path, at.valueAsNumber);
  });
  controls.addEventListener("change", (event) => {
    const at = event.target;
    if (at.dataset.path) commit();
    else if (at.dataset.choose && at.value) at_once([[at.dataset.choose, at.value]]);
    else if (at.dataset.type) at_once([[at.dataset.type, at.value]]);
  });
  controls.addEventListener("click", (event) => {
    const at = event.target.closest("button");
    if (!at) return;
    if (at.dataset.remove) at_once([[at.dataset.remove, null]]);
    if (at.dataset.set) at_once([[at.dataset.set, true]]);
    if (at.dataset.add) { const name = document.getElementById(at.dataset.from).value.trim(); if (name) at_once([[at.dataset.add, name]]); }
    if (at.id === "undo" || at.id === "redo") step(at.id === "redo");
  });
  controls.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && event.target.id.startsWith("add-")) controls.querySelector(`[data-from="${event.target.id}"]`).click();
  });

  async function step(forward) {
    if (guest) return;
    try {
      await alone(async () => now(await ask("/api/undo", { draft, version, again: forward })));
      quick();
      sharpen();
    } catch (error) { failed(error); }
  }
  document.addEventListener("keydown", (event) => {
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !event.target.closest("textarea, input:not([type=range])")) {
      event.preventDefault();
      step(event.shiftKey);
    }
  });

  // grips in the picture
  const clamp = (at, value) => Math.min(Math.max(value, Number(at.getAttribute("aria-valuemin"))), Number(at.getAttribute("aria-valuemax")));
  look.addEventListener("pointerdown", (event) => {
    const at = event.target.closest(".grip");
    if (!at || event.button > 0) return;
    event.preventDefault();
    at.focus({ preventScroll: true });
    const svg = at.closest("svg");
    grip = {
      path: at.dataset.path, across: at.classList.contains("across"), x: event.clientX, y: event.clientY,
      start: Number(at.getAttribute("aria-valuenow")), per: Number(at.dataset.per) * svg.viewBox.baseVal.width / svg.getBoundingClientRect().width,
      low: Number(at.getAttribute("aria-valuemin")), high: Number(at.getAttribute("aria-valuemax")),
    };
    look.setPointerCapture(event.pointerId);
  });
  look.addEventListener("pointermove", (event) => {
    if (!grip) return;
    const moved = grip.across ? event.clientX - grip.x : grip.y - event.clientY;
    const value = Math.min(Math.max(Math.round(grip.start + moved * grip.per), grip.low), grip.high);
    if (changes.get(grip.path) !== value && (changes.has(grip.path) || value !== Math.round(grip.start))) set(grip.path, value);
  });
  const drop = () => { if (grip) { grip = null; commit(); } };
  look.addEventListener("pointerup", drop);
  look.addEventListener("pointercancel", drop);
  let settle = 0;
  look.addEventListener("keydown", (event) => {
    const at = event.target.closest(".grip");
    if (!at) return;
    const by = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 }[event.key];
    if (!by) return;
    event.preventDefault();
    const path = at.dataset.path;
    const from = changes.has(path) ? changes.get(path) : Math.round(Number(at.getAttribute("aria-valuenow")));
    set(path, clamp(at, from + by));
    clearTimeout(settle);
    settle = setTimeout(commit, 500);
  });

  // the nearest change is one touch away
  look.addEventListener("click", async (event) => {
    if (event.target.id !== "near") return;
    const words = $("#near-words", look), button = event.target;
    if (button.ariaDisabled) return;
    button.ariaDisabled = "true"; // it keeps the focus
    words.textContent = "Looking …";
    try {
      const found = await ask("/api/change", { draft, version, changes: list() });
      button.ariaDisabled = null;
      words.textContent = found.words;
      if (found.changes.length) {
        const take = Object.assign(document.createElement("button"), { textContent: "Change it so", className: "main" });
        take.id = "take";
        take.onclick = () => at_once(found.changes);
        words.after(" ", take);
        button.remove();
        take.focus({ preventScroll: true });
      }
    } catch (error) { words.textContent = error.message; button.ariaDisabled = null; }
  });
  look.addEventListener("input", (event) => {
    if (event.target.id !== "mm") return;
    store.set("cofire-mm", Number(event.target.value));
    document.documentElement.style.setProperty("--mm", `${event.target.value}px`);
  });

  // a word that is touched is explained beside it
  const means = $("#means");
  $("#means-shut").onclick = () => means.close();
  look.addEventListener("click", async (event) => {
    const at = event.target.closest("a.term");
    if (!at || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const word = await fetch(at.getAttribute("href").replace("/words", "/api/word")).then((r) => r.json()).catch(() => null);
    if (!word?.means) { location.href = at.href; return; }
    $("#means-name").textContent = word.name;
    $("#means-text").textContent = word.means;
    $("#means-source").textContent = `Source: ${word.source}.`;
    const name = called(at), twin = reached(look).filter((e) => called(e) === name).indexOf(at);
    means.onclose = () => reached(look).filter((e) => called(e) === name)[twin]?.focus();
    means.showModal();
  });

  addEventListener("beforeprint", () => { for (const more of look.querySelectorAll("details.findings")) more.open = true; });

  // another window, a reload, a server that was away
  document.addEventListener("visibilitychange", async () => {
    if (document.hidden) return;
    const found = await fetch(`/api/draft/${draft}`).then((r) => r.json()).catch(() => null);
    if (found && found.version !== version) changes.size ? elsewhere() : location.reload();
  });
  let wide = 0;
  new ResizeObserver(() => { if (Math.abs(width() - wide) > 40) { wide = width(); if (look.dataset.draws) { quick(); sharpen(); } } }).observe(look);

  const left = store.get(key);
  if (left && left.changes.length && !guest) {
    changes = new Map(left.changes);
    if (left.version === version) commit(); else elsewhere();
  }
  quick();
  sharpen(60);
}

// a text that is being edited survives a reload
const editor = $("textarea[data-keep]");
if (editor) {
  const key = `cofire-text-${editor.dataset.keep}`, was = editor.value, kept = store.get(key);
  const note = $("#unsaved");
  if (kept && kept.text !== was) {
    editor.value = kept.text;
    if (note) note.hidden = false;
    $("#drop")?.addEventListener("click", () => { store.set(key, null); editor.value = was; note.hidden = true; });
  }
  editor.addEventListener("input", () => store.set(key, editor.value === was ? null : { text: editor.value }));
  editor.form?.addEventListener("submit", () => store.set(key, { text: editor.value }));
  if (new URLSearchParams(location.search).has("saved")) { store.set(key, null); editor.value = was; if (note) note.hidden = true; }
}
// sliders of a form show their number
for (const slider of document.querySelectorAll("input[type=range][data-shows]")) {
  const field = document.getElementById(slider.dataset.shows);
  slider.addEventListener("input", () => { field.value = slider.value; });
  field.addEventListener("input", () => { slider.value = field.value; });
}
// what is too long is told here: a server hangs up on it
const fits = (bytes) => bytes < 1500000 ? "" : "That is larger than this page takes.";
for (const text of document.querySelectorAll("textarea[name=text]:not(.hidden)"))
  text.addEventListener("input", () => text.setCustomValidity(text.value.length < 300000 ? "" : fits(new Blob([text.value]).size)));
for (const file of document.querySelectorAll("input[type=file][data-into]")) {
  const into = document.getElementById(file.dataset.into);
  const fill = async (one) => {
    if (!one) return;
    file.setCustomValidity(fits(one.size));
    if (!file.reportValidity()) { file.value = ""; return; }
    into.value = await one.text();
    into.dispatchEvent(new Event("input"));
  };
  file.addEventListener("change", () => fill(file.files[0]));
  into.addEventListener("input", () => file.setCustomValidity(""));
  into.addEventListener("dragover", (event) => event.preventDefault());
  into.addEventListener("drop", (event) => { if (event.dataTransfer.files.length) { event.preventDefault(); fill(event.dataTransfer.files[0]); } });
}
// a touch on the map fills in its two numbers, and a ring shows where they lie
const map = $("#map-data");
if (map) {
  const at = Object.fromEntries(Object.entries(map.dataset).map(([k, v]) => [k, Number(v)]));
  const svg = $(".pick svg"), ring = $(".place", svg), x = $("#x"), y = $("#y");
  const mark = () => {
    ring.setAttribute("cx", at.left + at.wide * (x.value - at.x0) / (at.x1 - at.x0));
    ring.setAttribute("cy", at.top + at.high * (1 - (y.value - at.y0) / (at.y1 - at.y0)));
  };
  for (const field of [x, y]) field.addEventListener("input", mark);
  mark();
  svg.addEventListener("click", (event) => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    const across = (point.x - at.left) / at.wide, up = 1 - (point.y - at.top) / at.high;
    if (across < 0 || across > 1 || up < 0 || up > 1) return;
    x.value = (at.x0 + across * (at.x1 - at.x0)).toFixed(1);
    y.value = (at.y0 + up * (at.y1 - at.y0)).toFixed(1);
    mark();
    $("#take-place").focus({ preventScroll: true });
  });
}
// a point of a blend is touched in the picture
const points = $("#points");
if (points) for (const cell of document.querySelectorAll(".paper .hit")) cell.addEventListener("click", () => points.querySelectorAll("button")[Number(cell.dataset.p)].click());
