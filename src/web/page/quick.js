// ---- The start, and the quick pass: ten screens from the place to the answer.

/** What the module said of the quick pass. */
let pass = null;
/** Where a screen leads back to once its answers are changed: the result, the check, or nowhere. */
let change = null;

async function startScreen() {
  turn += 1;
  const mine = turn;
  const visits = (await store.all("visits")).filter(hasAnswers);
  if (mine !== turn) return;
  again = startScreen;
  const way = (key, action, strong) => make("button", { type: "button", class: strong ? "door strong" : "door", click: action },
    make("span", {}, make("b", {}, word(`page.start.${key}`)), make("small", {}, word(`page.start.${key}.how`))), chevron());
  const goOn = hasAnswers(visit) && visit.screen !== "result"
    ? make("button", { type: "button", class: "door", click: () => goOnWith(visit) },
      make("span", {}, make("b", {}, word("page.start.go_on")), make("small", {}, nameOf(visit))), chevron())
    : null;
  head("slabseason", null);
  show([
    heading(word("page.start.title")),
    make("p", {}, word("page.start.lead")),
    goOn, way("estimator", () => begin("estimator"), true), way("homeowner", () => begin("homeowner")),
    make("h2", {}, word("page.start.ready")),
    make("ul", { class: "ready" }, ...["place", "meter", "sheet"].map((it) => make("li", {}, icon(it), word(`page.start.ready.${it}`)))),
    make("p", { class: "row links" },
      visits.length > 0 ? make("button", { type: "button", class: "link", click: visitsScreen }, word("page.start.visits", { count: visits.length })) : null,
      make("button", { type: "button", class: "link", click: load }, word("page.load")),
      make("button", { type: "button", class: "link", click: learn }, word("page.learn")),
      ...["en", "es"].filter((it) => it !== language).map((it) => make("button", { type: "button", class: "link", lang: it, click: () => setLanguage(it) }, word(`page.language.${it}`)))),
    make("p", { class: "small" }, word("page.start.private"), " ", word("disclaimer")),
  ]);
}

function chevron() {
  return shape("svg", { viewBox: "0 0 11 18", width: "11", height: "18", "aria-hidden": "true" },
    shape("path", { d: "M1.5 1.5 9 9l-7.5 7.5", fill: "none", stroke: "currentColor", "stroke-width": "2.4" }));
}

const ICONS = {
  place: "M12 2a7 7 0 0 0-7 7c0 5 7 13 7 13s7-8 7-13a7 7 0 0 0-7-7zm0 4.5a2.5 2.5 0 1 1 0 5 2.5 2.5 0 0 1 0-5z",
  meter: "M7 2h10v20H7zM9 5h6v4H9zM11 12h2v6h-2z",
  sheet: "M5 2h10l4 4v16H5zM8 11h8M8 15h8",
};

function icon(name) {
  return shape("svg", { viewBox: "0 0 24 24", width: "24", height: "24", "aria-hidden": "true", class: "icon" },
    shape("path", { d: ICONS[name], fill: "none", stroke: "currentColor", "stroke-width": "2", "stroke-linejoin": "round" }));
}

async function begin(who) {
  openVisit(newVisit());
  kept = { typed: { answered_by: who, visit_date: today() } };
  if (who === "homeowner") return talk({ do: "show" });
  return quickScreen(0);
}

async function goOnWith(it) {
  openVisit(it);
  const isEstimator = kept.typed?.answered_by === "estimator" && !kept.file;
  if (it.screen === "result") return result();
  if (isEstimator && !kept.rest) return quickAt(it.screen);
  return talk({ do: "show" });
}

async function askQuick(answers) {
  const answer = await guarded(door.ask({ ask: "quick", kept, units, today: today(), set: answers ?? {} }));
  if (!answer) return null;
  if (answer.error) { stopped(answer.error); return null; }
  kept = answer.kept;
  pass = answer;
  if (answer.place) visit.summary = { ...visit.summary, place: answer.place.name };
  return answer;
}

async function quickAt(id) {
  if (!(await askQuick())) return null;
  return quickScreen(Math.max(0, pass.screens.findIndex((it) => it.id === id)));
}

async function quickScreen(at, isBack) {
  turn += 1;
  const mine = turn;
  if (!(await askQuick()) || mine !== turn) return;
  if (at >= pass.screens.length) {
    change = null;
    return result();
  }
  const screen = pass.screens[at];
  // A homeowner has no meter; nothing to ask is no screen.
  if (screen.kind === "questions" && screen.questions.length === 0) return quickScreen(at + (isBack ? -1 : 1), isBack);
  visit.screen = screen.id;
  keep();
  draw(at, {});
}

/** Shows a screen of the pass; `errors` by path stand beside their boxes. */
function draw(at, errors) {
  const screen = pass.screens[at];
  again = () => quickScreen(at);
  const back = at === 0 ? startScreen : () => quickScreen(at - 1, true);
  head(word("page.quick.title"), change ? () => { change = null; result(); } : back);
  // The result is begun on the last screen, so that it is there when it is asked for.
  if (at === pass.screens.length - 1 && pass.place) beginResult(kept);
  const layout = { place: placeForm, readings: readingRows, checks: checkList, limit: limitForm, questions: questionForms }[screen.kind];
  const form = layout(screen, errors);
  const go = async (event) => {
    event?.preventDefault();
    const answers = form.read();
    if (answers === null) return;
    const before = turn;
    if (!(await askQuick(answers)) || before !== turn) return;
    keep();
    const wrong = form.wrong();
    if (Object.keys(wrong).length > 0) return draw(at, wrong);
    if (change) { change = null; return result(); }
    return quickScreen(at + 1);
  };
  const body = make("form", { novalidate: true, id: "form", "data-screen": screen.id, submit: go }, form.element);
  show([progress(at), heading(screen.title), make("p", { class: "small lead" }, screen.lead), ...errorBox(errors), body],
    [make("button", { type: "submit", form: "form", class: "strong wide" }, form.label ?? word("page.continue"))]);
  form.shown?.();
}

function errorBox(errors) {
  const all = Object.values(errors);
  if (all.length === 0) return [];
  document.title = `${word("page.error.title")}: ${document.title}`;
  return [make("div", { class: "error", role: "alert" }, make("p", {}, make("strong", {}, word("page.error.title"))),
    ...all.map((it) => make("p", {}, it)))];
}

/** One cell for each screen, in sections; it never runs backward, since the screens stay. */
function progress(at) {
  const sections = [];
  pass.screens.forEach((it, number) => {
    if (sections.at(-1)?.id !== it.section) sections.push({ id: it.section, label: it.section_label, screens: [] });
    sections.at(-1).screens.push(number);
  });
  return make("ol", { class: "progress", "aria-label": word("page.quick.progress", { number: at + 1, all: pass.screens.length }) },
    ...sections.map((it) => {
      const isNow = it.screens.includes(at);
      const isDone = it.screens.at(-1) < at;
      return make("li", { class: `w${it.screens.length}${isNow ? " now" : ""}`, "aria-current": isNow ? "step" : null },
        make("i", { "aria-hidden": "true" }, ...it.screens.map((number) => make("b", { class: number < at ? "done" : number === at ? "here" : "" }))),
        make("span", { "aria-hidden": "true" }, `${isDone ? "\u2713 " : ""}${it.label}${isNow && it.screens.length > 2 ? `\u00a0${at - it.screens[0] + 1}/${it.screens.length}` : ""}`));
    }));
}

// ---- The kinds of screens. Each gives its element, reads its answers, and says what was wrong.

function questionOf(screen, path) { return screen.questions.find((it) => it.path === path); }

function wrongOf(paths) {
  const res = {};
  for (const screen of pass.screens) for (const it of screen.questions) if (it.error && paths.includes(it.path)) res[it.path] = it.error;
  return res;
}

function placeForm(screen, errors) {
  const zip = textBox("zip", { inputmode: "text", autocomplete: "postal-code", autocapitalize: "characters", value: kept.typed?.postal ?? "", error: errors.postal });
  const hit = make("div", { class: "card hit", role: "status", hidden: true });
  const day = make("input", { type: "date", id: "day", class: "small-box" });
  day.value = kept.typed?.visit_date ?? today();
  let looked = 0;
  const look = async () => {
    looked += 1;
    const mine = looked;
    const answer = await door.ask({ ask: "quick", kept, units, today: today(), set: { postal: zip.input.value } }).catch(() => null);
    if (mine !== looked || !answer) return;
    const place = answer.place;
    hit.hidden = !place;
    if (place) {
      hit.replaceChildren(make("p", { class: "small" }, word("page.quick.place.is")), make("p", { class: "name" }, place.name),
        make("p", { class: "small" }, word("page.quick.place.from", { climate: place.climate })));
    }
    const go = document.querySelector("#bar .strong");
    if (go) go.textContent = place ? word("page.quick.place.yes") : word("page.continue");
  };
  zip.input.addEventListener("input", look);
  return {
    element: make("div", {},
      labelled(word("page.quick.place.label"), zip), hit,
      make("p", {}, make("button", { type: "button", class: "link", click: (event) => { event.target.hidden = true; zip.input.placeholder = "43.16, -77.61"; zip.input.focus(); say(word("page.quick.place.other.how")); } }, word("page.quick.place.other"))),
      make("div", { class: "line day" }, make("label", { for: "day" }, word("page.quick.day")), day)),
    shown: look,
    read: () => ({ postal: zip.input.value, visit_date: day.value || today() }),
    wrong: () => {
      const res = wrongOf(["postal", "visit_date"]);
      if (!pass.place && !res.postal) res.postal = word("page.quick.place.unknown", { typed: zip.input.value || "-" });
      const far = (new Date(kept.typed.visit_date) - new Date(today())) / 86400000;
      if (far > 1 && !placeForm.isDaySure) { res.visit_date = word("page.quick.day.ahead"); placeForm.isDaySure = true; }
      return res;
    },
  };
}

function labelled(text, box) { return make("div", {}, make("label", { class: "label", for: box.input.id }, text), box.element); }

function textBox(id, { value, error, unit, ...attributes }) {
  const input = make("input", { type: "text", id, autocomplete: "off", autocapitalize: "off", spellcheck: "false", "aria-invalid": error ? "true" : null, "aria-describedby": error ? `${id}-error` : null, ...attributes });
  input.value = value ?? "";
  return { input, element: make("div", {}, make("div", { class: "line" }, input, unit ? make("span", { class: "unit" }, unit) : null),
    error ? make("p", { id: `${id}-error`, class: "error" }, error) : null) };
}

/** A list to choose one answer from, for all readings at once. */
function choiceOf(view, id, now, choose, canBeOpen) {
  if (!view) return null;
  const select = make("select", { id, change: () => choose(select.value) },
    canBeOpen ? make("option", { value: "" }, word("page.answer.not_sure")) : null,
    ...view.choices.map((it) => make("option", { value: it.word, selected: now === it.word }, it.label)));
  return make("div", {}, make("label", { class: "label", for: id }, view.words.replace(/^[^:]*: /, "")), select);
}

// Readings: rows of value, spot and distance, with a pad of keys for a thumb.

function readingRows(screen, errors) {
  const views = Object.fromEntries(pass.row.map((it) => [it.path.split(".").at(-1), it]));
  const rows = pass.readings.length > 0 ? pass.readings.map((it) => ({ ...it })) : [{}, {}, {}];
  const first = rows[0] ?? {};
  const chosen = { kind: first.kind ?? "meter", scale: first.scale ?? "percent", meter_id: first.meter_id ?? "", meter_checked: first.meter_checked ?? "" };
  const list = make("div", { class: "rows", role: "group", "aria-label": screen.title });
  const pad = numberPad();
  const cell = (row, at, leaf, attributes) => {
    const path = `reading.${at + 1}.${leaf}`;
    const input = make("input", { type: "text", id: path, autocomplete: "off", spellcheck: "false", "aria-label": word("page.quick.row", { number: at + 1, what: word(`page.quick.${leaf}`) }),
      "aria-invalid": errors[path] ? "true" : null, input: () => { row[leaf] = input.value; kept.typed[path] = input.value; keep(); }, ...attributes });
    input.value = bare(row[leaf] ?? "");
    pad.serves(input, word("page.quick.row", { number: at + 1, what: word(`page.quick.${leaf}`) }));
    return input;
  };
  const unit = views.wall_distance_m?.unit ?? "";
  const redraw = () => list.replaceChildren(
    make("div", { class: "names", "aria-hidden": "true" }, make("span", {}, word("page.quick.value")), make("span", {}, word("page.quick.spot")), make("span", {}, word("page.quick.wall", { unit })), make("span", {})),
    ...rows.map((row, at) => make("div", { class: "reading" },
      cell(row, at, "value", { class: "number", inputmode: "decimal" }), cell(row, at, "spot", { placeholder: word("page.quick.where") }), cell(row, at, "wall_distance_m", { class: "number", inputmode: "decimal", placeholder: unit }),
      make("button", { type: "button", class: "icon-button", "aria-label": word("page.quick.remove", { number: at + 1 }), click: () => remove(at) }, "\u00d7"))));
  /** Of the spot that was typed last. */
  const photo = () => {
    const at = rows.findLastIndex((it) => (it.value ?? "").trim());
    return choosePhoto(rows[at]?.spot || word("page.quick.spot.number", { number: Math.max(at, 0) + 1 }));
  };
  const remove = (at) => {
    const [gone] = rows.splice(at, 1);
    redraw();
    undoBar(word("page.quick.removed"), () => { rows.splice(at, 0, gone); redraw(); });
  };
  redraw();
  const choose = (leaf) => choiceOf(views[leaf], `choose-${leaf}`, chosen[leaf], (word) => { chosen[leaf] = word; }, leaf === "meter_checked");
  const mark = textBox("meter", { value: chosen.meter_id });
  mark.input.addEventListener("input", () => { chosen.meter_id = mark.input.value; });
  return {
    element: make("div", {}, list,
      make("button", { type: "button", class: "wide", click: () => { rows.push({}); redraw(); list.querySelector(".reading:last-child input").focus(); } }, word("page.quick.add")),
      make("details", { class: "why" }, make("summary", {}, word("page.quick.meter")),
        make("div", {}, choose("kind"), choose("scale"), labelled(word("page.quick.mark"), mark), choose("meter_checked"))),
      make("p", { class: "row links" }, button("page.photo.add", photo, { class: "link" }), make("button", { type: "button", class: "link", click: noReading }, word("page.quick.no_reading"))),
      pad.element),
    shown: () => { if (!matchMedia("(pointer: fine)").matches) document.getElementById("reading.1.value")?.focus(); },
    read: () => {
      const res = {};
      const count = Math.max(rows.length, pass.readings.length);
      for (let at = 0; at < count; at += 1) {
        const row = rows[at] ?? {};
        const isRead = Boolean((row.value ?? "").trim());
        const put = (leaf, text) => { res[`reading.${at + 1}.${leaf}`] = isRead ? text ?? "" : ""; };
        put("value", row.value);
        put("spot", row.spot);
        put("wall_distance_m", withUnit(row.wall_distance_m, unit));
        put("kind", chosen.kind);
        put("scale", chosen.kind === "meter" ? chosen.scale : "");
        put("meter_id", chosen.kind === "meter" ? chosen.meter_id : "");
        put("meter_checked", chosen.kind === "meter" ? chosen.meter_checked : "");
        put("date", row.date);
        put("more", "yes");
      }
      if (!rows.some((it) => (it.value ?? "").trim())) res["reading.first"] = "no";
      return res;
    },
    wrong: () => Object.fromEntries(Object.entries(pass.refused ?? {}).filter(([path]) => path.startsWith("reading."))),
  };
}

/** The number alone, as it was typed beside the unit. */
function bare(text) { return /^[\d.,]+\s*[a-zA-Z%\u00b0]+$/.test(text) ? text.replace(/\s*[a-zA-Z%\u00b0]+$/, "") : text; }

function withUnit(text, unit) { return /^[\d.,]+$/.test((text ?? "").trim()) && unit ? `${text.trim()} ${unit}` : text ?? ""; }

async function noReading() {
  if (await askQuick({ "reading.first": "no" })) quickScreen(pass.screens.findIndex((it) => it.id === "readings") + 1);
}

/** Keys for a thumb; the boxes stay ordinary boxes, and "Phone keyboard" hands them back. */
function numberPad() {
  let target = null;
  const isTouch = matchMedia("(pointer: coarse)").matches;
  const name = make("strong", {}, "");
  const served = [];
  let isOn = isTouch;
  const type = (key) => {
    if (!target) return;
    const value = key === "delete" ? target.value.slice(0, -1) : key === "." && target.value.includes(".") ? target.value : target.value + key;
    target.value = value;
    target.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const next = () => {
    const boxes = [...document.querySelectorAll(".reading input")];
    (boxes[boxes.indexOf(target) + 1] ?? boxes[0]).focus();
  };
  // A tap on a key must not take the focus from its box.
  const key = (label, action, attributes) => make("button", { type: "button", pointerdown: (event) => event.preventDefault(), click: action, ...attributes }, label);
  const element = make("div", { class: "pad", role: "group", "aria-label": word("page.quick.pad"), hidden: true },
    make("p", { class: "line" }, name, key(word("page.quick.phone_keys"), () => { isOn = false; element.hidden = true; served.forEach((it) => { it.inputMode = it.dataset.mode; }); target?.blur(); target?.focus(); }, { class: "link" })),
    make("div", { class: "keys" },
      ...[..."123"].map((it) => key(it, () => type(it))), key(word("page.quick.delete"), () => type("delete"), { class: "word" }),
      ...[..."456"].map((it) => key(it, () => type(it))), key(word("page.quick.next_box"), next, { class: "word tall" }),
      ...[..."789"].map((it) => key(it, () => type(it))),
      make("button", { type: "submit", class: "strong" }, word("page.continue")),
      key("0", () => type("0"), { class: "two" }), key(".", () => type("."))));
  return {
    element,
    serves: (input, label) => {
      served.push(input);
      input.dataset.mode = input.getAttribute("inputmode") ?? "text";
      const isNumber = input.dataset.mode === "decimal";
      if (isOn && isNumber) input.inputMode = "none";
      input.addEventListener("focus", () => { target = input; name.textContent = label; element.hidden = !isOn || !isNumber; element.classList.toggle("low", element.offsetHeight > innerHeight / 2); });
      input.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); next(); } });
    },
  };
}

/** A line at the bottom with one thing to do; it goes by itself. */
function undoBar(text, undo, label = "page.undo") {
  const bar = document.getElementById("undo");
  const end = () => { bar.hidden = true; bar.replaceChildren(); };
  bar.replaceChildren(make("span", {}, text), make("button", { type: "button", class: "link", click: () => { end(); undo(); } }, word(label)));
  bar.hidden = false;
  clearTimeout(undoBar.timer);
  undoBar.timer = setTimeout(end, 12000);
}

function choosePhoto(spot) {
  const chosen = document.getElementById("photo");
  chosen.onchange = async () => {
    const [file] = chosen.files;
    chosen.value = "";
    if (file) { await addPhoto(file, spot); say(word("page.photo.kept", { spot })); }
  };
  chosen.click();
}

// A list of what can spoil a reading.

function checkList(screen, errors) {
  const list = make("div", { class: "choices" });
  const open = {};
  const none = make("input", { type: "checkbox", id: "none" });
  const unsure = make("input", { type: "checkbox", id: "unsure" });
  const items = screen.questions.map((view) => {
    const tick = make("input", { type: "checkbox", id: `tick-${view.path}` });
    const isTrue = view.typed !== "" && kept.typed?.[view.path] !== undefined && ![view.ruled_out, "not sure", "never"].includes(kept.typed[view.path]);
    tick.checked = isTrue;
    const inside = make("div", { class: "inside", hidden: !isTrue });
    const field = answerField(view, errors[view.path], view.ruled_out);
    inside.append(make("p", { class: "label" }, view.words), field.element);
    open[view.path] = { tick, field, view };
    tick.addEventListener("change", () => { inside.hidden = !tick.checked; if (tick.checked) { none.checked = false; unsure.checked = false; } });
    return make("div", {}, choiceLabel(tick, view.line), inside);
  });
  const only = (box, other) => box.addEventListener("change", () => {
    if (!box.checked) return;
    other.checked = false;
    Object.values(open).forEach(({ tick }) => { tick.checked = false; tick.dispatchEvent(new Event("change")); });
    box.checked = true;
  });
  only(none, unsure);
  only(unsure, none);
  const states = screen.questions.map((it) => kept.typed?.[it.path]);
  none.checked = states.length > 0 && states.every((it, at) => it === screen.questions[at].ruled_out);
  unsure.checked = states.length > 0 && states.every((it) => it === "not sure");
  list.append(...items, choiceLabel(none, word("page.quick.none")), choiceLabel(unsure, word("page.answer.not_sure"), "not-sure"));
  return {
    element: list,
    read: () => {
      const res = {};
      const isAny = Object.values(open).some(({ tick }) => tick.checked);
      if (!isAny && !none.checked && !unsure.checked) { draw(pass.screens.indexOf(screen), { none: word("page.quick.checks.none") }); return null; }
      for (const [path, { tick, field, view }] of Object.entries(open)) {
        res[path] = tick.checked ? field.read() || "not sure" : unsure.checked ? (view.not_sure ? "not sure" : "") : view.ruled_out;
      }
      return res;
    },
    wrong: () => wrongOf(Object.keys(open)),
  };
}

function choiceLabel(input, text, extra, small) {
  return make("label", { class: extra ?? "" }, input, make("span", { class: "mark", "aria-hidden": "true" }), make("span", {}, text, small ? make("small", {}, small) : null));
}

/** How one question is answered: choices, months, or a box. `except` is a choice that the list itself gives. */
function answerField(view, error, except) {
  if (view.takes === "choice") {
    const group = make("div", { class: "choices", role: "radiogroup", "aria-label": view.words });
    const options = view.choices.filter((it) => it.word !== except);
    const all = [...options.map((it) => [it.word, it.label, it.chosen]), ...(view.not_sure ? [["not sure", word("page.answer.not_sure"), view.unsure]] : [])];
    all.forEach(([value, label, isChosen], at) => {
      const radio = make("input", { type: "radio", name: view.path, value, id: at === 0 ? `answer-${view.path}` : null });
      radio.checked = isChosen;
      group.append(choiceLabel(radio, label, value === "not sure" ? "not-sure" : ""));
    });
    return { element: group, read: () => group.querySelector("input:checked")?.value ?? "" };
  }
  if (view.takes === "months") {
    const all = view.choices.map((it) => { const tick = make("input", { type: "checkbox", value: it.word }); tick.checked = it.chosen; return [tick, it.label]; });
    const element = make("fieldset", { class: "months" }, make("legend", { class: "unseen" }, view.words), ...all.map(([tick, label]) => make("label", {}, tick, make("span", {}, label))));
    return { element, read: () => all.filter(([tick]) => tick.checked).map(([tick]) => tick.value).join(", ") || "not sure" };
  }
  const isYear = view.path.endsWith("year_built");
  const box = textBox(`answer-${view.path}`, { value: bare(view.typed), error, unit: view.unit, type: view.takes === "date" ? "date" : "text", inputmode: isYear ? "numeric" : view.takes === "number" ? "decimal" : null, "aria-label": view.words });
  const unsure = view.not_sure ? make("input", { type: "checkbox" }) : null;
  if (unsure) {
    unsure.checked = view.unsure;
    unsure.addEventListener("change", () => { if (unsure.checked) box.input.value = ""; });
    box.input.addEventListener("input", () => { unsure.checked = false; });
  }
  const element = make("div", {}, box.element, view.hint ? make("p", { class: "small" }, view.hint) : null, unsure ? make("div", { class: "choices" }, choiceLabel(unsure, word("page.answer.not_sure"), "not-sure")) : null);
  return { element, read: () => unsure?.checked ? "not sure" : withUnit(box.input.value, view.unit) };
}

// One question with what follows from its answer; what follows shows as soon as it is asked.

function questionForms(screen, errors) {
  const element = make("div", { class: "forms" });
  let fields = [];
  const drawAll = (asked) => {
    fields = asked.map((view) => [view, answerField(view, errors[view.path])]);
    element.replaceChildren(...fields.map(([view, field], at) => make("section", { "data-path": view.path },
      at === 0 && view.takes !== "choice" ? null : at === 0 ? null : make("h2", {}, view.words), field.element, whyOf(view))));
  };
  drawAll(screen.questions);
  const read = () => Object.fromEntries(fields.map(([view, field]) => [view.path, field.read()]));
  element.addEventListener("change", async () => {
    const typed = read();
    const answer = await door.ask({ ask: "quick", kept, units, today: today(), set: typed }).catch(() => null);
    if (answer && (change || screen.id === pass.screens.at(-1).id)) beginResult(answer.kept);
    const now = answer?.screens?.find((it) => it.id === screen.id)?.questions ?? [];
    if (now.length === 0 || now.map((it) => it.path).join() === fields.map(([it]) => it.path).join()) return;
    const focused = document.activeElement?.value;
    drawAll(now);
    [...element.querySelectorAll("input")].find((it) => it.value === focused && it.checked)?.focus();
  });
  return {
    element,
    read: () => {
      const res = read();
      const open = fields.filter(([view]) => !res[view.path]);
      if (open.length === 0) return res;
      draw(pass.screens.indexOf(screen), Object.fromEntries(open.map(([view]) => [view.path, word("page.quick.pick", { question: view.words })])));
      return null;
    },
    wrong: () => wrongOf(fields.map(([it]) => it.path)),
  };
}

function whyOf(view) {
  return make("details", { class: "why" }, make("summary", {}, word("page.why")), make("p", {}, view.why));
}

function limitForm(screen, errors) {
  const group = make("div", { class: "choices", role: "radiogroup", "aria-label": screen.title });
  const quotes = [["film_now", "film"], ["primer", "primer"], ["breathable", "breathable"], ["", "unsure"]];
  for (const [value, key] of quotes) {
    const radio = make("input", { type: "radio", name: "quoted", value });
    radio.checked = (visit.quoted ?? "") === value && visit.isQuoteAsked === true;
    group.append(choiceLabel(radio, word(`page.quick.quote.${key}`), value ? "" : "not-sure", word(`page.quick.quote.${key}.small`)));
  }
  const view = questionOf(screen, "limit.meter_percent");
  const box = view ? textBox("limit", { inputmode: "decimal", value: bare(kept.typed?.["limit.meter_percent"] === "not sure" ? "" : kept.typed?.["limit.meter_percent"] ?? ""), unit: "%", error: errors["limit.meter_percent"] }) : null;
  const none = make("input", { type: "checkbox", id: "no-limit" });
  none.checked = kept.typed?.["limit.meter_percent"] === "not sure";
  none.addEventListener("change", () => { if (none.checked) box.input.value = ""; });
  box?.input.addEventListener("input", () => { none.checked = false; });
  return {
    element: make("div", {}, group, box ? make("div", {}, labelled(word("page.quick.limit.label"), box), make("div", { class: "choices" }, choiceLabel(none, word("page.quick.limit.none"), "not-sure", word("page.quick.limit.none.small")))) : null),
    read: () => {
      const quoted = group.querySelector("input:checked");
      if (!quoted || (box && !box.input.value.trim() && !none.checked)) {
        const say = quoted ? { "limit.meter_percent": word("page.quick.limit.missing") } : { quoted: word("page.quick.quote.missing") };
        if (quoted) { visit.quoted = quoted.value; visit.isQuoteAsked = true; }
        draw(pass.screens.indexOf(screen), say);
        return null;
      }
      visit.quoted = quoted.value;
      visit.isQuoteAsked = true;
      if (!box) return {};
      return none.checked ? { "limit.meter_percent": "not sure", "limit.source": "" } : { "limit.meter_percent": box.input.value, "limit.source": "data sheet" };
    },
    wrong: () => wrongOf(["limit.meter_percent", "limit.source"]),
  };
}
