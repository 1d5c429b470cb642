// Opens a page in headless Chromium on a phone, a laptop and as print, light and
// dark, and checks it by axe-core against WCAG 2.2 A and AA. Also: nothing wider
// than the window, no request to anywhere, all of it without script.
//
//   node check.mjs PAGE.html CHROMIUM [FOLDER FOR PICTURES]
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { readFile } from "node:fs/promises";
import { resolve, join } from "node:path";
import { chromium } from "playwright-core";

const [page, browserPath, pictures] = process.argv.slice(2);
const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const rules = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const views = [
  { name: "phone", width: 390, height: 844, media: "screen" },
  { name: "laptop", width: 1280, height: 800, media: "screen" },
  { name: "print", width: 794, height: 1123, media: "print" },
];

const browser = await chromium.launch({
  executablePath: browserPath,
  args: ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
});
let failures = 0;
const fail = (text) => { failures++; console.log("  " + text); };
try {
  for (const view of views) {
    for (const colorScheme of view.media === "print" ? ["light"] : ["light", "dark"]) {
      // The page needs no script; axe itself does, so it is put in from outside.
      const context = await browser.newContext({ viewport: { width: view.width, height: view.height }, colorScheme });
      const tab = await context.newPage();
      tab.on("request", (r) => { if (!r.url().startsWith("file:") && !r.url().startsWith("data:")) fail("asks for " + r.url()); });
      tab.on("pageerror", (e) => fail("script error: " + e));
      await tab.emulateMedia({ media: view.media, colorScheme });
      await tab.goto(pathToFileURL(resolve(page)).href);
      console.log(`${view.name}, ${colorScheme}`);
      const wide = await tab.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (wide > 0) fail(`wider than the window by ${wide} px`);
      if (await tab.evaluate(() => document.scripts.length) > 0) fail("has a script");
      await tab.evaluate(axe);
      const found = await tab.evaluate((tags) => axe.run(document, { runOnly: { type: "tag", values: tags } }), rules);
      console.log(`  ${found.passes.length} rules pass, ${found.violations.length} do not, ${found.incomplete.length} need a look`);
      for (const v of found.violations) {
        fail(`${v.id} (${v.impact}): ${v.help}; ${v.nodes.length} places`);
        for (const n of v.nodes.slice(0, 3)) console.log("    " + n.html.slice(0, 160) + "\n    " + (n.failureSummary || "").replace(/\s+/g, " ").slice(0, 240));
      }
      for (const v of found.incomplete) console.log(`  to look at: ${v.id}: ${v.help}; ${v.nodes.length} places`);
      if (pictures) await tab.screenshot({ path: join(pictures, `${view.name}-${colorScheme}.png`), timeout: 120000, fullPage: true });
      await context.close();
    }
  }
} finally {
  await browser.close();
}
console.log(failures ? `${failures} failures` : "no barrier found");
process.exit(failures ? 1 : 0);
