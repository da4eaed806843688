// The page in two other engines, where the machine has them: Firefox by its own remote protocol,
// WebKit by its WebDriver. The whole page is tested in page.mjs; here one estimator goes through
// it, so that nothing of it hangs on one engine.
//   node tests/browser/others.mjs
import { spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import puppeteer from "puppeteer-core";

const root = resolve(dirname(fileURLToPath(import.meta.url)), "../..");
const address = pathToFileURL(join(root, "target/page/slabseason.html")).href;
const shots = join(root, "target/page/shots");
mkdirSync(shots, { recursive: true });

/** Runs in the page: the quick pass, and what the card says in the end. */
const WALK = `(async () => {
  const wait = async (what, holds) => { for (let tries = 0; tries < 1200; tries += 1) { try { if (holds()) return; } catch { /* Not there yet. */ } await new Promise((go) => setTimeout(go, 50)); } throw new Error("never came: " + what); };
  const at = (id) => document.querySelector("form[data-screen=" + id + "]");
  const next = () => document.querySelector("#bar button[type=submit]").click();
  const pick = (text) => [...document.querySelectorAll("main .choices label")].find((it) => it.textContent.includes(text)).querySelector("input").click();
  await wait("the start", () => document.querySelector("main h1") && Object.keys(words).length > 0 && document.querySelector(".door"));
  begin("estimator");
  await wait("the place", () => at("place"));
  const zip = document.getElementById("zip");
  zip.value = "14604"; zip.dispatchEvent(new Event("input"));
  await wait("its name", () => !document.querySelector(".hit").hidden);
  next();
  await wait("readings", () => at("readings"));
  for (const [number, value] of [[1, "3.4"], [2, "3.8"], [3, "3.6"]]) { const box = document.getElementById("reading." + number + ".value"); box.value = value; box.dispatchEvent(new Event("input", { bubbles: true })); }
  next();
  await wait("checks", () => at("checks"));
  document.getElementById("none").click(); next();
  await wait("limit", () => at("limit"));
  document.querySelector("main input[type=radio]").click();
  const limit = document.getElementById("limit"); limit.value = "5"; limit.dispatchEvent(new Event("input")); next();
  for (const id of ["kind", "year", "lot", "roof", "dark", "retarder"]) {
    await wait(id, () => at(id));
    for (const label of document.querySelectorAll("main .not-sure input")) label.click();
    next();
  }
  await wait("the card", () => document.querySelector(".verdict"));
  await wait("the whole result", () => document.getElementById("live").textContent === word("page.result.done"));
  return JSON.stringify({ store: store.kind, word: document.querySelector(".verdict h1").textContent, options: document.querySelectorAll(".option").length, readings: Object.keys(kept.typed).filter((it) => it.endsWith(".value")).length });
})()`;

let passed = 0;
let failed = 0;

function judge(name, text) {
  const said = JSON.parse(text);
  const isSound = said.word.length > 2 && said.options > 0 && said.readings === 3;
  if (isSound) passed += 1; else failed += 1;
  console.log(`${isSound ? "ok      " : "FAILED  "}${name}: ${text}`);
}

async function firefox(path) {
  const browser = await puppeteer.launch({ browser: "firefox", executablePath: path, headless: true });
  try {
    const page = await browser.newPage();
    await page.setViewport({ width: 360, height: 740 });
    await page.goto(address);
    judge("Firefox", await page.evaluate(WALK));
    await page.screenshot({ path: join(shots, "result-firefox.png") });
  } finally {
    await browser.close();
  }
}

async function webkit(path) {
  const port = 4567;
  const profile = mkdtempSync(join(tmpdir(), "slabseason-webkit-"));
  const driver = spawn("xvfb-run", ["-a", path, `--port=${port}`], { stdio: "ignore", env: { ...process.env, XDG_DATA_HOME: profile, XDG_CACHE_HOME: profile, WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS: "1" }, detached: true });
  const ask = async (method, where, body) => {
    const answer = await fetch(`http://127.0.0.1:${port}${where}`, { method, body: body && JSON.stringify(body) });
    const { value } = await answer.json();
    if (!answer.ok) throw new Error(JSON.stringify(value));
    return value;
  };
  try {
    for (let tries = 0; ; tries += 1) {
      try { await ask("GET", "/status"); break; } catch (error) { if (tries > 100) throw error; await new Promise((go) => setTimeout(go, 100)); }
    }
    const { sessionId } = await ask("POST", "/session", { capabilities: {} });
    const session = `/session/${sessionId}`;
    await ask("POST", `${session}/timeouts`, { script: 120000 });
    await ask("POST", `${session}/url`, { url: address });
    judge("WebKit", await ask("POST", `${session}/execute/async`, { script: `const done = arguments[arguments.length - 1]; ${WALK}.then(done, (error) => done(JSON.stringify({ word: "", error: String(error) })));`, args: [] }));
    writeFileSync(join(shots, "result-webkit.png"), Buffer.from(await ask("GET", `${session}/screenshot`), "base64"));
    await ask("DELETE", session);
  } finally {
    try { process.kill(-driver.pid); } catch { /* Gone already. */ }
    rmSync(profile, { recursive: true, force: true });
  }
}

for (const [name, path, run] of [
  ["Firefox", process.env.FIREFOX ?? "/usr/bin/firefox-esr", firefox],
  ["WebKit", process.env.WEBKIT_DRIVER ?? "/usr/bin/WebKitWebDriver", webkit],
]) {
  if (!existsSync(path)) { failed += 1; console.log(`FAILED  ${name}: ${path} is not installed; tests/browser/run.sh --others installs it`); continue; }
  try { await run(path); } catch (error) { failed += 1; console.log(`FAILED  ${name}: ${error.message}`); }
}
console.log(`\n${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
