// Makes the .xlsb files of this folder from the CSV sheets beside it, with the npm package xlsx (SheetJS Community Edition 0.18.5),
// and one that has what a clean sheet has not (tests/data/odd.xlsb). Run: npm install xlsx && node make.js
const fs = require("fs");
const path = require("path");
const XLSX = require("xlsx");
const storm = path.join(__dirname, "../csv");

function numbers(text) {
  return /^(0|[1-9][0-9]*)(\.[0-9]+)?$/.test(text) ? { t: "n", v: Number(text) } : { t: "s", v: text };
}

function sheetOf(text) {
  const read = XLSX.read(text, { type: "string", raw: true });
  const sheet = read.Sheets[read.SheetNames[0]];
  for (const at of Object.keys(sheet)) {
    if (at[0] !== "!") sheet[at] = numbers(String(sheet[at].v));
  }
  return sheet;
}

for (const name of ["vehicles", "agreed"]) {
  const book = XLSX.utils.book_new();
  XLSX.utils.book_append_sheet(book, sheetOf(fs.readFileSync(path.join(storm, name + ".csv"), "utf8")), "Lot");
  XLSX.writeFile(book, path.join(__dirname, name + ".xlsb"));
}
const counts = XLSX.utils.book_new();
for (const file of fs.readdirSync(path.join(storm, "counts")).sort()) {
  const sheet = sheetOf(fs.readFileSync(path.join(storm, "counts", file), "utf8"));
  XLSX.utils.book_append_sheet(counts, sheet, path.parse(file).name);
}
XLSX.writeFile(counts, path.join(__dirname, "counts/counts.xlsb"));

const odd = XLSX.utils.book_new();
const rows = XLSX.utils.aoa_to_sheet([
  ["Lot of the ninth"],
  ["stock", "panel", "dime", "note"],
  ["A1", "hood", 3, "seen"],
  ["B2", "hood", 4, "hidden row"],
  ["C3", "hood", 5],
  [null, "roof", 6],
  ["D4", "hood", { t: "e", v: 0x2a }],
  ["E5", "hood", { t: "b", v: true }],
]);
rows["!rows"] = [];
rows["!rows"][3] = { hidden: true };
rows["!merges"] = [XLSX.utils.decode_range("A1:D1"), XLSX.utils.decode_range("A5:A6")];
XLSX.utils.book_append_sheet(odd, rows, "Lot");
XLSX.utils.book_append_sheet(odd, XLSX.utils.aoa_to_sheet([["stock", "panel", "dime"], ["Z9", "hood", 2]]), "Away");
odd.Workbook = { Sheets: [{ Hidden: 0 }, { Hidden: 1 }] };
XLSX.writeFile(odd, path.join(__dirname, "../../../odd.xlsb"));
