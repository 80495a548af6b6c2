// A stopwatch for minutes, a tap counter for grains, and typed fields kept until they are stored. The page works without.
"use strict";

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
  const since = () => Number(localStorage.getItem(key) || 0);
  const seconds = () => Math.round((Date.now() - since()) / 1000);
  const show = () => {
    time.textContent = since() ? `${Math.floor(seconds() / 60)}:${String(seconds() % 60).padStart(2, "0")}` : "";
    start.textContent = since() ? "Stop" : "Start";
  };
  const start = button("Start", () => {
    if (since()) {
      typed(field, (seconds() / 60).toFixed(2).replace(/\.?0+$/, ""));
      localStorage.removeItem(key);
    } else {
      localStorage.setItem(key, String(Date.now()));
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

// What was typed and not stored stands again in a tab that is opened anew; a form that was served with more to say
// of it, refused or asked about, is left as it is.
const kept = (form, place) => {
  const fields = [...form.elements].filter((one) => one.name && one.type !== "hidden" && one.type !== "submit");
  const said = document.querySelector(".wrong") !== null;
  const before = JSON.parse(localStorage.getItem(place) || "{}");
  for (const one of said ? [] : fields) {
    const key = one.type === "radio" ? `${one.name}=${one.value}` : one.name;
    if (key in before) {
      if (one.type === "radio" || one.type === "checkbox") one.checked = before[key];
      else one.value = before[key];
    }
  }
  const keep = () => {
    const now = {};
    for (const one of fields) {
      if (one.type === "radio") now[`${one.name}=${one.value}`] = one.checked;
      else now[one.name] = one.type === "checkbox" ? one.checked : one.value;
    }
    localStorage.setItem(place, JSON.stringify(now));
  };
  form.addEventListener("input", keep);
};

try {
  for (const form of document.querySelectorAll("form[data-keep]")) {
    const place = `samedirt ${form.dataset.keep}`;
    kept(form, place);
    for (const field of form.querySelectorAll("[data-timed]")) stopwatch(field, place);
    for (const field of form.querySelectorAll("[data-counted]")) counter(field);
  }
  for (const done of document.querySelectorAll("[data-forget]")) {
    localStorage.removeItem(`samedirt ${done.dataset.forget}`);
  }
} catch (error) {
  // A browser that keeps nothing: the fields are there all the same.
}
