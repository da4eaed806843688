// The sheets of one visit of each kind in a real browser, on a phone, in the dark and on paper;
// --all takes every example visit (eight minutes, .ci/studies).
//   node tests/browser/papers.mjs [--all]        (tests/browser/run.sh builds what it needs)
import { execFile, execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { HtmlValidate } from "html-validate";
import { chromium } from "playwright-core";

const root = resolve(dirname(fileURLToPath(import.meta.url)), "../..");
const tool = process.env.SLABSEASON ?? join(root, "target/debug/slabseason");
const visits = join(root, "examples/visits");
const shots = join(root, "target/papers");
const scratch = mkdtempSync(join(tmpdir(), "slabseason-papers-"));
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core"), "utf8");
mkdirSync(shots, { recursive: true });

/** Graded, no grade, over the limit, refused, a homeowner's, wet along the walls. */
const KINDS = ["low_lot_rochester", "just_washed", "over_the_limit_cleveland", "garage_unheated_minneapolis", "homeowner_no_reading", "wet_along_the_walls_columbus"];
const all = process.argv.includes("--all");
/** Pictures to look at; SLABSEASON_PICTURES=none leaves them out where nobody will. */
const pictures = process.env.SLABSEASON_PICTURES !== "none";
/** A report goes on so many sheets at most. */
const SHEETS = 4;
const problems = [];
const complain = (what) => { problems.push(what); console.log(`FAILED  ${what}`); };

/** What the command prints; exit 2 means that there is no such sheet, and stderr says why. */
async function run(...args) {
  const done = await new Promise((resolve) => {
    execFile(tool, args, { encoding: "utf8", maxBuffer: 2 ** 26 }, (error, stdout, stderr) => resolve({ error, stdout, stderr }));
  });
  const status = done.error ? done.error.code : 0;
  if (typeof status !== "number") throw done.error;
  if (status === 2 && done.stdout === "" && done.stderr.startsWith("error: ")) return null;
  if (![0, 2].includes(status)) complain(`${args.join(" ")}: exit ${status} ${done.stderr}`);
  return done.stdout;
}

/** Things done at once: the machines that this runs on have two cores. */
const LANES = 2;
async function inLanes(all, each) {
  const left = [...all];
  const lane = async (number) => { for (let it = left.shift(); it; it = left.shift()) await each(it, number); };
  await Promise.all(Array.from({ length: LANES }, (_, number) => lane(number)));
}

const sheets = [];
const jobs = [];
const add = (name, kind, ...args) => jobs.push({ name, kind, args });

// Markup, quotes, a label without a gap and letters from right to left. Control characters and
// marks that turn the line are refused where the visit is read (tests/report.rs).
const hostile = join(scratch, "hostile.toml");
const nasty = "<img src=x onerror=alert(1)><script>alert(2)</script></title></style> \\u05D0\\u05D1\\u05D2 \\\" ' & " + "x".repeat(120);
writeFileSync(hostile, `visit_version = 1
visit_date = 2026-09-08
label = "${nasty}"
postal = "14604"
[floor]
setting = "basement"
year_built = 1958
[[reading]]
date = 2026-09-08
kind = "meter"
value = 3.6
scale = "percent"
spot = "</td><b onmouseover=alert(3)>\\u05D0"
wall_distance = "6ft"
meter_id = "\\"><svg onload=alert(4)>"
[limit]
meter_percent = 5.0
source = "<i>sheet</i>"
`);

const files = readdirSync(visits).filter((it) => it.endsWith(".toml")).sort().map((it) => [it.slice(0, -5), join(visits, it)]).filter(([name]) => all || KINDS.includes(name));
if (!all && files.length !== KINDS.length) complain(`of ${KINDS.join(", ")} only ${files.length} are there`);
for (const [name, path] of [...files, ["hostile", hostile]]) {
  add(name, "report", "screen", "--visit", path, "--format", "html");
  add(name, "notice", "notice", "--visit", path, "--format", "html");
  add(name, "homeowner", "homeowner", "--visit", path, "--format", "html");
  add(name, "first_es", "screen", "--visit", path, "--format", "html", "--language", "es");
  add(name, "notice_es", "notice", "--visit", path, "--format", "html", "--language", "es");
  add(name, "homeowner_es", "homeowner", "--visit", path, "--format", "html", "--language", "es");
}
add("blank", "form", "form", "--format", "html");
add("blank", "form_home", "form", "--for", "homeowner", "--format", "html");
add("14604", "card", "card", "14604", "--format", "html");
await inLanes(jobs, async ({ name, kind, args }) => {
  const html = await run(...args);
  if (html !== null) sheets.push({ name, kind, html });
});
const count = (kind) => sheets.filter((it) => it.kind === kind).length;
const least = all ? 20 : 4;
if (["report", "first_es", "notice", "notice_es", "homeowner", "homeowner_es"].some((it) => count(it) < least) || count("card") !== 1) {
  complain(`too few sheets: ${sheets.map((it) => it.kind + " " + it.name).join(", ")}`);
}

const validator = new HtmlValidate({
  extends: ["html-validate:recommended"],
  // A job's label may be long, and a long title is no fault of the markup.
  rules: { "long-title": "off" },
});
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync"],
});

/** How a sheet is looked at; each lane has a page of its own for each. */
const LOOKS = [["phone", 390, "light"], ["dark", 390, "dark"], ["desktop", 1100, "light"]];
const pagesOf = await Promise.all(Array.from({ length: LANES }, async () => {
  const lane = { what: "", pages: {} };
  for (const [look, width, colorScheme] of LOOKS) {
    const context = await browser.newContext({ viewport: { width, height: 800 }, colorScheme });
    const page = await context.newPage();
    page.on("dialog", (it) => { complain(`${lane.what}: a script ran`); it.dismiss(); });
    page.on("pageerror", (it) => complain(`${lane.what}: ${it.message}`));
    page.on("request", (it) => { if (!it.url().startsWith("file:")) complain(`${lane.what}: asks for ${it.url()}`); });
    lane.pages[look] = page;
  }
  return lane;
}));

await inLanes(sheets, async ({ name, kind, html }, number) => {
  const what = `${kind} of ${name}`;
  const lane = pagesOf[number];
  lane.what = what;
  const own = [];
  const wrong = (it) => { own.push(it); complain(`${what}${it}`); };
  const valid = await validator.validateString(html);
  for (const it of valid.results.flatMap((it) => it.messages)) wrong(`: ${it.ruleId}: ${it.message} (line ${it.line})`);
  if (/<script|<link|<img|<iframe|\sstyle=|\son\w+=|https?:/i.test(html.replace(/&lt;.*?&gt;/gs, ""))) wrong(": holds a script, a style of its own or something from elsewhere");

  const file = join(scratch, `${kind}-${name}.html`);
  writeFileSync(file, html);
  for (const [look] of LOOKS) {
    const page = lane.pages[look];
    await page.goto(`file://${file}`);
    const [wider, lang] = await page.evaluate(() => [document.documentElement.scrollWidth - innerWidth, document.documentElement.lang]);
    if (lang !== (kind.endsWith("_es") ? "es" : "en")) wrong(`: its language is said to be "${lang}"`);
    if (wider > 0) wrong(`, ${look}: ${wider} px wider than the screen`);
    await page.evaluate(axe);
    const found = await page.evaluate(async () => {
      const { violations } = await window.axe.run(document, { resultTypes: ["violations"] });
      return violations.map((it) => `${it.id}: ${it.nodes[0].html.slice(0, 120)}`);
    });
    for (const it of found) wrong(`, ${look}: ${it}`);
    if (pictures && ["low_lot_rochester", "hostile", "blank", "14604"].includes(name)) await page.screenshot({ path: join(shots, `${kind}-${name}-${look}.png`), fullPage: true });
    if (look === "desktop" && kind === "report") {
      for (const format of ["Letter", "A4"]) {
        const pdf = join(shots, `${kind}-${name}-${format}.pdf`);
        writeFileSync(pdf, await page.pdf({ format }));
        const pages = Number(/Pages:\s+(\d+)/.exec(execFileSync("pdfinfo", [pdf], { encoding: "utf8" }))[1]);
        if (!(pages >= 1 && pages <= SHEETS)) wrong(`: ${pages} sheets of ${format}`);
      }
    }
  }
  if (own.length === 0) console.log(`ok      ${what}`);
});

await browser.close();
rmSync(scratch, { recursive: true, force: true });
console.log(`\n${sheets.length} sheets, ${problems.length} problems${pictures ? "; pictures in target/papers" : ""}`);
process.exit(problems.length === 0 ? 0 : 1);
