// A stopwatch for minutes, a tap counter for grains, and typed fields kept until they are stored. The page works without.
"use strict";

// What is kept in the browser; one that keeps nothing holds it as long as the page is open, and says so.
const here = new Map();
const keeps = (() => {
  try {
    localStorage.setItem("samedirt", "kept");
    localStorage.removeItem("samedirt");
    return true;
  } catch (error) {
    return false;
  }
})();
const read = (key) => (keeps ? localStorage.getItem(key) : here.get(key)) ?? "";
const write = (key, text) => (keeps ? localStorage.setItem(key, text) : here.set(key, text));
const forget = (key) => (keeps ? localStorage.removeItem(key) : here.delete(key));

const tell = (form, words) => {
  const line = document.createElement("p");
  line.className = "said";
  line.setAttribute("role", "status");
  line.textContent = words;
  form.before(line);
};

const button = (words, does) => {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "plain";
  made.textContent = words;
  made.addEventListener("click", does);
  return made;
};

const helper = (field, ...parts) => {
  const line = document.createElement("div");
  line.className = "helper";
  line.append(...parts);
  field.closest(".field").querySelector(".row").after(line);
};

const typed = (field, text) => {
  field.value = text;
  field.dispatchEvent(new Event("input", { bubbles: true }));
};

// The moment it was started is kept, not the time that went by: a phone that sleeps loses none of it.
const stopwatch = (field, place) => {
  const time = document.createElement("span");
  time.className = "time";
  const key = `${place} started ${field.name}`;
  const since = () => Number(read(key));
  const seconds = () => Math.round((Date.now() - since()) / 1000);
  const show = () => {
    time.textContent = since() ? `${Math.floor(seconds() / 60)}:${String(seconds() % 60).padStart(2, "0")}` : "";
    start.textContent = since() ? "Stop" : "Start";
  };
  const start = button("Start", () => {
    if (since()) {
      typed(field, (seconds() / 60).toFixed(2).replace(/\.?0+$/, ""));
      forget(key);
    } else {
      write(key, String(Date.now()));
    }
    show();
  });
  helper(field, start, time);
  show();
  setInterval(show, 500);
};

const counter = (field) => {
  const count = (by) => () => typed(field, String(Math.max(0, (parseInt(field.value, 10) || 0) + by)));
  helper(field, button("+ 1", count(1)), button("- 1", count(-1)));
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

for (const done of document.querySelectorAll("[data-forget]")) {
  const place = `samedirt ${done.dataset.forget}`;
  for (const key of keeps ? Object.keys(localStorage) : []) {
    if (key === place || key.startsWith(`${place} started `)) forget(key);
  }
}
for (const form of document.querySelectorAll("form[data-keep]")) {
  const place = `samedirt ${form.dataset.keep}`;
  if (!keeps) tell(form, "This browser keeps nothing: what is typed here is lost when the page is closed.");
  kept(form, place);
  for (const field of form.querySelectorAll("[data-timed]")) stopwatch(field, place);
  for (const field of form.querySelectorAll("[data-counted]")) counter(field);
}
