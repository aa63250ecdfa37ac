// Writes beside the vendored scripts what each is made of: VERSIONS.txt with names, versions, licences and hashes, and
// LICENCES.txt with the words that each licence wants to travel along. Run by scripts/vendored, beside node_modules.
import { createHash } from "node:crypto";
import { existsSync, readFileSync, readdirSync, writeFileSync } from "node:fs";

const target = process.argv[2];
const bundled = new Set();
for (const path of Object.keys(JSON.parse(readFileSync("meta.json", "utf8")).inputs)) {
  const found = /node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(path);
  if (found) bundled.add(found[1]);
}
const made = [
  ["editor.js", [...bundled].sort(), "bundled and minified into one module from scripts/vendor/editor.js"],
  ["htmx.min.js", ["htmx.org"], "as published, dist/htmx.min.js"],
];

const about = (name) => JSON.parse(readFileSync(`node_modules/${name}/package.json`, "utf8"));
const licence = (name) => {
  const file = readdirSync(`node_modules/${name}`).find((each) => /^licen[sc]e/i.test(each));
  if (!file) throw new Error(`${name} ships no licence text`);
  return readFileSync(`node_modules/${name}/${file}`, "utf8").trim();
};
const hash = (file) => createHash("sha256").update(readFileSync(`${target}/${file}`)).digest("hex");

const lines = ["What is in this folder; made by scripts/vendored, never by hand.", ""];
const texts = new Map(); // a licence's words -> whose they are: many packages share one text
for (const [file, names, how] of made) {
  lines.push(file, `  made    ${how}`, `  sha256  ${hash(file)}`);
  for (const name of names) {
    const text = licence(name);
    const { version, license } = about(name);
    lines.push(`  holds   ${name} ${version} (${license})`);
    texts.set(text, [...(texts.get(text) ?? []), `${name} ${version}`]);
  }
  lines.push("");
}
const rule = "-".repeat(72);
const said = [...texts].map(([text, names]) => `${names.join("\n")}\n\n${text}\n`).join(`\n${rule}\n\n`);
if (!existsSync(target)) throw new Error(`there is no ${target}`);
writeFileSync(`${target}/LICENCES.txt`, said);
lines.push("LICENCES.txt", `  sha256  ${hash("LICENCES.txt")}`, "");
writeFileSync(`${target}/VERSIONS.txt`, lines.join("\n"));
