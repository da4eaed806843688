"use strict";
// What a browser must do: draw what the module says, keep visits on the device, pass messages.
// Every rule, number and sentence comes from the module.

const packed = document.getElementById("module").textContent;
const main = document.getElementById("main");
const live = document.getElementById("live");
let words = {};
/** The language of the page, and the keys that stand in English in every language. */
let language = "en";
let english = new Set();
/** What the module keeps of the visit that is open. */
let kept = {};
let units = "us";
/** What stands in the box and was not sent yet: the question's path and the text. */
let pending = null;
/** Draws what is on the screen anew, for another unit. */
let again = () => {};
/** Counts screens shown, so that a late answer does not draw over a newer screen. */
let turn = 0;

// ---- The module, behind messages. A door answers one request after the other.

const workerAddress = URL.createObjectURL(
  new Blob([document.getElementById("worker").textContent], { type: "text/javascript" }),
);

function openDoor() {
  const worker = new Worker(workerAddress);
  const waiting = new Map();
  let count = 0;
  let opened;
  const ready = new Promise((resolve, reject) => { opened = { resolve, reject }; });
  worker.onerror = (event) => opened.reject(event.message);
  worker.onmessage = ({ data }) => {
    if (data.ready) return opened.resolve();
    if (data.id === undefined) return opened.reject(data.broken);
    const { resolve, reject } = waiting.get(data.id);
    waiting.delete(data.id);
    return data.broken ? reject(data.broken) : resolve(data.answer);
  };
  worker.postMessage({ packed });
  return {
    ready,
    close: () => worker.terminate(),
    isBusy: () => waiting.size > 0,
    // Busy from here on, also while the module is still being opened.
    ask: (request) => new Promise((resolve, reject) => {
      count += 1;
      const id = count;
      const text = JSON.stringify({ ...request, language });
      waiting.set(id, { resolve, reject });
      ready.then(() => worker.postMessage({ id, request: text }), reject);
    }),
  };
}

const door = openDoor();
/** A second thread for whole results, so that questions and what-ifs never wait for one. */
let slowDoor = null;
/** A result that was begun before it was asked for: its request, and its first and whole answers. */
let begun = null;

async function askSlowly(request) {
  if (slowDoor?.isBusy()) { slowDoor.close(); [slowDoor, begun] = [null, null]; }
  slowDoor ??= openDoor();
  return slowDoor.ask(request);
}

function resultRequest(of) { return { ask: "result", kept: of, units, quote: visit.quoted || null, what_if: null }; }

/** Begins a result while its last answer is chosen but not yet sent. Nothing waits for it, and
 * another answer takes its place. */
function beginResult(of) {
  const request = resultRequest(of);
  const key = JSON.stringify([request, language]);
  if (begun?.key === key) return;
  const first = askSlowly({ ...request, effort: "quick" });
  const whole = first.then((answer) => (answer.error ? answer : askSlowly({ ...request, effort: "whole" })));
  // Who asks for it hears what went wrong.
  whole.catch(() => {});
  begun = { key, first, whole };
}

/** The first answer and the whole one, begun already or begun now. */
function resultAnswers() {
  const request = resultRequest(kept);
  const found = begun?.key === JSON.stringify([request, language]) ? begun : null;
  begun = null;
  return {
    first: found?.first ?? door.ask({ ...request, effort: "quick" }),
    whole: () => found?.whole ?? askSlowly({ ...request, effort: "whole" }),
  };
}

// ---- Drawing.

function set(element, attributes) {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (typeof value === "function") element.addEventListener(name, value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value);
  }
  return element;
}

function make(tag, attributes, ...children) {
  const res = set(document.createElement(tag), attributes);
  res.append(...children.filter((it) => it !== null && it !== undefined && it !== false));
  return res;
}

function shape(tag, attributes, ...children) {
  const res = set(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes);
  res.append(...children.filter(Boolean));
  return res;
}

function word(key, blanks) {
  let res = words[key] ?? key;
  for (const [name, value] of Object.entries(blanks ?? {})) res = res.replace(`{${name}}`, () => value);
  return res;
}

function button(key, action, attributes) {
  return make("button", { type: "button", click: action, ...attributes }, word(key));
}

function say(text) { live.textContent = text; }

/** The words of a language, and those that stand in the page from the beginning. */
async function speak(code) {
  language = code;
  const answer = await door.ask({ ask: "words" });
  words = answer.words;
  english = new Set(answer.english);
  document.documentElement.lang = code;
  for (const it of document.querySelectorAll("[data-word]")) it.textContent = word(it.dataset.word);
  for (const it of document.querySelectorAll("[data-label]")) it.setAttribute("aria-label", word(it.dataset.label));
}

/** Markup of the module's own, which escapes what a person typed; scripts in it never run. */
function fragment(markup) {
  const body = new DOMParser().parseFromString(markup, "text/html").body;
  return make("div", { class: "drawn" }, ...body.childNodes);
}

/** When the screen last changed: a tap right after it was meant for the screen before. */
let shownAt = -Infinity;
const SETTLE_MS = 400;
/** Switches of the menu that are drawing the screen anew. */
let switching = 0;
/** Half again as large as usual. */
const LARGE_TEXT_PX = 24;

addEventListener("click", (event) => {
  const isTap = event.isTrusted && event.detail > 0;
  if (isTap && performance.now() - shownAt < SETTLE_MS && !dialog.open) {
    event.preventDefault();
    event.stopPropagation();
  }
}, true);

/** The head of the screen: where Back leads, and what the visit is. */
function head(title, back) {
  goBack = back;
  document.getElementById("back").hidden = !back;
  document.getElementById("title").textContent = title;
  document.getElementById("subtitle").textContent = back ? (visitLine() ?? "") : "";
  if (back && !hasStep) {
    hasStep = true;
    history.pushState(null, "");
  }
}

/** Shows a screen and moves the reader to its heading, or leaves them at the switch of the menu that
 * they use. `bar` sticks to the bottom. A part of the page that has no words in the reader's
 * language says in which one it stands. */
function show(children, bar, lang) {
  const menu = document.getElementById("menu");
  const isSwitch = switching > 0 && menu.open;
  if (!isSwitch) shownAt = performance.now();
  document.body.classList.toggle("large-text", Number.parseFloat(getComputedStyle(document.documentElement).fontSize) > LARGE_TEXT_PX);
  main.className = "";
  for (const it of [main, document.getElementById("bar")]) if (lang && lang !== language) it.lang = lang; else it.removeAttribute("lang");
  say("");
  main.replaceChildren(...children.filter((it) => it));
  document.getElementById("bar").replaceChildren(...(bar ?? []).filter((it) => it));
  document.getElementById("bar").hidden = !(bar ?? []).some((it) => it);
  const first = main.querySelector("h1");
  first.tabIndex = -1;
  document.title = `${first.textContent} - slabseason`;
  if (isSwitch) return;
  menu.open = false;
  scrollTo(0, 0);
  first.focus();
}

function heading(text, attributes) { return make("h1", { tabindex: "-1", id: "heading", ...attributes }, text); }

// ---- The device's own way back goes to the screen before, and leaves only at the start.

let goBack = null;
let hasStep = false;

addEventListener("popstate", () => {
  hasStep = false;
  if (goBack) goBack();
});

/** The module never answers so; if it does, nothing is lost and the page says how to go on. */
async function guarded(promise) {
  try {
    return await promise;
  } catch (error) {
    stopped(String(error));
    return null;
  }
}

function stopped(why) {
  show([heading(word("page.stopped")), make("p", { role: "alert" }, word("page.broken", { why })),
    make("p", { class: "row" }, button("page.save", save), button("page.clear", clear))]);
}

function today() {
  const now = new Date();
  const two = (it) => String(it).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** A day as it is said: "September 8, 2026". */
function dayWords(day) { return new Intl.DateTimeFormat(language, { dateStyle: "long" }).format(dayOf(day)); }

/** Two days as they are said: "May 1 - 31, 2027". */
function spanWords(from, to) { return new Intl.DateTimeFormat(language, { dateStyle: "medium" }).formatRange(dayOf(from), dayOf(to)); }

function dayOf(day) {
  const [year, month, date] = day.split("-").map(Number);
  return new Date(year, month - 1, date);
}

// ---- Asking back.

const dialog = document.getElementById("ask");

function openDialog(text, lines, yes, no) {
  document.getElementById("ask-words").textContent = text;
  document.getElementById("ask-list").replaceChildren(...lines.map((it) => make("li", {}, it)));
  const [stay, go] = [document.getElementById("ask-no"), document.getElementById("ask-yes")];
  stay.textContent = word(no ?? (yes ? "page.no" : "page.close"));
  go.textContent = yes ? word(yes) : "";
  go.hidden = !yes;
  dialog.returnValue = "";
  stay.onclick = () => dialog.close("no");
  go.onclick = () => dialog.close("yes");
  dialog.showModal();
  return new Promise((resolve) => {
    const closed = () => {
      // The dialog before this one may tell only now that it was closed.
      if (dialog.open) return;
      dialog.removeEventListener("close", closed);
      resolve(dialog.returnValue === "yes");
    };
    dialog.addEventListener("close", closed);
  });
}

function sure(question, yes, no) { return openDialog(word(question), [], yes, no); }

function tell(text, lines) { return openDialog(text, lines ?? [], null); }

// ---- Files.

function download(name, content, type) {
  const address = URL.createObjectURL(content instanceof Blob ? content : new Blob([content], { type }));
  const link = make("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}
