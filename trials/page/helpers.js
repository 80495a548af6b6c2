// What the page and the file for the creek share: what is kept in the browser, a stopwatch for minutes, a tap counter.
"use strict";

// What the browser can't keep is held here as long as the page is open.
const here = new Map();
const stored = (key) => {
  try {
    return localStorage.getItem(key);
  } catch (error) {
    return null;
  }
};
const read = (key) => here.get(key) ?? stored(key) ?? "";
// Whether it is kept in the browser.
const write = (key, text) => {
  try {
    localStorage.setItem(key, text);
    if (localStorage.getItem(key) === text) {
      here.delete(key);
      return true;
    }
  } catch (error) {
    // held below, and told by whoever asked
  }
  here.set(key, text);
  return false;
};
const forget = (key) => {
  here.delete(key);
  try {
    localStorage.removeItem(key);
  } catch (error) {
    // nothing was kept
  }
};
const keys = () => {
  try {
    return Object.keys(localStorage);
  } catch (error) {
    return [];
  }
};
const keeps = write("samedirt", "kept");
forget("samedirt");

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

// The moment it was started is kept, not the time that went by: a phone that sleeps loses none of it. placeOf says where.
const stopwatch = (field, placeOf) => {
  const time = document.createElement("span");
  time.className = "time";
  const key = () => `${placeOf()} started ${field.name}`;
  const since = () => Number(read(key()));
  const seconds = () => Math.round((Date.now() - since()) / 1000);
  const show = () => {
    time.textContent = since() ? `${Math.floor(seconds() / 60)}:${String(seconds() % 60).padStart(2, "0")}` : "";
    start.textContent = since() ? "Stop" : "Start";
  };
  const start = button("Start", () => {
    if (since()) {
      typed(field, (seconds() / 60).toFixed(2).replace(/\.?0+$/, ""));
      forget(key());
    } else {
      write(key(), String(Date.now()));
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
