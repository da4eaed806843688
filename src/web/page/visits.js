// ---- Visits on this device, and files.

const LARGEST_VISIT_BYTES = 2000000;
const LARGEST_EXPORT_BYTES = 60000000;

async function visitsScreen() {
  turn += 1;
  const mine = turn;
  await writing;
  const all = (await store.all("visits")).filter(hasAnswers).sort((a, b) => (a.changed < b.changed ? 1 : -1));
  if (mine !== turn) return;
  again = visitsScreen;
  const list = make("ul", { class: "plain visits" });
  const search = textBox("search", { "aria-label": word("page.visits.search"), placeholder: word("page.visits.search"), type: "search" });
  const draw = () => {
    const wanted = search.input.value.trim().toLowerCase();
    const hits = all.filter((it) => visitText(it).toLowerCase().includes(wanted));
    list.replaceChildren(...(hits.length ? hits.map((it) => visitRow(it, all)) : [make("li", {}, word("page.visits.none"))]));
  };
  search.input.addEventListener("input", draw);
  draw();
  head(word("page.visits"), startScreen);
  show([heading(word("page.visits.title")), search.element, make("p", { class: "small" }, word("page.visits.count", { count: all.length })), list,
    make("p", { class: "row" }, button("page.visits.export", exportAll), button("page.visits.import", load))],
  [button("page.visits.new", () => begin("estimator"), { class: "strong wide" })]);
}

function visitText(it) {
  return [nameOf(it), it.summary?.place, dayWords(it.kept.typed?.visit_date ?? it.created), it.summary?.grade, it.kept.typed?.postal].filter(Boolean).join(" ");
}

function visitRow(it) {
  const open = () => { openVisit(it); goOnWith(it); };
  const state = it.summary?.grade ? make("span", {}, make("b", {}, it.summary.grade), it.summary.next ? ` \u00b7 ${it.summary.next}` : "") : make("b", {}, word("page.visits.unfinished"));
  return make("li", { class: "card" },
    make("button", { type: "button", class: "open", click: open }, make("b", {}, nameOf(it)),
      make("small", {}, [it.summary?.place, dayWords(it.kept.typed?.visit_date ?? it.created)].filter(Boolean).join(" \u00b7 ")), state),
    make("details", { class: "more" }, make("summary", { "aria-label": word("page.visits.more", { name: nameOf(it) }) }, "\u22ee"),
      make("div", { class: "row" },
        it.summary?.grade ? button("page.visits.read_again", () => againScreen(it)) : null,
        button("page.visits.rename", () => rename(it)), button("page.visits.copy", () => duplicate(it)),
        button("page.save", () => saveVisit(it)), button("page.visits.delete", () => removeVisit(it)))));
}

/** Rows that a later visit begins with at most. */
const MOST_SPOTS = 6;

/** Readings of a later day: the old statement stays, and the result is told anew. */
async function againScreen(it) {
  turn += 1;
  const mine = turn;
  openVisit(it);
  if (!(await askQuick()) || mine !== turn) return;
  again = () => againScreen(it);
  const day = make("input", { type: "date", id: "again-day", class: "small-box" });
  day.value = today();
  const unit = units === "si" ? "m" : "ft";
  const views = Object.fromEntries(pass.row.map((view) => [view.path.split(".").at(-1), view]));
  const last = (leaf) => pass.readings.map((row) => row[leaf]).findLast((text) => text) ?? "";
  const by = { kind: last("kind") || "meter", scale: last("scale") || "percent" };
  const rowAt = (at) => {
    const box = (leaf, attributes) => make("input", { type: "text", id: `again-${at + 1}-${leaf}`, autocomplete: "off", spellcheck: "false",
      "aria-label": word("page.quick.row", { number: at + 1, what: word(`page.quick.${leaf}`) }), ...attributes });
    const res = { value: box("value", { class: "number", inputmode: "decimal" }), spot: box("spot", { placeholder: word("page.quick.where") }),
      wall: box("wall_distance_m", { class: "number", inputmode: "decimal", placeholder: unit }) };
    res.spot.value = pass.readings[at]?.spot ?? "";
    return res;
  };
  const rows = Array.from({ length: Math.max(3, Math.min(pass.readings.length, MOST_SPOTS)) }, (_, at) => rowAt(at));
  const mark = textBox("again-meter", { value: last("meter_id") });
  const choose = (leaf) => choiceOf(views[leaf], `again-${leaf}`, by[leaf], (word) => { by[leaf] = word; });
  const list = make("div", { class: "rows", role: "group", "aria-label": word("page.again.title") },
    make("div", { class: "names", "aria-hidden": "true" }, make("span", {}, word("page.quick.value")), make("span", {}, word("page.quick.spot")), make("span", {}, word("page.quick.wall", { unit }))));
  const put = (row) => list.append(make("div", { class: "reading" }, row.value, row.spot, row.wall));
  rows.forEach(put);
  const more = () => { rows.push(rowAt(rows.length)); put(rows.at(-1)); rows.at(-1).value.focus(); };
  const error = make("div", {});
  const send = async (event) => {
    event.preventDefault();
    const readings = rows.map((row) => ({ value: row.value.value, spot: row.spot.value, wall: row.wall.value.trim() ? withUnit(row.wall.value, unit) : "" }));
    const answer = await guarded(door.ask({ ask: "again", kept, day: day.value || today(), by: { ...by, meter: mark.input.value }, readings }));
    if (mine !== turn || !answer) return;
    if (answer.error) { error.replaceChildren(...errorBox({ again: answer.error })); return; }
    // The statement before the new readings, where none was kept yet.
    if (!(visit.said ?? []).length) await keepStatement(mine);
    if (mine !== turn) return;
    kept = answer.kept;
    await keep();
    await result();
  };
  head(word("page.visits.read_again"), visitsScreen);
  show([heading(word("page.again.title")), make("p", { class: "small lead" }, word("page.again.lead")), error,
    make("form", { id: "form", novalidate: true, "data-screen": "again", submit: send },
      make("div", { class: "line day" }, make("label", { for: "again-day" }, word("page.again.day")), day),
      list, make("button", { type: "button", class: "wide", click: more }, word("page.quick.add")),
      make("details", { class: "why" }, make("summary", {}, word("page.quick.meter")), make("div", {}, choose("kind"), choose("scale"), labelled(word("page.quick.mark"), mark))))],
  [make("button", { type: "submit", form: "form", class: "strong wide" }, word("page.again.go"))]);
}

async function rename(it) {
  turn += 1;
  const box = textBox("name", { value: nameOf(it) });
  head(word("page.visits"), visitsScreen);
  const done = async (event) => {
    event.preventDefault();
    it.name = box.input.value.trim();
    await store.put("visits", { ...it, rev: it.rev + 1 });
    visitsScreen();
  };
  show([heading(word("page.visits.rename")), make("form", { id: "form", novalidate: true, submit: done }, labelled(word("page.visits.name"), box))],
    [make("button", { type: "submit", form: "form", class: "strong wide" }, word("page.continue"))]);
}

async function duplicate(it) {
  const copy = { ...structuredClone(it), id: newId(), rev: 1, name: word("page.visits.copy_of", { name: nameOf(it) }), changed: new Date().toISOString() };
  await store.put("visits", copy);
  await visitsScreen();
  say(word("page.visits.copied", { name: nameOf(copy) }));
}

async function removeVisit(it) {
  const photos = await store.photosOf(it.id);
  await store.remove("visits", it.id);
  if (visit?.id === it.id) { visit = null; kept = {}; }
  await visitsScreen();
  undoBar(word("page.visits.deleted", { name: nameOf(it) }), async () => {
    await store.put("visits", { ...it, rev: it.rev + 1 });
    visitsScreen();
  });
  // Photos go only when the way back is gone.
  setTimeout(async () => {
    if (await store.get("visits", it.id)) return;
    for (const photo of photos) store.remove("photos", photo.id);
  }, 13000);
}

async function saveVisit(it) {
  const answer = await guarded(door.ask({ ask: "save", kept: it.kept }));
  if (!answer) return;
  if (answer.error) return tell(answer.error);
  download(answer.name, answer.text, "application/toml");
  say(word("page.saved", { name: answer.name }));
}

function save() { return saveVisit({ kept }); }

async function exportAll() {
  await writing;
  const visits = [];
  for (const it of (await store.all("visits")).filter(hasAnswers)) {
    const answer = await door.ask({ ask: "save", kept: it.kept }).catch(() => ({}));
    const photos = [];
    for (const photo of await store.photosOf(it.id)) photos.push({ spot: photo.spot, day: photo.day, type: photo.type, picture: await asLetters(photo.picture) });
    visits.push({ name: it.name, created: it.created, changed: it.changed, quoted: it.quoted, visit: answer.text ?? "", kept: it.kept, said: it.said ?? [], photos });
  }
  const name = `slabseason-visits-${today()}.json`;
  download(name, JSON.stringify({ format: "slabseason visits", version: 1, visits }, null, 1), "application/json");
  say(word("page.visits.exported", { name, count: visits.length }));
}

function load() { document.getElementById("file").click(); }

async function take(file) {
  const isExport = file.name.toLowerCase().endsWith(".json");
  const isLedger = file.name.toLowerCase().endsWith(".jsonl");
  if (file.size > (isExport || isLedger ? LARGEST_EXPORT_BYTES : LARGEST_VISIT_BYTES)) {
    return tell(word("page.load.large", { name: file.name, size: Math.round(file.size / 1e6), most: isExport || isLedger ? LARGEST_EXPORT_BYTES / 1e6 : LARGEST_VISIT_BYTES / 1e6 }));
  }
  if (isExport) return importAll(file);
  if (isLedger) return importLedger(file);
  const answer = await guarded(door.ask({ ask: "load", name: file.name, text: await file.text() }));
  if (!answer) return;
  if (answer.error) return tell(word("page.load.bad"), answer.error.split("\n"));
  openVisit({ ...newVisit(), name: file.name.replace(/\.toml$/i, ""), kept: answer.kept });
  kept = answer.kept;
  await keep();
  await talk({ do: "check" });
  say(word("page.loaded"));
}

async function importAll(file) {
  let found;
  try {
    found = JSON.parse(await file.text());
    if (found.format !== "slabseason visits" || !Array.isArray(found.visits)) throw new Error("format");
  } catch {
    return tell(word("page.visits.import.bad", { name: file.name }));
  }
  let count = 0;
  const refused = [];
  for (const it of found.visits) {
    const answer = await door.ask({ ask: "talk", kept: it.kept ?? {}, units, today: today(), act: { do: "show" } }).catch((error) => ({ error: String(error) }));
    if (answer.error) { refused.push(`${it.name || "?"}: ${answer.error}`); continue; }
    const record = { ...newVisit(), rev: 1, name: String(it.name ?? ""), created: String(it.created ?? today()), changed: String(it.changed ?? ""), quoted: String(it.quoted ?? ""), kept: it.kept, said: Array.isArray(it.said) ? it.said : [] };
    await store.put("visits", record);
    for (const photo of (it.photos ?? []).slice(0, MOST_PHOTOS)) {
      try { await store.put("photos", { id: newId(), visit: record.id, spot: String(photo.spot), day: String(photo.day), type: "image/jpeg", picture: asPicture(photo.picture, "image/jpeg") }); } catch { refused.push(word("page.photo.bad", { name: String(photo.spot) })); }
    }
    count += 1;
  }
  await visitsScreen();
  say(word("page.visits.imported", { count }));
  if (refused.length) tell(word("page.visits.import.some"), refused);
}

/** The floors of a ledger's export, each with what was said of it. A floor that is here already
 * under its name takes the newer answers and the statements that it lacks. */
async function importLedger(file) {
  const answer = await guarded(askSlowly({ ask: "ledger", name: file.name, text: await file.text() }));
  if (!answer) return;
  if (answer.error) return tell(answer.error);
  const here = await store.all("visits");
  for (const it of answer.floors) {
    const same = here.find((one) => one.isFromLedger && one.name === it.name);
    const record = same ? { ...same, kept: it.kept, said: it.said, rev: same.rev + 1 } : { ...newVisit(), rev: 1, name: it.name, kept: it.kept, said: it.said, isFromLedger: true };
    const shown = await door.ask({ ask: "said", kept: it.kept, lines: it.said.slice(-1) }).catch(() => null);
    if (shown?.said?.length) record.summary = { ...record.summary, grade: shown.said[0].says, next: shown.said[0].day };
    record.screen = "result";
    record.changed = new Date().toISOString();
    await store.put("visits", record);
  }
  await visitsScreen();
  say(word("page.ledger.read", { floors: answer.floors.length, statements: answer.statements }));
  const wrong = [...(answer.is_sound ? [] : [word("page.ledger.broken", { name: file.name })]), ...answer.refused];
  if (wrong.length) tell(word("page.visits.import.some"), wrong);
}

async function clear() {
  if (!visit || !hasAnswers({ kept })) return startScreen();
  if (!(await sure("page.clear.sure", "page.yes.clear"))) return;
  return removeVisit(visit);
}

// ---- Sheets of paper.

function paperLinks(isHome) {
  return make("section", { class: "sec papers" }, make("h2", {}, word("page.sheets")), make("p", { class: "row" },
    isHome ? null : button("page.sheet.report", () => paper({ sheet: "report" })),
    isHome ? null : button("page.sheet.notice", noticeScreen),
    button("page.sheet.homeowner", () => paper({ sheet: "homeowner" })),
    button("page.sheet.calendar", calendarFile), button("page.save", save), photosButton()));
}

function photosButton() { return button("page.photos", photosScreen); }

async function photosScreen() {
  turn += 1;
  const photos = await store.photosOf(visit.id);
  again = photosScreen;
  head(word("page.photos"), result);
  show([heading(word("page.photos")), make("p", { class: "small" }, word("page.photos.lead")),
    make("ul", { class: "plain photos" }, ...photos.map((it) => make("li", { class: "card" },
      make("img", { src: URL.createObjectURL(it.picture), alt: word("page.photo.alt", { spot: it.spot, day: dayWords(it.day) }) }),
      make("p", { class: "line" }, make("span", {}, it.spot), button("page.photo.remove", async () => {
        await store.remove("photos", it.id);
        await photosScreen();
        undoBar(word("page.photo.removed"), async () => { await store.put("photos", it); photosScreen(); });
      }, { class: "link" })))))],
  [button("page.photo.add", () => choosePhoto(word("page.photo.floor")), { class: "wide" })]);
}

/** A sheet on a screen of its own, to look at and to print. */
async function paper(of) {
  turn += 1;
  const mine = turn;
  say(word("page.sheet.making"));
  const answer = await askSlowly({ ask: "sheet", kept, units, quote: visit.quoted || null, of }).catch((error) => ({ error: String(error) }));
  if (mine !== turn) return;
  again = () => paper(of);
  head(word("page.sheets"), result);
  const bar = answer.html ? [button("page.print", () => print(), { class: "strong wide" })] : [];
  const settings = of.sheet === "notice" ? noticeSettings(of) : null;
  if (answer.error) show([heading(word("page.sheet.refused")), make("p", { role: "alert" }, answer.error), settings], []);
  else show([settings, fragment(answer.html)], bar, of.sheet === "report" ? "en" : language);
  say("");
}

async function noticeScreen() {
  const company = (await recalled("company")) ?? {};
  return paper({ sheet: "notice", variant: null, figures: "words", standing: "as_said", company });
}

const COMPANY = ["name", "address", "phone", "email", "license"];

function noticeSettings(of) {
  const kinds = ["", "fine", "doubtful", "against_advice", "fix_first", "declined"];
  const names = ["page.notice.by_verdict", ...kinds.slice(1).map((it) => `page.notice.${it}`)];
  const select = make("select", { id: "variant", change: () => paper({ ...of, variant: select.value || null }) },
    ...kinds.map((it, at) => make("option", { value: it, selected: (of.variant ?? "") === it }, word(names[at]))));
  const percent = make("input", { type: "checkbox", change: () => paper({ ...of, figures: percent.checked ? "percent" : "words" }) });
  percent.checked = of.figures === "percent";
  const boxes = COMPANY.map((it) => [it, textBox(`company-${it}`, { value: of.company?.[it] ?? "", autocomplete: { name: "organization", address: "street-address", phone: "tel", email: "email" }[it] ?? "off" })]);
  const lawyer = make("input", { type: "checkbox" });
  lawyer.checked = of.company?.wording_read_by_lawyer === true;
  const keepCompany = async (event) => {
    event.preventDefault();
    const company = Object.fromEntries(boxes.map(([name, box]) => [name, box.input.value.trim()]).filter(([, text]) => text));
    company.wording_read_by_lawyer = lawyer.checked;
    await remember("company", company);
    paper({ ...of, company });
  };
  return make("section", { class: "settings" }, make("label", { class: "label", for: "variant" }, word("page.notice.variant")), select,
    make("label", { class: "tick" }, percent, make("span", {}, word("page.notice.percent"))),
    make("details", { class: "why" }, make("summary", {}, word("page.company")), make("form", { novalidate: true, submit: keepCompany },
      make("p", { class: "small" }, word("page.company.lead")),
      ...boxes.map(([name, box]) => labelled(word(`page.company.${name}`), box)),
      make("label", { class: "tick" }, lawyer, make("span", {}, word("page.company.lawyer"))),
      make("button", { type: "submit" }, word("page.company.keep")))));
}

async function calendarFile() {
  say(word("page.sheet.making"));
  const answer = await askSlowly({ ask: "sheet", kept, units, quote: visit.quoted || null, of: { sheet: "calendar" } }).catch((error) => ({ error: String(error) }));
  say("");
  if (answer.error) return tell(answer.error);
  download(answer.name, answer.text, "text/calendar");
  say(word("page.sheet.calendar.saved", { name: answer.name }));
}
