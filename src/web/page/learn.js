// ---- Invented floors to learn on. The set, the floor and what was asked stay over a reload.

let floor = null;
const CHANCE_STEP = 5;

async function learn() {
  floor ??= (await recalled("floor")) ?? { seed: 1, number: 1, level: "mixed", asked: "", chance: null, cause: "", way: "" };
  return learnFloor({});
}

/** Shows the floor of the set with what was asked so far; its year only once a call was made. */
async function learnFloor(change, stated = null) {
  floor = { ...floor, ...change };
  remember("floor", floor);
  turn += 1;
  const mine = turn;
  say(word("page.practice.making"));
  const { seed, number, level, asked } = floor;
  const answer = await askSlowly({ ask: "practice", seed, number, level, asked, stated }).catch((error) => ({ error: String(error) }));
  if (mine !== turn) return;
  say("");
  if (answer.error) return tell(answer.error);
  again = () => learnFloor({}, stated);
  head(word("page.learn"), stated ? () => learnFloor({}) : startScreen);
  if (answer.result) return learnResult(answer);
  const view = answer.view;
  const told = (isAsked) => view.told.filter((it) => (it.letter !== null) === isAsked);
  const pair = ([name, value]) => make("div", {}, make("dt", {}, name), make("dd", {}, value));
  const known = [[word("page.practice.read"), view.readings.map((it) => `${it.toFixed(1)}%`).join(", ")], [word("page.practice.limit"), `${view.limit_percent}%`],
    ...told(false).map((it) => [it.label, it.answer])];
  const chance = make("output", { id: "chance", "aria-live": "polite" });
  const drawChance = () => { chance.textContent = floor.chance === null ? word("page.practice.not_set") : word("page.practice.floors", { count: floor.chance }); };
  const step = (by) => { floor.chance = Math.min(100, Math.max(0, (floor.chance ?? 50 - by) + by)); remember("floor", floor); drawChance(); };
  drawChance();
  const listed = (id, key, all) => {
    const select = make("select", { id, change: () => { floor[id] = select.value; remember("floor", floor); } },
      make("option", { value: "" }, word("page.practice.choose")), ...all.map(([value, label]) => make("option", { value, selected: floor[id] === value }, label)));
    return make("div", {}, make("label", { class: "label", for: id }, word(key)), select);
  };
  const see = () => {
    const missing = [["chance", floor.chance === null], ["cause", !floor.cause], ["way", !floor.way]].filter(([, it]) => it).map(([it]) => word(`page.practice.missing.${it}`));
    if (missing.length) return tell(word("page.practice.missing"), missing);
    return learnFloor({}, { chance: String(floor.chance), cause: floor.cause, way: floor.way });
  };
  show([
    heading(word("page.practice.title", { number: view.number, town: view.town })),
    make("p", { class: "small" }, word("page.practice.invented", { day: new Intl.DateTimeFormat(language, { dateStyle: "long" }).format(dayOf(view.visit_date)) })),
    make("div", { class: "card pad-in" }, make("dl", {}, ...known.map(pair))),
    make("h2", {}, word("page.practice.ask"), " ", make("small", {}, word("page.practice.used", { minutes: view.minutes }))),
    make("ul", { class: "plain asks" },
      ...told(true).map((it) => make("li", { class: "card" }, make("span", {}, it.label, make("b", {}, it.answer)))),
      ...view.to_ask.map((it) => make("li", { class: "card" }, make("span", {}, it.label), make("button", { type: "button", click: () => learnFloor({ asked: floor.asked + it.letter }) }, word("page.practice.min", { minutes: it.minutes }), make("span", { class: "unseen" }, `: ${it.label}`))))),
    make("h2", { id: "call" }, word("page.practice.chance")),
    make("div", { class: "stepper", role: "group", "aria-labelledby": "call" },
      make("button", { type: "button", "aria-label": word("page.practice.fewer"), click: () => step(-CHANCE_STEP) }, "\u2212"), chance,
      make("button", { type: "button", "aria-label": word("page.practice.more_floors"), click: () => step(CHANCE_STEP) }, "+")),
    listed("cause", "page.practice.cause", answer.causes), listed("way", "page.practice.way", answer.ways),
    make("details", { class: "why" }, make("summary", {}, word("page.practice.settings")), setAndLevel()),
  ], [button("page.practice.see", see, { class: "strong wide" })]);
}

function setAndLevel() {
  const fresh = { number: 1, asked: "", chance: null, cause: "", way: "" };
  const seed = textBox("seed", { inputmode: "numeric", value: String(floor.seed) });
  seed.input.addEventListener("change", () => learnFloor({ ...fresh, seed: Math.max(0, Math.floor(Number(seed.input.value) || 0)) }));
  const level = make("select", { id: "level", change: () => learnFloor({ ...fresh, level: level.value }) },
    ...["clear", "mixed", "borderline"].map((it) => make("option", { value: it, selected: floor.level === it }, word(`page.practice.${it}`))));
  return make("div", {}, labelled(word("page.practice.set"), seed), make("label", { class: "label", for: "level" }, word("page.practice.level")), level);
}

function learnResult(answer) {
  const { view, result } = answer;
  const next = () => learnFloor({ number: floor.number + 1, asked: "", chance: null, cause: "", way: "" });
  show([
    heading(word("page.practice.year")),
    make("p", { class: "small" }, word("page.practice.title", { number: view.number, town: view.town })),
    yearBars(view, result),
    ...answer.said.map((it) => make("p", {}, it)),
  ], [button("page.practice.more", next, { class: "strong wide" })]);
}

/** The months that the floor had, as bars against its limit. */
function yearBars(view, result) {
  const [width, height, foot] = [344, 190, 22];
  const top = Math.max(8, Math.ceil(Math.max(view.limit_percent, ...result.months.map((it) => it.reading))));
  const y = (percent) => 8 + (height - 8 - foot) * (1 - percent / top);
  const picture = shape("svg", { viewBox: `0 0 ${width} ${height}`, class: "bars", role: "img", "aria-label": result.months.map((it) => `${monthName(it.month)} ${it.reading.toFixed(1)}%`).join(", ") });
  const step = (width - 10) / result.months.length;
  result.months.forEach((it, at) => {
    const isOver = it.reading > view.limit_percent;
    picture.append(shape("rect", { x: 6 + at * step, y: y(it.reading), width: step - 5, height: y(0) - y(it.reading), class: isOver ? "bar-over" : "bar-under" }));
    const label = shape("text", { x: 6 + at * step + (step - 5) / 2, y: height - 6, "text-anchor": "middle" });
    label.append(monthName(it.month).slice(0, 1));
    const value = shape("text", { x: 6 + at * step + (step - 5) / 2, y: y(it.reading) - 3, "text-anchor": "middle" });
    value.append(it.reading.toFixed(1));
    picture.append(label, value);
  });
  picture.append(shape("path", { class: "limit-line", d: `M4 ${y(view.limit_percent)}H${width - 4}` }));
  return make("figure", { class: "card pad-in" }, picture, make("figcaption", { class: "small" }, word("page.practice.bars", { limit: view.limit_percent })));
}

function monthName(month) { return new Intl.DateTimeFormat(language, { month: "long" }).format(new Date(2001, month - 1, 15)); }
