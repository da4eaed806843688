// ---- One question at a time: the homeowner's way, the other questions, and changes.

async function talk(act) {
  if (act.do === "check" || act.do === "rest") change = null;
  turn += 1;
  const mine = turn;
  const answer = await guarded(door.ask({ ask: "talk", kept, units, today: today(), act }));
  if (mine !== turn || !answer) return;
  if (answer.error) return stopped(answer.error);
  kept = answer.kept;
  // A change is over once its question is answered.
  const isAnswer = act.do === "answer" || act.do === "not_sure";
  if (change && isAnswer && !answer.view.error) {
    keep();
    if (change === "result") return nextOfQueue();
    change = null;
    return talk({ do: "check" });
  }
  again = () => talk({ do: answer.view.kind === "check" ? "check" : "show" });
  if (answer.view.kind === "check") {
    showCheck(answer.view);
  } else {
    showQuestion(answer.view);
  }
  keep();
}

function leave(act) {
  pending = null;
  return talk(act);
}

function showQuestion(view) {
  const typed = pending?.path === view.path ? pending.text : view.typed;
  if (pending?.path !== view.path) pending = null;
  const field = answerField({ ...view, typed }, null);
  const back = change ? endChange : view.is_first ? startScreen : () => leave({ do: "back" });
  head(view.section, back);
  const send = (event) => {
    event.preventDefault();
    const text = field.read();
    if (!text) return showQuestion({ ...view, error: word(view.takes === "choice" ? "page.error.choose" : "page.error.box") });
    pending = { path: view.path, text };
    return talk(text === "not sure" && view.not_sure ? { do: "not_sure" } : { do: "answer", text });
  };
  const form = make("form", { novalidate: true, id: "form", "data-path": view.path, submit: send }, field.element);
  form.addEventListener("input", () => { pending = { path: view.path, text: field.read() }; keep(); });
  const error = view.error ? errorBox({ [view.path]: view.error }) : [];
  show([
    make("p", { class: "small where" }, make("strong", {}, view.section), ` \u00b7 ${view.progress}`),
    make("progress", { max: "1", value: String(view.done), "aria-label": view.progress }),
    heading(view.words), ...error, form, moves(view),
    view.is_first ? make("p", { class: "small" }, word("disclaimer")) : null,
  ], [
    view.never ? button("page.answer.never", () => leave({ do: "answer", text: "never" })) : null,
    make("button", { type: "submit", form: "form", class: "strong wide" }, word("page.continue")),
  ]);
  if (view.error) document.querySelector(`#form input, #form select`)?.focus();
}

/** Back from a change leads to where it began. */
function endChange() {
  const from = change;
  change = null;
  queue = [];
  return from === "check" ? talk({ do: "check" }) : result();
}

function moves(view) {
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
      button("page.check.change", () => { change = "check"; return talk({ do: "go", path: it.path }); }, { class: "small-button", "aria-label": `${word("page.check.change")}: ${it.words}` })));
  const missing = view.missing.length > 0;
  // Nothing is left but to look: the result is begun while the answers are read.
  if (!missing) beginResult(kept);
  head(word("page.check.title"), hasAnswers({ kept }) && !missing ? result : startScreen);
  show([
    heading(word("page.check.title")),
    missing ? missingList(view.missing) : null,
    make("div", { class: "row" },
      view.open > 0 ? make("button", { type: "button", click: () => talk({ do: "show" }) }, word("page.check.open", { count: view.open })) : null,
      view.rest_open > 0 ? make("button", { type: "button", click: () => talk({ do: "rest" }) }, word("page.check.rest", { count: view.rest_open })) : null),
    view.rest_open > 0 ? make("p", { class: "small" }, word("page.check.rest.why")) : null,
    view.sections.length === 0 ? make("p", {}, word("page.check.none")) : null,
    ...view.sections.map((section) => make("section", {}, make("h2", {}, section.title), make("dl", {}, ...section.answers.map(line)))),
    make("p", { class: "row" }, button("page.save", save)),
  ], [missing ? null : button("page.result", result, { class: "strong wide" })]);
}

function missingList(lines) {
  return make("div", { class: "error" }, make("p", {}, word("page.error.too_little")), make("ul", {}, ...lines.map((it) => make("li", {}, it))));
}

