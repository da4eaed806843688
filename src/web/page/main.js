// ---- Settings, and the start.

const LOOKS = ["auto", "light", "dark", "sun"];

async function setLook(look) {
  if (look === "auto") document.documentElement.removeAttribute("data-theme");
  else document.documentElement.dataset.theme = look;
  await remember("look", look);
}

/** Another language redraws the screen; what was typed stays. */
async function setLanguage(code) {
  await remember("language", code);
  await speak(code);
  for (const it of document.querySelectorAll("input[name=language]")) it.checked = it.value === code;
  return drawAgain();
}

function wireMenu(look) {
  const menu = document.getElementById("menu");
  for (const it of document.querySelectorAll("input[name=units]")) {
    it.checked = it.value === units;
    it.addEventListener("change", () => { units = it.value; remember("units", units); drawAgain(); });
  }
  for (const it of document.querySelectorAll("input[name=look]")) {
    it.checked = it.value === look;
    it.addEventListener("change", () => setLook(it.value));
  }
  for (const it of document.querySelectorAll("input[name=language]")) {
    it.checked = it.value === language;
    it.addEventListener("change", () => setLanguage(it.value));
  }
  const doing = { start: startScreen, visits: visitsScreen, check: () => talk({ do: "check" }), result, save, load, learn, clear, photos: photosScreen };
  for (const it of document.querySelectorAll("[data-do]")) {
    it.addEventListener("click", () => { menu.open = false; doing[it.dataset.do](); });
  }
  menu.addEventListener("toggle", () => {
    const isOpen = visit !== null && hasAnswers({ kept });
    for (const it of document.querySelectorAll("[data-needs=visit]")) it.hidden = !isOpen;
  });
  addEventListener("keydown", (event) => {
    if (event.key === "Escape" && menu.open) { menu.open = false; menu.querySelector("summary").focus(); }
  });
  // The tap that closes the menu presses nothing under it.
  addEventListener("pointerdown", (event) => {
    if (!menu.open || menu.contains(event.target)) return;
    menu.open = false;
    shownAt = performance.now();
  });
  document.getElementById("back").addEventListener("click", () => { if (goBack) goBack(); });
}

/** A switch of the menu draws the screen anew; the open menu and the focus in it stay all along. */
async function drawAgain() {
  switching += 1;
  try { await again(); } finally { switching -= 1; }
}

// What is folded is printed whole.
addEventListener("beforeprint", () => {
  for (const it of document.querySelectorAll("main details.why")) it.open = true;
});

/** On a host the page keeps itself on the device and says when a newer one came. */
function keepPage() {
  if (!("hosted" in document.documentElement.dataset) || !("serviceWorker" in navigator) || location.protocol === "file:") return;
  navigator.serviceWorker.register("keeper.js").then((registration) => {
    registration.addEventListener("updatefound", () => {
      const fresh = registration.installing;
      fresh?.addEventListener("statechange", () => {
        if (fresh.state === "installed" && navigator.serviceWorker.controller) undoBar(word("page.update"), () => location.reload(), "page.reload");
      });
    });
  }).catch(() => { /* Without it the page works as long as it is open. */ });
}

async function start() {
  const isResumed = await recall();
  const look = (await recalled("look")) ?? "auto";
  if (look !== "auto") document.documentElement.dataset.theme = look;
  const chosen = document.getElementById("file");
  chosen.addEventListener("change", async () => {
    const [file] = chosen.files;
    chosen.value = "";
    if (file) await take(file);
  });
  const device = navigator.language.startsWith("es") ? "es" : "en";
  try {
    await speak((await recalled("language")) ?? device);
  } catch (error) {
    const text = main.querySelector("p");
    text.setAttribute("role", "alert");
    text.textContent = `${text.dataset.tooOld} ${error}`;
    return;
  }
  wireMenu(look);
  keepPage();
  if (isResumed) {
    openVisit(visit);
    await goOnWith(visit);
    say(word("page.resumed"));
  } else {
    await startScreen();
  }
  if (store.kind === "memory") warnOnce("page.not_kept");
}

start();
