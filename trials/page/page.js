// Typed fields kept until they are stored, a stopwatch and a tap counter beside them. The page works without.
"use strict";

const tell = (form, words) => {
  const line = document.createElement("p");
  line.className = "said";
  line.setAttribute("role", "status");
  line.textContent = words;
  form.before(line);
};

// Whether a field is another than it was served.
const changed = (one) => {
  if (one.type === "radio" || one.type === "checkbox") return one.checked !== one.defaultChecked;
  if (one.tagName === "SELECT") return ![...one.selectedOptions].every((option) => option.defaultSelected);
  return one.value !== one.defaultValue;
};

// What was typed and not stored stands again in a tab that is opened anew, and that is said. Fields that were left
// alone are not kept: what was stored of them since is not typed over. A form that was served with more to say of it,
// refused or asked about, is left as it is, and kept whole.
const kept = (form, place) => {
  const fields = [...form.elements].filter((one) => one.name && one.type !== "hidden" && one.type !== "submit");
  const said = document.querySelector(".wrong") !== null;
  const name = (one) => (one.type === "radio" ? `${one.name}=${one.value}` : one.name);
  const isTicked = (one) => one.type === "radio" || one.type === "checkbox";
  const before = said ? {} : JSON.parse(read(place) || "{}");
  for (const one of fields) {
    if (!(name(one) in before)) continue;
    if (isTicked(one)) one.checked = before[name(one)];
    else one.value = before[name(one)];
  }
  if (fields.some((one) => name(one) in before && changed(one))) {
    tell(form, "What you typed here before and did not store stands in its fields again. Look at it, and store it.");
  }
  form.addEventListener("input", () => {
    const now = {};
    for (const one of fields) {
      if (said || changed(one)) now[name(one)] = isTicked(one) ? one.checked : one.value;
    }
    write(place, JSON.stringify(now));
  });
};

// How far a rehearsal is, is looked at again as long as it goes on.
if (document.querySelector("[data-again]")) setTimeout(() => location.reload(), 700);

for (const done of document.querySelectorAll("[data-forget]")) {
  const place = `samedirt ${done.dataset.forget}`;
  for (const key of keys()) {
    if (key === place || key.startsWith(`${place} started `)) forget(key);
  }
}
for (const form of document.querySelectorAll("form[data-keep]")) {
  const place = `samedirt ${form.dataset.keep}`;
  if (!keeps) tell(form, "This browser keeps nothing: what is typed here is lost when the page is closed.");
  kept(form, place);
  for (const field of form.querySelectorAll("[data-timed]")) stopwatch(field, () => place);
  for (const field of form.querySelectorAll("[data-counted]")) counter(field);
}

// Of a folder only what is read of it is sent: no picture, however many lie in it.
for (const field of document.querySelectorAll("input[webkitdirectory]")) {
  const isRead = (file) => /^(trial\.toml|runs\.csv|changes\.csv|.*\.json)$/.test(file.name);
  field.form.addEventListener("formdata", ({ formData }) => {
    const files = formData.getAll(field.name).filter((file) => file.size === 0 || isRead(file));
    formData.delete(field.name);
    for (const file of files) formData.append(field.name, file, file.webkitRelativePath || file.name);
  });
}
