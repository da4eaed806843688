// ---- The result: one card, the year, the options, what comes next. Every number and word of
// it comes from the module's document; here it is only laid out.

const TILE = 15;

async function result() {
  turn += 1;
  const mine = turn;
  say(word("page.result.working"));
  visit.screen = "result";
  const answers = resultAnswers();
  const quick = await guarded(answers.first);
  if (mine !== turn || !quick) return;
  again = result;
  const isHome = quick.who === "homeowner";
  const back = () => (isHome || kept.file || kept.rest ? talk({ do: "check" }) : quickScreen((pass?.screens?.length ?? 1) - 1, true));
  if (quick.error) {
    head(word("page.result.title"), startScreen);
    show([heading(word("page.result.title")), quick.missing ? missingList(quick.missing) : make("p", { role: "alert" }, quick.error)],
      [button("page.check", () => talk({ do: "check" }), { class: "strong wide" })]);
    return;
  }
  remembered(quick);
  head(word(isHome ? "page.home.result" : "page.result.title"), back);
  const parts = resultParts(quick, isHome);
  show([parts.element, parts.printed], isHome ? [button("page.next.add", calendarFile, { class: "strong" }), button("page.print", () => print(), {})]
    : [button("page.customer", () => customerScreen(quick.card), { class: "strong" }), button("page.sheet.notice", noticeScreen)]);
  main.classList.add("result");
  say("");
  parts.whatIf.replaceChildren();
  whatIf(parts.whatIf, quick);
  // A thread that ends on its way, as on a phone short of memory, is asked once more anew.
  const whole = await answers.whole().catch(() => (mine === turn ? askSlowly({ ...resultRequest(kept), effort: "whole" }) : null)).catch(() => null);
  if (mine !== turn || !whole || whole.error) return;
  remembered(whole);
  parts.fill(whole);
  say(word("page.result.done"));
  await keepStatement(mine);
  if (mine === turn) await fillSaid(parts.said);
}

/** States the result and seals it, once for what was said: a change on the same day takes the
 * place of the statement, a change on a later day, or later readings, stand after it. */
async function keepStatement(mine) {
  const all = visit.said ?? [];
  const last = all.at(-1);
  const before = (at) => (at > 0 ? all[at - 1].seal : null);
  const answer = await askSlowly({ ask: "state", kept, quote: visit.quoted || null, on: today(), before: last?.seal ?? null }).catch(() => null);
  if (mine !== turn || !answer || answer.error) return;
  const [fresh, old] = [JSON.parse(answer.sealed.content), last && JSON.parse(last.content)];
  if (old && fresh.visit === old.visit && fresh.tables === old.tables && fresh.model === old.model && fresh.headline?.way === old.headline?.way) return;
  if (old && !visit.isFromLedger && last.on === today() && old.visit_date === fresh.visit_date) {
    const again = await askSlowly({ ask: "state", kept, quote: visit.quoted || null, on: today(), before: before(all.length - 1) }).catch(() => null);
    if (mine !== turn || !again || again.error) return;
    all[all.length - 1] = again.sealed;
  } else {
    all.push(answer.sealed);
  }
  visit.said = all;
  keep();
}

/** What was said of this floor and when, beside what was read later. */
async function fillSaid(section) {
  const lines = visit.said ?? [];
  const answer = lines.length ? await door.ask({ ask: "said", kept, lines }).catch(() => null) : null;
  section.hidden = !answer?.said?.length;
  if (section.hidden) return;
  section.replaceChildren(make("h2", {}, word("page.said")), make("p", { class: "small" }, word("page.said.lead")),
    make("ul", { class: "plain" }, ...answer.said.map((it) => make("li", { class: "card pad-in" },
      make("p", {}, make("strong", {}, it.day)), make("p", {}, it.says), it.broken ? make("p", { class: "error" }, it.broken) : null,
      ...it.months.filter(([, , read]) => read).map(([month, , read]) => make("p", {}, word("page.said.read", { readings: `${month}: ${read}` }))),
      it.months.length ? make("details", { class: "why" }, make("summary", {}, word("page.said.months")),
        make("dl", { class: "said" }, ...it.months.map(([month, count, read]) => make("div", {}, make("dt", {}, month), make("dd", {}, count, read ? make("span", {}, read) : null))))) : null,
      make("p", { class: "small" }, word("page.said.seal", { seal: it.seal }))))),
    make("p", {}, button("page.visits.read_again", () => againScreen(visit))));
}

/** What the list of visits shows of a visit that has a result. */
function remembered(answer) {
  visit.summary = { ...visit.summary, place: answer.card.place, grade: answer.card.word, tiles: answer.card.tiles, next: answer.card.next[0]?.text ?? "" };
  keep();
}

function resultParts(answer, isHome) {
  const top = make("div", { class: "stick" });
  const year = make("section", { class: "sec", id: "year" });
  const options = make("section", { class: "sec", id: "options" });
  const next = make("section", { class: "sec", id: "next" });
  const why = make("section", { class: "sec", id: "why" });
  const sharpen = make("section", { class: "sec", id: "sharpen" });
  const whatIf = make("section", { class: "sec what-if", id: "what-if-part" });
  const said = make("section", { class: "sec", id: "said", hidden: true });
  const home = make("section", { class: "sec home", id: "home", hidden: true });
  const standing = make("p", { class: "small foot" }, answer.card.standing);
  // A homeowner's own document says why and what to do; options are for who quotes.
  const parts = isHome ? [home, year, sharpen, whatIf, paperLinks(true), standing]
    : [year, options, next, why, said, sharpen, whatIf, paperLinks(false), standing];
  const printed = make("div", { class: "print-only", lang: isHome || language === "en" ? null : "en" });
  const fill = ({ card, document, print }) => {
    top.replaceChildren(verdictCard(card));
    fillYear(year, card);
    fillSharpen(sharpen, card);
    if (print) printed.replaceChildren(fragment(print));
    if (document) { home.replaceChildren(fragment(document)); home.hidden = false; }
    if (isHome) return;
    fillOptions(options, card);
    fillNext(next, card);
    fillWhy(why, card);
  };
  fill(answer);
  return { element: make("div", { class: "cols" }, top, make("div", { class: "rest" }, ...parts)), printed, whatIf, said, fill };
}

/** The risk word, the action, the floors, the month. */
function verdictCard(card) {
  const tiles = card.tiles > 0 ? make("span", { class: "tiles", "aria-hidden": "true" }, ...Array.from({ length: card.tiles }, () => dropTile())) : null;
  const head = make("div", { class: "head" },
    make("div", { class: "grade" }, heading("", { class: "word" }), tiles),
    make("p", { class: "act" }, card.action));
  head.querySelector("h1").append(...(card.label ? [make("small", {}, card.label), " "] : []), card.word);
  const lead = card.lead;
  const fact = lead ? make("div", { class: "fact" }, hundred(lead),
    make("div", {}, make("p", { class: "big" }, lead.lead ? make("small", {}, lead.lead) : null, lead.number),
      make("p", { class: "of" }, lead.says),
      lead.month ? make("p", { class: "mon" }, make("b", {}, lead.month), lead.month_says) : null)) : null;
  const notes = (card.notes ?? []).map((it) => make("p", { class: "small" }, it));
  const two = card.second ? make("div", { class: "card two" }, make("p", { class: "line" }, make("span", {}, card.second.says), make("b", {}, card.second.count)), cells(card.second)) : null;
  return make("div", {}, make("p", { class: "small meta" }, card.meta), make("article", { class: `verdict ${card.kind} tiles-${card.tiles}` }, head, fact), ...(card.customer ? [customerBlock(card)] : []), two, ...notes);
}

function dropTile() {
  return shape("svg", { viewBox: "0 0 17 17", width: "17", height: "17" }, shape("path", { "fill-rule": "evenodd", fill: "currentColor", d: "M1 1h15v15H1zM8.5 3.5C10.4 6.4 12 8 12 10a3.5 3.5 0 0 1-7 0c0-2 1.6-3.600 3.500-6.500z" }));
}

/** A hundred floors as tiles, filled from below as water rises. */
function hundred(chance) {
  const picture = shape("svg", { viewBox: `0 0 ${10 * TILE} ${10 * TILE}`, class: "hundred", role: "img", "aria-label": chance.spoken });
  for (let at = 0; at < 100; at += 1) {
    const [x, y] = [(at % 10) * TILE, (9 - Math.floor(at / 10)) * TILE];
    const isWet = at < chance.filled;
    const isOpen = chance.edge === "few" ? at < 5 : chance.edge === "most" ? at >= 95 : false;
    picture.append(shape("rect", { x: x + 1.5, y: y + 1.5, width: TILE - 3, height: TILE - 3, class: isOpen ? "tile open" : isWet ? "tile wet" : "tile" }));
    if (isWet && !isOpen) picture.append(shape("path", { class: "drop", d: `M${x + 7.5} ${y + 4}c1.500 2.300 2.700 3.500 2.700 5a2.700 2.700 0 0 1-5.400 0c0-1.500 1.200-2.700 2.700-5z` }));
  }
  return picture;
}

/** Twenty cells of five floors. */
function cells(chance) {
  const picture = shape("svg", { viewBox: "0 0 222 16", class: "cells", role: "img", "aria-label": chance.spoken, preserveAspectRatio: "none" });
  for (let at = 0; at < 20; at += 1) {
    const isOpen = chance.edge === "few" ? at === 0 : chance.edge === "most" ? at === 19 : false;
    picture.append(shape("rect", { x: 1 + at * 11 + (at >= 10 ? 1 : 0), y: 1, width: 8.6, height: 14, class: isOpen ? "tile open" : at * 5 < chance.filled ? "tile wet" : "tile" }));
  }
  return picture;
}

function customerBlock(card) {
  const copy = button("page.copy", async () => {
    try { await navigator.clipboard.writeText(card.customer); say(word("page.copied")); } catch { say(word("page.copy.failed")); }
  }, { class: "link" });
  return make("div", { class: "say" }, make("p", { class: "line" }, make("strong", {}, word("page.customer.tell")), copy), make("blockquote", {}, card.customer));
}

function fillYear(section, card) {
  section.hidden = !card.year_html;
  if (!card.year_html) return;
  const numbers = make("details", { class: "why" }, make("summary", {}, word("page.year.numbers")), fragment(card.year_table_html ?? ""));
  section.replaceChildren(make("h2", {}, word("page.year")), make("figure", { class: "card year-card" }, yearPicture(card.year_html)), card.year_table_html ? numbers : "",
    ...(card.seasons ?? []).map((it) => make("p", { class: "small" }, it)));
}

/** The drawing of the year. A month is its first letter, so that letters can be large on a phone;
 * the table beside it has the names. */
function yearPicture(markup) {
  const picture = fragment(markup);
  for (const it of picture.querySelectorAll("text.number[text-anchor=middle]")) it.textContent = it.textContent.slice(0, 1).toUpperCase();
  return picture;
}

const SHOWN_OPTIONS = 4;

function fillOptions(section, card) {
  section.hidden = card.options.length === 0;
  if (section.hidden) return;
  const list = make("ul", { class: "plain" });
  let group = null;
  const put = (it) => {
    if (it.group !== group) { group = it.group; list.append(make("li", { class: "group" }, it.group_label)); }
    list.append(optionCard(it));
  };
  card.options.slice(0, SHOWN_OPTIONS).forEach(put);
  const more = card.options.slice(SHOWN_OPTIONS);
  const moreButton = more.length > 0 ? make("button", { type: "button", class: "wide", click: (event) => { event.target.remove(); more.forEach(put); } }, word("page.options.more", { count: more.length })) : null;
  section.replaceChildren(make("h2", {}, word("page.options")), make("p", { class: "small" }, word("page.options.lead")), list, moreButton);
}

function optionCard(it) {
  const line = (label, chance) => chance ? make("div", { class: "years" }, make("span", {}, label), cells(chance), make("b", {}, chance.short)) : null;
  return make("li", { class: `card option ${it.group}` },
    make("div", {}, make("h3", {}, it.name, it.quoted ? ` ${word("page.options.quoted")}` : ""), it.wait ? make("p", { class: "small" }, it.wait) : null),
    make("div", {}, line(word("page.options.one_year"), it.one), line(word("page.options.five_years"), it.five)),
    it.catch ? make("p", { class: "catch" }, make("strong", {}, word("page.options.catch")), ` ${it.catch}`) : null);
}

function fillNext(section, card) {
  section.hidden = card.next.length === 0;
  if (section.hidden) return;
  section.replaceChildren(make("h2", {}, word("page.next_steps")),
    make("ol", { class: "steps" }, ...card.next.map((it) => make("li", {}, make("strong", {}, it.to ? make("time", { datetime: it.from }, spanWords(it.from, it.to)) : it.when), make("p", {}, it.text)))),
    button("page.next.calendar", calendarFile, { class: "wide" }));
}

function fillWhy(section, card) {
  const part = (key, lines) => lines?.length ? [make("h3", {}, word(key)), make("ul", {}, ...lines.map((it) => make("li", {}, it)))] : [];
  const parts = [...part("page.why.for", card.why?.for), ...part("page.why.against", card.why?.against), ...(card.why?.source ? [make("p", {}, card.why.source)] : [])];
  section.hidden = parts.length === 0;
  section.replaceChildren(make("h2", {}, word("page.why.title")), make("div", { class: "card pad-in" }, ...parts));
}

/** Questions to ask one after the other before the result is shown anew. */
let queue = [];

/** Asks just these questions; the result follows. */
function sharpenBy(paths) {
  queue = [...paths];
  return nextOfQueue();
}

function nextOfQueue() {
  const path = queue.shift();
  change = path === undefined ? null : "result";
  return change ? talk({ do: "go", path }) : result();
}

function fillSharpen(section, card) {
  const all = card.sharpen ?? [];
  section.hidden = all.length === 0;
  if (section.hidden) return;
  section.replaceChildren(make("h2", {}, word("page.sharpen")), make("p", { class: "small" }, word("page.sharpen.lead")),
    make("ul", { class: "plain" }, ...all.map((it) => make("li", {}, make("button", { type: "button", class: "wide left", click: () => sharpenBy([it.path]) }, make("span", {}, it.text), make("small", {}, it.worth))))),
    all.length > 1 ? make("p", {}, make("button", { type: "button", class: "wide", click: () => sharpenBy(all.map((it) => it.path)) }, word("page.sharpen.all", { count: all.length }))) : "",
    make("p", {}, button("page.check", () => talk({ do: "check" }), { class: "link" })));
}

function customerScreen(card) {
  turn += 1;
  again = () => customerScreen(card);
  head("", result);
  show([heading(card.customer_title ?? card.action), card.lead ? hundred(card.lead) : null, make("p", { class: "c1" }, card.customer), make("p", { class: "small" }, word("page.customer.small"))],
    [button("page.close", result, { class: "wide" })]);
  main.classList.add("customer");
}

// ---- What if: below, dashed, never kept.

/** Counts what-ifs, so that only the newest is drawn. */
let tries = 0;

async function whatIf(section, own) {
  const answer = await guarded(door.ask({ ask: "what_ifs", kept }));
  section.hidden = !answer || answer.error || !answer.questions.length || own.card.kind === "refused";
  if (section.hidden) return;
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
      return place.replaceChildren(said, make("ul", { class: "plain tries" },
        ...all.map(([text, label]) => make("li", {}, make("button", { type: "button", click: () => attempt(text) }, label)))));
    }
    const input = make("input", { type: "text", inputmode: "decimal", id: "what-if-answer", autocomplete: "off" });
    return place.replaceChildren(said, make("form", { novalidate: true, submit: (event) => { event.preventDefault(); attempt(input.value); } },
      make("label", { class: "label", for: "what-if-answer" }, word("page.what_if.answer")),
      make("div", { class: "line" }, input, make("button", { type: "submit" }, word("page.what_if.try")))));
  }
  section.replaceChildren(
    make("h2", {}, word("page.what_if.title")), make("p", {}, word("page.what_if.lead")),
    make("label", { class: "label", for: "what-if" }, word("page.what_if.question")), select, place, outcome);
}

async function tryOut(outcome, question, text, own) {
  tries += 1;
  const [mine, myTurn] = [tries, turn];
  const request = { ask: "result", kept, units, quote: visit.quoted || null, what_if: { path: question.path, text } };
  // A first look at once, then the numbers of a whole screen in its place.
  for (const effort of ["look", "quick"]) {
    const answer = await guarded(door.ask({ ...request, effort }));
    if (mine !== tries || myTurn !== turn || !answer) return;
    if (answer.error) {
      outcome.replaceChildren(make("p", { class: "error", role: "alert" }, answer.error));
      return;
    }
    const row = (label, card) => make("div", { class: "years" }, make("span", {}, label), card.bare ? cells(card.bare) : make("span", {}, card.word), make("b", {}, card.bare?.short ?? ""));
    outcome.replaceChildren(
      make("p", { class: "mark-what-if" }, make("strong", {}, word("page.what_if.mark")), ` ${answer.what_if}`),
      row(word("page.what_if.key.own"), own.card), row(word("page.what_if.key.tried"), answer.card),
      make("p", {}, word("page.what_if.would", { grade: answer.card.word })),
      make("p", { class: "small" }, word(effort === "look" ? "page.what_if.look" : "page.what_if.settled")),
      yearPicture(answer.card.year_html ?? ""), button("page.what_if.end", () => { tries += 1; outcome.replaceChildren(); }));
    outcome.dataset.effort = effort;
    if (effort === "quick") say(`${word("page.what_if.mark")}. ${answer.what_if}`);
  }
}
