"use strict";
// What a browser must do: draw what the module says, keep answers on the device, pass
// messages. Every rule, number and sentence comes from the module.

const KEPT_AS = "slabseason.visit";
const packed = document.getElementById("module").textContent;
const main = document.getElementById("main");
const live = document.getElementById("live");
let words = {};
let kept = {};
let units = "us";
/** What stands in the box and was not sent yet: the question's path and the text. */
let pending = null;
/** What is on the screen: draws it anew, for another unit. */
let again = () => {};
/** Whether it was said that nothing can be kept here. */
let isWarned = false;
/** Counts pages shown, so that a late answer does not draw over a newer page. */
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
    ask: async (request) => {
      await ready;
      count += 1;
      const id = count;
      return new Promise((resolve, reject) => {
        waiting.set(id, { resolve, reject });
        worker.postMessage({ id, request: JSON.stringify(request) });
      });
    },
  };
}

const door = openDoor();
/** A second thread for whole results, so that questions and what-ifs never wait for one. */
let slowDoor = null;

async function askSlowly(request) {
  if (slowDoor?.isBusy()) { slowDoor.close(); slowDoor = null; }
  slowDoor ??= openDoor();
  return slowDoor.ask(request);
}

// ---- Drawing.

function make(tag, attributes, ...children) {
  const res = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (typeof value === "function") res.addEventListener(name, value);
    else if (value === true) res.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) res.setAttribute(name, value);
  }
  res.append(...children.filter((it) => it !== null && it !== undefined && it !== false));
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

/** Markup of the module's own, which escapes what a person typed; scripts in it never run. */
function fragment(markup) {
  const body = new DOMParser().parseFromString(markup, "text/html").body;
  return make("div", { class: "drawn" }, ...body.childNodes);
}

/** Shows a page and moves the reader to its heading. */
function show(...children) {
  main.replaceChildren(...children.filter((it) => it));
  const heading = main.querySelector("h1");
  heading.tabIndex = -1;
  document.title = `${heading.textContent} - slabseason`;
  document.getElementById("menu").open = false;
  window.scrollTo(0, 0);
  heading.focus();
}

function heading(text) { return make("h1", { tabindex: "-1", id: "heading" }, text); }

// ---- What the device keeps.

function keep() {
  try {
    localStorage.setItem(KEPT_AS, JSON.stringify({ kept, units, pending }));
    return true;
  } catch {
    return false;
  }
}

function recall() {
  try {
    const text = localStorage.getItem(KEPT_AS);
    if (!text) return false;
    const found = JSON.parse(text);
    kept = found.kept ?? {};
    units = found.units === "si" ? "si" : "us";
    pending = found.pending ?? null;
    return Object.keys(kept.typed ?? {}).length > 0 || Boolean(kept.file);
  } catch {
    return false;
  }
}

function today() {
  const now = new Date();
  const two = (it) => String(it).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

// ---- The device's own way back goes to the question before, and leaves only at the first.

let goBack = null;
let hasStep = false;

function isLeftBy(back) {
  goBack = back;
  if (back && !hasStep) {
    hasStep = true;
    history.pushState(null, "");
  }
}

window.addEventListener("popstate", () => {
  hasStep = false;
  if (goBack) goBack();
});

// ---- The interview.

async function talk(act) {
  turn += 1;
  const mine = turn;
  const answer = await guarded(door.ask({ ask: "talk", kept, units, today: today(), act }));
  if (mine !== turn || !answer) return;
  if (answer.error) return stopped(answer.error);
  kept = answer.kept;
  again = () => talk({ do: answer.view.kind === "check" ? "check" : "show" });
  const isFirst = answer.view.kind === "question" && answer.view.is_first;
  if (answer.view.kind === "check") showCheck(answer.view);
  else showQuestion(answer.view);
  isLeftBy(isFirst ? null : () => leave({ do: "back" }));
  if (!keep() && !isWarned) {
    isWarned = true;
    say(word("page.not_kept"));
  }
}

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
  show(heading(word("page.title")), make("p", { role: "alert" }, word("page.broken", { why })),
    make("p", { class: "row" }, button("page.save", save), button("page.clear", clear)));
}

function showQuestion(view) {
  const typed = pending?.path === view.path ? pending.text : view.typed;
  if (pending?.path !== view.path) pending = null;
  const field = view.takes === "choice" ? choices(view) : view.takes === "months" ? months(view) : box(view, typed);
  const error = view.error
    ? make("div", { class: "error", role: "alert" }, make("p", {}, make("strong", {}, word("page.error.title"))),
      make("p", { id: "error" }, view.error), make("p", {}, make("a", { href: "#answer", click: toAnswer }, word("page.error.change"))))
    : null;
  const sends = view.takes !== "choice";
  const form = make("form", { novalidate: true, id: "form", "data-path": view.path, submit: (event) => { event.preventDefault(); send(view); } }, field);
  const bar = make("div", { class: "bar" },
    view.is_first ? null : button("page.back", () => leave({ do: "back" }), { class: "back" }),
    view.never ? button("page.answer.never", () => leave({ do: "answer", text: "never" })) : null,
    view.not_sure ? button("page.answer.not_sure", () => leave({ do: "not_sure" }), { "aria-pressed": String(view.said === word("page.not_sure")) }) : null,
    sends ? make("button", { type: "submit", form: "form", class: "strong" }, word("page.next")) : null);
  show(
    make("p", { class: "where" }, make("strong", {}, view.section), ` \u00b7 ${view.progress}`),
    make("progress", { max: "1", value: String(view.done), "aria-label": view.progress }),
    view.is_first ? make("p", { class: "lead" }, word("page.lead")) : null,
    view.is_first ? make("p", { class: "lead" }, word("page.private")) : null,
    heading(view.words), error, form, why(view),
    view.is_first ? make("p", { class: "row" }, button("page.load", load)) : null,
    view.is_first ? make("p", { class: "small" }, word("disclaimer")) : null,
    bar,
  );
  if (view.error) {
    document.title = `${word("page.error.title")}: ${document.title}`;
    toAnswer();
  }
}

function toAnswer(event) {
  event?.preventDefault();
  document.getElementById("answer")?.focus();
}

function leave(act) {
  pending = null;
  talk(act);
}

function choices(view) {
  const list = view.choices.map((it) => make("li", {}, make("button", {
    type: "button", "aria-pressed": String(it.chosen), click: () => leave({ do: "answer", text: it.word }),
  }, it.label)));
  list[0]?.firstChild.setAttribute("id", "answer");
  return make("ul", { class: "choices", "aria-labelledby": "heading" }, ...list);
}

function months(view) {
  const ticks = view.choices.map((it, at) => {
    const tick = make("input", { type: "checkbox", value: it.word, id: at === 0 ? "answer" : null });
    tick.checked = it.chosen;
    return make("label", {}, tick, make("span", {}, it.label));
  });
  return make("fieldset", { class: "months", "aria-describedby": view.error ? "error" : null },
    make("legend", { class: "unseen" }, view.words), ...ticks);
}

function box(view, typed) {
  const described = [view.hint ? "hint" : null, view.error ? "error" : null].filter(Boolean).join(" ");
  const input = make("input", {
    id: "answer", "aria-labelledby": "heading", "aria-describedby": described || null, autocomplete: "off",
    type: view.takes === "date" ? "date" : "text", inputmode: view.takes === "number" ? "decimal" : null,
    "aria-invalid": view.error ? "true" : null, autocapitalize: "off", spellcheck: "false",
    input: () => { pending = { path: view.path, text: input.value }; keep(); },
  });
  input.value = typed;
  return make("div", { class: "box" }, make("div", { class: "line" }, input, view.unit ? make("span", { class: "unit" }, view.unit) : null),
    view.hint ? make("p", { id: "hint" }, view.hint) : null);
}

function send(view) {
  if (view.takes === "months") {
    const ticked = [...main.querySelectorAll(".months input:checked")].map((it) => it.value);
    if (ticked.length === 0) return showQuestion({ ...view, error: word("page.error.months") });
    return leave({ do: "answer", text: ticked.join(", ") });
  }
  // What stands in the box stays there if it is not taken.
  pending = { path: view.path, text: document.getElementById("answer").value };
  return talk({ do: "answer", text: pending.text });
}

function why(view) {
  const moved = make("div", {});
  let isAsked = false;
  const opened = async (event) => {
    if (!event.target.open || isAsked || !view.can_move) return;
    isAsked = true;
    const answer = await guarded(door.ask({ ask: "moves", kept }));
    const lines = answer?.lines ?? [];
    moved.replaceChildren(lines.length > 1
      ? make("div", {}, make("p", {}, word("page.moves")), make("ul", {}, ...lines.map((it) => make("li", {}, it))))
      : make("p", {}, word("page.moves.none")));
  };
  return make("details", { class: "why", toggle: opened }, make("summary", {}, word("page.why")), make("p", {}, view.why), moved);
}

function showCheck(view) {
  const line = (it) => make("div", {}, make("dt", {}, it.words),
    make("dd", {}, it.said, it.error ? make("p", { class: "error" }, it.error) : null,
      button("page.check.change", () => talk({ do: "go", path: it.path }), { "aria-label": `${word("page.check.change")}: ${it.words}` })));
  const missing = view.missing.length > 0;
  show(
    heading(word("page.check.title")),
    missing ? missingList(view.missing) : null,
    make("div", { class: "row" },
      missing ? null : button("page.result", result, { class: "strong" }),
      view.open > 0 ? make("button", { type: "button", class: missing ? "strong" : "", click: () => talk({ do: "show" }) }, word("page.check.open", { count: view.open })) : null,
      view.rest_open > 0 ? make("button", { type: "button", click: () => talk({ do: "rest" }) }, word("page.check.rest", { count: view.rest_open })) : null),
    view.rest_open > 0 ? make("p", { class: "small" }, word("page.check.rest.why")) : null,
    view.sections.length === 0 ? make("p", {}, word("page.check.none")) : null,
    ...view.sections.map((section) => make("section", {}, make("h2", {}, section.title), make("dl", {}, ...section.answers.map(line)))),
    make("div", { class: "bar end" }, button("page.back", () => talk({ do: "back" }), { class: "back" }), button("page.save", save)),
  );
}

function missingList(lines) {
  return make("div", { class: "error" }, make("p", {}, word("page.error.too_little")), make("ul", {}, ...lines.map((it) => make("li", {}, it))));
}

// ---- The result.

async function result() {
  turn += 1;
  const mine = turn;
  say(word("page.result.working"));
  const columns = Math.floor((Math.min(main.clientWidth, 672) - 32) / 8.6);
  const request = { ask: "result", kept, units, effort: "quick", what_if: null, columns };
  const quick = await guarded(door.ask(request));
  if (mine !== turn || !quick) return;
  again = result;
  if (quick.error) {
    show(heading(word("page.result.title")), quick.missing ? missingList(quick.missing) : make("p", { role: "alert" }, quick.error),
      make("div", { class: "bar" }, button("page.back", () => talk({ do: "show" }))));
    return;
  }
  const now = make("div", { class: "now" }, fragment(quick.html));
  const sheet = make("div", { class: "sheet" }, make("p", { class: "small" }, word("page.result.rest")));
  const ifs = make("section", { class: "what-if" });
  const isHome = quick.who === "homeowner";
  const rest = isHome ? [sheet, ifs] : [ifs, sheet];
  const papers = make("section", { class: "papers" }, make("h2", {}, word("page.sheets")), make("p", { class: "row" },
    isHome ? null : button("page.sheet.report", () => paper({ sheet: "report" })),
    isHome ? null : button("page.sheet.notice", () => paper({ sheet: "notice", variant: null, figures: "words", standing: "as_said" })),
    button("page.sheet.homeowner", () => paper({ sheet: "homeowner" })),
    button("page.sheet.calendar", calendarFile)));
  show(
    heading(word("page.result.title")), now, ...rest, papers, make("p", { class: "small" }, word("page.result.so_far")),
    make("div", { class: "bar end" }, button("page.back", () => talk({ do: "check" }), { class: "back" }), button("page.print", () => window.print()), button("page.save", save)),
  );
  say("");
  isLeftBy(() => talk({ do: "check" }));
  whatIf(ifs, quick);
  const whole = await askSlowly({ ...request, effort: "whole" }).catch(() => null);
  if (mine !== turn || !whole || whole.error) return;
  if (isHome) {
    sheet.replaceChildren(fragment(whole.html), folded(whole));
  } else {
    now.replaceChildren(fragment(whole.html));
    sheet.replaceChildren(folded(whole));
  }
  say(word("page.result.done"));
}

/** The whole document as text, folded. */
function folded(answer) {
  const text = (it, name) => make("pre", { class: name, tabindex: "0", "aria-label": word("page.report"), role: "region" }, it);
  const both = make("div", {}, text(answer.narrow ?? answer.text, "on-screen"), text(answer.text, "on-paper"));
  return make("details", { class: "whole" }, make("summary", {}, word("page.report")), both);
}

async function whatIf(section, own) {
  const answer = await guarded(door.ask({ ask: "what_ifs", kept }));
  if (!answer || answer.error) return;
  const place = make("div", {});
  const outcome = make("div", { class: "outcome" });
  const select = make("select", { id: "what-if", change: () => offer() },
    make("option", { value: "" }, word("page.what_if.choose")),
    ...answer.questions.map((it, at) => make("option", { value: String(at) }, it.words)));
  function offer() {
    outcome.replaceChildren();
    const question = answer.questions[Number(select.value)];
    if (select.value === "" || !question) return place.replaceChildren();
    const attempt = (text) => tryOut(outcome, question, text, own);
    const said = make("p", {}, word("page.what_if.said", { answer: question.said }));
    if (question.choices.length > 0) {
      const all = [...question.choices, [word("page.not_sure"), word("page.answer.not_sure")]];
      return place.replaceChildren(said, make("ul", { class: "choices small-ones" },
        ...all.map(([text, label]) => make("li", {}, make("button", { type: "button", click: () => attempt(text) }, label)))));
    }
    const input = make("input", { type: "text", inputmode: "decimal", id: "what-if-answer", autocomplete: "off" });
    return place.replaceChildren(said, make("form", { novalidate: true, submit: (event) => { event.preventDefault(); attempt(input.value); } },
      make("label", { for: "what-if-answer" }, word("page.what_if.answer")),
      make("div", { class: "line" }, input, make("button", { type: "submit" }, word("page.what_if.try")))));
  }
  section.replaceChildren(
    make("h2", {}, word("page.what_if.title")), make("p", {}, word("page.what_if.lead")),
    make("label", { for: "what-if" }, word("page.what_if.question")), select, place, outcome);
}

/** Counts what-ifs, so that only the newest is drawn. */
let tries = 0;

async function tryOut(outcome, question, text, own) {
  tries += 1;
  const [mine, myTurn] = [tries, turn];
  const request = { ask: "result", kept, units, what_if: { path: question.path, text, own: own.report } };
  // A first look at once, then the numbers of a whole screen in its place.
  for (const effort of ["look", "quick"]) {
    const answer = await guarded(door.ask({ ...request, effort }));
    if (mine !== tries || myTurn !== turn || !answer) return;
    if (answer.error) {
      outcome.replaceChildren(make("p", { class: "error", role: "alert" }, answer.error));
      return;
    }
    outcome.replaceChildren(
      make("p", { class: "mark-what-if" }, make("strong", {}, word("page.what_if.mark")), ` ${answer.what_if}`),
      make("p", { class: "small" }, word(effort === "look" ? "page.what_if.look" : "page.what_if.settled")),
      fragment(answer.html), button("page.what_if.end", () => { tries += 1; outcome.replaceChildren(); }));
    outcome.dataset.effort = effort;
    if (effort === "quick") say(`${word("page.what_if.mark")}. ${answer.what_if}`);
  }
}

// ---- Sheets of paper.

/** A sheet on a page of its own, to look at and to print. */
async function paper(of) {
  turn += 1;
  const mine = turn;
  say(word("page.sheet.making"));
  const answer = await askSlowly({ ask: "sheet", kept, units, of }).catch((error) => ({ error: String(error) }));
  if (mine !== turn) return;
  again = () => paper(of);
  const bar = make("div", { class: "bar end" }, button("page.back", result, { class: "back" }), answer.html ? button("page.print", () => window.print()) : null);
  const settings = of.sheet === "notice" ? noticeSettings(of) : null;
  if (answer.error) show(heading(word("page.sheet.refused")), make("p", { role: "alert" }, answer.error), settings, bar);
  else show(settings, fragment(answer.html), bar);
  say("");
  isLeftBy(result);
}

function noticeSettings(of) {
  const kinds = ["", "fine", "doubtful", "against_advice", "fix_first", "declined"];
  const names = ["page.notice.by_verdict", "page.notice.fine", "page.notice.doubtful", "page.notice.against_advice", "page.notice.fix_first", "page.notice.declined"];
  const select = make("select", { id: "variant", change: () => paper({ ...of, variant: select.value || null }) },
    ...kinds.map((it, at) => make("option", { value: it, selected: (of.variant ?? "") === it }, word(names[at]))));
  const percent = make("input", { type: "checkbox", change: () => paper({ ...of, figures: percent.checked ? "percent" : "words" }) });
  percent.checked = of.figures === "percent";
  return make("section", { class: "settings" }, make("label", { for: "variant" }, word("page.notice.variant")), select,
    make("label", { class: "tick" }, percent, make("span", {}, word("page.notice.percent"))));
}

async function calendarFile() {
  say(word("page.sheet.making"));
  const answer = await askSlowly({ ask: "sheet", kept, units, of: { sheet: "calendar" } }).catch((error) => ({ error: String(error) }));
  say("");
  if (answer.error) return tell(answer.error, []);
  download(answer.name, answer.text, "text/calendar");
  say(word("page.sheet.calendar.saved", { name: answer.name }));
}

// ---- Invented floors to learn on. Nothing of them is kept.

let floor = { seed: 1, number: 1, level: "mixed", asked: "" };

/** Shows the floor of the set, with what was asked so far; its year only once a chance was stated. */
async function practice(change, stated = null) {
  floor = { ...floor, ...change };
  turn += 1;
  const mine = turn;
  say(word("page.practice.making"));
  const columns = Math.floor((Math.min(main.clientWidth, 672) - 32) / 8.6);
  const answer = await askSlowly({ ask: "practice", ...floor, stated, columns }).catch((error) => ({ error: String(error) }));
  if (mine !== turn) return;
  say("");
  if (answer.error) return tell(answer.error, []);
  again = () => practice({}, stated);
  const text = (it, name) => make("pre", { tabindex: "0", role: "region", "aria-label": name }, it);
  const title = word("page.practice.title", { number: floor.number });
  const next = (it) => practice({ asked: "", ...it });
  const leaveIt = button("page.back", () => talk({ do: "show" }), { class: "back" });
  if (answer.result) {
    show(heading(title), text(answer.text, title), make("h2", {}, word("page.practice.year")), text(answer.result, word("page.practice.year")),
      make("div", { class: "bar end" }, leaveIt, button("page.practice.more", () => next({ number: floor.number + 1 }), { class: "strong" })));
    return isLeftBy(() => practice({}));
  }
  const labelled = (key, field) => [make("label", { for: field.id }, word(key)), field];
  const listed = (id, all, change) => make("select", { id, change }, ...all.map(([value, label]) => make("option", { value, selected: floor[id] === value }, label)));
  const chance = make("input", { type: "text", inputmode: "decimal", id: "chance", autocomplete: "off" });
  const [cause, way] = [listed("cause", answer.causes), listed("way", answer.ways)];
  const seed = make("input", { type: "number", id: "seed", min: "0", value: String(floor.seed), change: () => next({ seed: Math.max(0, Math.floor(Number(seed.value) || 0)), number: 1 }) });
  const level = listed("level", [["clear", word("page.practice.clear")], ["mixed", word("page.practice.mixed")], ["borderline", word("page.practice.borderline")]], () => next({ level: level.value, number: 1 }));
  const see = (event) => { event.preventDefault(); practice({}, { chance: chance.value, cause: cause.value, way: way.value }); };
  show(heading(title), make("p", {}, word("page.practice.lead")),
    make("div", { class: "row" }, ...labelled("page.practice.set", seed), ...labelled("page.practice.level", level)),
    text(answer.text, title),
    make("h2", {}, word("page.practice.ask")),
    make("ul", { class: "choices small-ones" }, ...answer.to_ask.map((it) => make("li", {}, make("button", { type: "button", click: () => practice({ asked: floor.asked + it.letter }) },
      word("page.practice.minutes", { label: it.label, minutes: it.minutes }))))),
    make("form", { novalidate: true, submit: see }, ...labelled("page.practice.chance", chance), ...labelled("page.practice.cause", cause), ...labelled("page.practice.way", way),
      make("p", {}, make("button", { type: "submit", class: "strong" }, word("page.practice.see")))),
    make("div", { class: "bar end" }, leaveIt));
  isLeftBy(() => talk({ do: "show" }));
}

// A folded report is printed whole.
window.addEventListener("beforeprint", () => {
  for (const it of document.querySelectorAll("details.whole")) it.open = true;
});

// ---- Files.

function download(name, text, type) {
  const address = URL.createObjectURL(new Blob([text], { type }));
  const link = make("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}

async function save() {
  const answer = await guarded(door.ask({ ask: "save", kept }));
  if (!answer) return;
  if (answer.error) return tell(answer.error, []);
  download(answer.name, answer.text, "application/toml");
  say(word("page.saved", { name: answer.name }));
}

function load() { document.getElementById("file").click(); }

async function take(file) {
  const hasAnswers = Object.keys(kept.typed ?? {}).length > 0 || kept.file;
  if (hasAnswers && !(await sure("page.load.over", "page.yes.load"))) return;
  const answer = await guarded(door.ask({ ask: "load", name: file.name, text: await file.text() }));
  if (!answer) return;
  if (answer.error) return tell(word("page.load.bad"), answer.error.split("\n"));
  kept = answer.kept;
  pending = null;
  await talk({ do: "check" });
  say(word("page.loaded"));
}

async function clear() {
  if (!(await sure("page.clear.sure", "page.yes.clear"))) return;
  kept = {};
  pending = null;
  try { localStorage.removeItem(KEPT_AS); } catch { /* Nothing was kept. */ }
  await talk({ do: "show" });
  say(word("page.cleared"));
}

// ---- Asking back.

const dialog = document.getElementById("ask");

function openDialog(text, lines, yes) {
  document.getElementById("ask-words").textContent = text;
  document.getElementById("ask-list").replaceChildren(...lines.map((it) => make("li", {}, it)));
  const [no, go] = [document.getElementById("ask-no"), document.getElementById("ask-yes")];
  no.textContent = word(yes ? "page.no" : "page.close");
  go.textContent = yes ? word(yes) : "";
  go.hidden = !yes;
  dialog.returnValue = "";
  no.onclick = () => dialog.close("no");
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

function sure(question, yes) { return openDialog(word(question), [], yes); }

function tell(text, lines) { return openDialog(text, lines, null); }

// ---- The start.

async function start() {
  const isResumed = recall();
  for (const it of document.querySelectorAll("input[name=units]")) {
    it.checked = it.value === units;
    it.addEventListener("change", () => { units = it.value; keep(); again(); });
  }
  const doing = { check: () => talk({ do: "check" }), result, save, load, clear, practice: () => practice({}) };
  for (const it of document.querySelectorAll("[data-do]")) {
    it.addEventListener("click", () => { document.getElementById("menu").open = false; doing[it.dataset.do](); });
  }
  const chosen = document.getElementById("file");
  chosen.addEventListener("change", async () => {
    const [file] = chosen.files;
    chosen.value = "";
    if (file) await take(file);
  });
  try {
    words = (await door.ask({ ask: "words" })).words;
  } catch (error) {
    const text = main.querySelector("p");
    text.setAttribute("role", "alert");
    text.textContent = `${text.dataset.tooOld} ${error}`;
    return;
  }
  await talk({ do: "show" });
  if (isResumed) say(word("page.resumed"));
}

start();
