// The file for the creek: one form for all runs, every keystroke kept at once, and all of it handed over as a sheet.
const byId = (id) => document.getElementById(id);
const sheet = JSON.parse(byId("sheet").textContent);
const form = byId("run");
const inputs = () => [...form.elements].filter((one) => one.name);

// The check sum of a text: CRC-32, as check_sum.py reckons it.
const checkSum = (text) => {
  let sum = -1;
  for (const byte of new TextEncoder().encode(text)) {
    sum ^= byte;
    for (let bit = 0; bit < 8; bit += 1) sum = sum & 1 ? (sum >>> 1) ^ 0xedb88320 : sum >>> 1;
  }
  return ((sum ^ -1) >>> 0).toString(16).toUpperCase().padStart(8, "0");
};

// Where all of this sheet is kept: its tags tell it from another draw of the same name.
const tags = sheet.runs.map((run) => run.tag);
const place = `samedirt ${sheet.kind} ${sheet.trial} ${checkSum(tags.join(" "))}`;
const mine = new Map();
let lost = false;

const tellLost = (words) => {
  byId("lost").hidden = false;
  byId("lost").textContent = words;
};
const keep = (name, text) => {
  const key = `${place} ${name}`;
  const wasEmptied = mine.size && !lost && stored(`${place} kept`) === null;
  mine.set(key, text);
  const rest = wasEmptied ? [...mine] : [[`${place} kept`, "yes"], [key, text]];
  const isKept = rest.every(([one, was]) => write(one, was));
  mine.set(`${place} kept`, "yes");
  if (wasEmptied) {
    tellLost("This browser threw away what it had kept. What stands here was kept once more; hand it over soon.");
  }
  if (!isKept) {
    lost = true;
    tellLost("This browser keeps nothing: what is typed is lost when this page is closed. Open the file in an ordinary window, not a private one; or leave the page open and hand over after each run.");
  }
};
const gather = () => {
  for (const key of keys()) if (key.startsWith(`${place} `) && !key.includes(" started ")) mine.set(key, stored(key));
};
const value = (name) => mine.get(`${place} ${name}`) ?? "";
const isBegun = (tag) => value(`${tag} begun`) === "yes";

// The fields of the form, by name: a choice is the one that is picked, a box to tick is yes or blank.
const put = (one, text) => {
  if (one.type === "radio") one.checked = one.value === text;
  else if (one.type === "checkbox") one.checked = text === "yes";
  else one.value = text;
};
const textOf = (one) => (one.type === "checkbox" ? (one.checked ? "yes" : "") : one.value);

let open = "";
const today = () => {
  const now = new Date();
  const two = (number) => String(number).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())} ${now.getHours() < 12 ? "am" : "pm"}`;
};

// What stands in the form of a run: what was typed, else what mostly stays as it was, else what the plan says.
const fill = (tag) => {
  form.reset();
  const before = value("last");
  const run = sheet.runs.find((one) => one.tag === tag);
  const own = { turn: run.turn ?? "", session: today() };
  const staying = new Set(sheet.fields.filter((one) => one.stays).map((one) => one.key));
  for (const field of sheet.fields) {
    for (const one of inputs()) if (field.byPhone && one.name === field.key) put(one, own[field.byPhone]);
  }
  for (const one of inputs()) {
    const stays = staying.has(one.name) || one.name.startsWith("unit ");
    if (isBegun(tag)) put(one, value(`${tag} ${one.name}`));
    else if (stays && before && value(`${before} ${one.name}`)) put(one, value(`${before} ${one.name}`));
  }
};

// With the first keystroke in a run all that stands in its form is kept; from then on each field by itself.
const keepForm = (changed) => {
  if (!isBegun(open)) {
    for (const one of inputs()) if (one.type !== "radio" || one.checked) keep(`${open} ${one.name}`, textOf(one));
    keep(`${open} begun`, "yes");
  } else if (changed.name) {
    keep(`${open} ${changed.name}`, textOf(changed));
  }
  keep("last", open);
};

// One run as the columns of a sheet and what stands in them. A unit is written where another than the usual is chosen.
const cellsOf = (tag) => {
  const cells = new Map();
  const of = (name) => value(`${tag} ${name}`).replace(/\s+/g, " ").trim();
  for (const { key, sort, unit, columns } of sheet.fields) {
    const chosen = of(`unit ${key}`);
    const other = chosen && chosen !== unit ? ` ${chosen}` : "";
    const measured = (text) => (text ? `${text}${other}` : "");
    if (sort === "ticks") {
      const said = [...columns, "none"].some((tick) => of(`${tick} ${key}`));
      for (const tick of columns) cells.set(tick, said ? of(`${tick} ${key}`) || "no" : "");
    } else if (sort === "readings") {
      [measured(of(key)), of(`gross ${key}`), of(`tare ${key}`)].forEach((text, at) => cells.set(columns[at], text));
    } else if (sort === "both") {
      [of(key), of(`2 ${key}`)].forEach((text, at) => cells.set(columns[at], measured(text)));
    } else {
      cells.set(columns[0], measured(of(key)));
    }
  }
  cells.set("void", of("void own") || of("void"));
  cells.set("void_gold_known", cells.get("void") ? of("void_gold_known") : "");
  return cells;
};

// What can't be right, told while it can still be mended.
const amiss = (tag) => {
  const found = [];
  const of = (name) => value(`${tag} ${name}`).trim();
  for (const { key, name, sort, holds } of sheet.fields) {
    const [net, second, gross, tare] = ["", "2 ", "gross ", "tare "].map((before) => of(`${before}${key}`));
    for (const text of [net, second, gross, tare].filter(Boolean)) {
      if (holds === "whole" && !/^\d+$/.test(text)) found.push([key, `${name}: ${text} is not a whole number.`]);
      else if (holds === "number" && !/^-?(\d+\.?\d*|\.\d+)$/.test(text)) found.push([key, `${name}: ${text} is not a number.`]);
    }
    if (sort !== "readings") continue;
    if (net && (gross || tare)) found.push([key, `${name}: ${sheet.netOrReadings}`]);
    else if (Boolean(gross) !== Boolean(tare)) found.push([key, `${name}: gross and tare belong together.`]);
    else if (Number(gross) < Number(tare)) found.push([key, `${name}: gross ${gross} is under tare ${tare}; swapped?`]);
  }
  return found;
};

// Text is written so that a spreadsheet takes it as text and runs nothing, as table.py guards it.
const guarded = (text) => {
  const behind = text.replace(/([;\t|]\s*)(?='*(?:[=@]|[+-][A-Za-z(]))/g, "$1'");
  return /^([=+\-@']|(na|nan|<na>|null)$)/i.test(text) ? `'${behind}` : behind;
};
const quoted = (cell) => (/[,;\t|"]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);
const handOver = () => {
  gather();
  const begun = tags.filter(isBegun);
  if (!begun.length) return "";
  const columns = [...cellsOf(begun[0]).keys()];
  const free = new Set(["void", ...sheet.fields.filter((one) => one.holds === "text").map((one) => one.key)]);
  const row = (tag) => {
    const cells = cellsOf(tag);
    return [tag, ...columns.map((column) => (free.has(column) ? guarded(cells.get(column)) : cells.get(column)))];
  };
  const table = [["tag", ...columns], ...begun.map(row)].map((cells) => cells.map(quoted).join(","));
  const lines = [`# trial: ${sheet.trial}`, ...table];
  const mark = `${sheet.check} ${checkSum(lines.join("\n"))}`;
  return `${[mark, ...lines, mark].join("\n")}\n`;
};

const tellWrong = () => {
  for (const line of form.querySelectorAll(".STOP")) line.remove();
  const found = isBegun(open) ? amiss(open) : [];
  for (const field of form.querySelectorAll(".field.bad")) field.classList.remove("bad");
  for (const [key, says] of found) {
    const field = inputs().find((one) => one.name === key).closest(".field");
    const line = document.createElement("p");
    line.className = "STOP";
    line.append(document.createElement("strong"));
    line.firstChild.textContent = says;
    field.classList.add("bad");
    field.querySelector("details").before(line);
  }
};

const noted = (tag) => [...cellsOf(tag).values()].filter(Boolean).length;
const tellList = () => {
  const begun = tags.filter(isBegun);
  const runs = sheet.kind === "creek" ? "runs" : "jars";
  byId("kept").textContent = keeps && !lost
    ? `${begun.length} of ${tags.length} ${runs} begun. Every keystroke is kept in this browser at once; nothing is sent.`
    : `${begun.length} of ${tags.length} ${runs} begun.`;
  for (const one of document.querySelectorAll("[data-tag]")) {
    const { tag } = one.dataset;
    const state = one.querySelector(".state");
    const isTiming = keys().concat(...here.keys()).some((key) => key.startsWith(`${place} ${tag} started `));
    const now = isBegun(tag) ? `${cellsOf(tag).get("void") ? "struck, " : ""}${noted(tag)} values` : "";
    state.textContent = [state.dataset.before, now, isTiming ? "stopwatch runs" : ""].filter(Boolean).join("; ");
  }
  const doubts = begun.flatMap((tag) => amiss(tag).map(([, says]) => `${tag}, ${says}`));
  byId("amiss").replaceChildren(...doubts.map((says) => Object.assign(document.createElement("li"), { textContent: says })));
  byId("text").value = handOver();
  for (const id of ["save", "copy"]) byId(id).disabled = !begun.length;
};

const show = () => {
  const asked = decodeURIComponent(location.hash.slice(1));
  const was = open;
  open = tags.includes(asked) ? asked : "";
  gather();
  byId("one").hidden = !open;
  byId("list").hidden = Boolean(open);
  byId("handed").textContent = "";
  if (!open) {
    tellList();
    document.querySelector(`[data-tag="${CSS.escape(was)}"]`)?.focus();
    return;
  }
  fill(open);
  tellWrong();
  const told = document.querySelector(`[data-tag="${CSS.escape(open)}"] .told`).cloneNode(true);
  byId("of-run").replaceChildren(told);
  const after = tags[tags.indexOf(open) + 1];
  byId("next").hidden = !after;
  byId("throw").hidden = !isBegun(open);
  byId("next").textContent = `Next: ${after}`;
  window.scrollTo(0, 0);
  byId("of-run").focus();
};

form.addEventListener("input", (event) => {
  const one = event.target;
  if (one.inputMode === "decimal" && one.value.includes(",")) one.value = one.value.replace(",", ".");
  keepForm(one);
  tellWrong();
  byId("throw").hidden = false;
});
form.addEventListener("submit", (event) => event.preventDefault());
for (const one of document.querySelectorAll("[data-tag]")) {
  one.addEventListener("click", () => { location.hash = one.dataset.tag; });
}
byId("next").addEventListener("click", () => { location.hash = tags[tags.indexOf(open) + 1]; });
byId("back").addEventListener("click", () => { location.hash = ""; });
byId("save").addEventListener("click", () => {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob(["\ufeff", handOver()], { type: "text/csv" }));
  link.download = `${sheet.kind}-${sheet.trial}.csv`;
  link.click();
  byId("handed").textContent = `Saved as ${link.download}, among the downloads of this phone.`;
});
byId("copy").addEventListener("click", async () => {
  const text = byId("text");
  text.value = handOver();
  text.select();
  const copied = await (navigator.clipboard?.writeText(text.value).then(() => true, () => false) ?? false);
  byId("handed").textContent = copied || document.execCommand("copy")
    ? "Copied: paste it into a message or a mail, all of it."
    : "This browser copies nothing by itself: hold a finger on the text below, take all of it, and copy.";
});
byId("throw").addEventListener("click", () => {
  if (!window.confirm(`Throw away all that was typed of ${open}? It can't be brought back.`)) return;
  for (const key of [...mine.keys(), ...keys()].filter((one) => one.startsWith(`${place} ${open} `))) {
    mine.delete(key);
    forget(key);
  }
  if (value("last") === open) keep("last", "");
  location.hash = "";
});
const before = [...document.querySelectorAll("#before input")];
for (const one of before) one.addEventListener("change", () => keep(`before ${one.name}`, textOf(one)));

gather();
if (!keeps) keep("opened", "yes");
for (const one of before) put(one, value(`before ${one.name}`));
for (const field of form.querySelectorAll("[data-timed]")) stopwatch(field, () => `${place} ${open}`);
for (const field of form.querySelectorAll("[data-counted]")) counter(field);
if (tags.some(isBegun)) byId("before").open = false;
window.addEventListener("hashchange", show);
window.addEventListener("storage", () => {
  gather();
  if (!open) tellList();
});
show();
