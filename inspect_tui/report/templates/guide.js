"use strict";
// One card a screen, what is entered kept on the device, one answer file at the end. Nothing is ever sent from here.
(() => {
  const data = JSON.parse(document.getElementById("guide-data").textContent);
  const key = "setting-guide " + data.job + " " + data.edition;
  let state = { at: 0, values: {}, pictures: {} };
  const cards = [...document.querySelectorAll(".card")];
  const at = document.getElementById("at");

  // ---- kept on the device: pictures are large, so a database; where there is none, the small store
  const database = new Promise((resolve) => {
    try {
      const asked = indexedDB.open("setting-guide", 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore("kept");
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => resolve(null);
    } catch { resolve(null); }
  });
  async function keep(pictured = false) {  // pictures apart: a letter that is typed does not write them again
    const db = await database;
    if (db) {
      const store = db.transaction("kept", "readwrite").objectStore("kept");
      store.put({ at: state.at, values: state.values }, key);
      if (pictured) store.put(state.pictures, key + " pictures");
      return;
    }
    try { localStorage.setItem(key, JSON.stringify({ ...state, pictures: {} })); } catch { /* private window: for this stay only */ }
  }
  async function kept() {
    const db = await database;
    if (!db) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } }
    return new Promise((resolve) => {
      const store = db.transaction("kept").objectStore("kept");
      const asked = store.get(key), pictured = store.get(key + " pictures");
      store.transaction.oncomplete = () => resolve(asked.result && { pictures: {}, ...asked.result, ...(pictured.result && { pictures: pictured.result }) });
      store.transaction.onabort = () => resolve(null);
    });
  }

  // ---- one card a screen
  function show(n) {
    turn(n);
    keep();
  }
  function turn(n) {
    state.at = Math.max(0, Math.min(cards.length - 1, n));
    cards.forEach((card, k) => card.classList.toggle("on", k === state.at));
    at.textContent = (state.at + 1) + " / " + cards.length;
    document.getElementById("back").disabled = state.at === 0;
    document.getElementById("next").disabled = state.at === cards.length - 1;
    window.scrollTo(0, 0);
  }
  document.getElementById("back").onclick = () => show(state.at - 1);
  document.getElementById("next").onclick = () => show(state.at + 1);

  function fill() {
    document.querySelectorAll("[name]").forEach((input) => {
      const value = state.values[input.name];
      if (input.type === "checkbox") input.checked = value === true;
      else if (input.type === "radio") input.checked = value === input.value;
      else if (input.type !== "file") input.value = value ?? "";
    });
    tell();
    document.querySelectorAll(".thumbs").forEach((shown) => {
      shown.replaceChildren(...(state.pictures[shown.dataset.of] ?? []).map((picture) => {
        const image = document.createElement("img");
        image.src = picture.data;
        image.alt = picture.name;
        return image;
      }));
    });
  }
  // ---- a check that says no is not passed over, nor a core that nobody ticked
  function tell() {
    document.querySelectorAll(".gauge").forEach((gauge) => {
      gauge.classList.toggle("no-go", gauge.querySelector("[value='no-go']:checked") !== null);
    });
    const left = data.steps.filter((step) => state.values["s" + step.step + ".done"] !== true);
    const open = document.getElementById("open");
    open.hidden = left.length === 0;
    open.querySelector("strong").textContent = left.map((step) => step.number).join(", ");
  }
  document.addEventListener("input", (event) => {
    const input = event.target;
    if (!input.name || input.type === "file") return;
    state.values[input.name] = input.type === "checkbox" ? input.checked : input.value;
    tell();
    keep();
  });
  document.addEventListener("change", async (event) => {
    const input = event.target;
    if (input.type !== "file") return;
    for (const file of input.files) {
      const picture = await smaller(file);
      if (picture) (state.pictures[input.name] ??= []).push(picture);
    }
    input.value = "";
    fill();
    keep(true);
  });
  async function smaller(file) {
    try {
      const bitmap = await createImageBitmap(file);
      const scale = Math.min(1, 1600 / Math.max(bitmap.width, bitmap.height));
      const canvas = document.createElement("canvas");
      canvas.width = Math.round(bitmap.width * scale);
      canvas.height = Math.round(bitmap.height * scale);
      canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
      return { name: file.name || "picture.jpg", type: "image/jpeg", data: canvas.toDataURL("image/jpeg", 0.8) };
    } catch { return null; }
  }

  // ---- the answer file
  function crc32(bytes) {
    let crc = ~0;
    for (const byte of bytes) {
      crc ^= byte;
      for (let k = 0; k < 8; k++) crc = (crc >>> 1) ^ (0xedb88320 & -(crc & 1));
    }
    return (~crc >>> 0).toString(16).padStart(8, "0");
  }
  function leaves(value, top, out) {
    if (Array.isArray(value)) value.forEach((inner) => leaves(inner, false, out));
    else if (value !== null && typeof value === "object") {
      for (const [name, inner] of Object.entries(value)) if (!(top && name === "mark")) leaves(inner, false, out);
    } else out.push(value === null || value === undefined ? "" : String(value));
    return out;
  }
  const text = (name) => String(state.values[name] ?? "").trim();
  const pictures = (name) => (state.pictures[name] ?? []).map(({ name, type, data }) => ({ name, type, data: data.split(",")[1] }));
  function today() {
    const now = new Date();
    return [now.getFullYear(), String(now.getMonth() + 1).padStart(2, "0"), String(now.getDate()).padStart(2, "0")].join("-");
  }
  function answers() {
    const steps = data.steps.map((step) => {
      const p = "s" + step.step + ".";
      const made = { step: step.step, core: step.number, done: state.values[p + "done"] === true };
      made.sizes = step.sizes.filter((s) => text(p + "size." + s)).map((s) => ({ balloon: s, reading: text(p + "size." + s) }));
      const check = {};
      if (step.check && (text(p + "reading") || text(p + "result"))) {
        check.what = step.check;
        if (step.template) check.template = step.template;
        if (text(p + "reading")) check.reading = text(p + "reading");
        if (text(p + "result")) check.result = text(p + "result");
        if (step.lower !== null) check.lower = String(step.lower);
        if (step.upper !== null) check.upper = String(step.upper);
      }
      made.checks = check.what ? [check] : [];
      made.rubs = text(p + "rub") ? [text(p + "rub")] : [];
      made.remark = text(p + "remark");
      made.pictures = pictures(p + "pictures");
      return made;
    });
    const checks = data.closing.filter((_, k) => state.values["closing." + k] === true).map((what) => ({ what, result: "go" }));
    const document_ = { format: "setting answers", version: 1, mark: "", job: data.job, rev: data.rev, edition: data.edition };
    document_.mould = text("mould");
    document_.who = text("who");
    document_.day = today();
    document_.unit = data.unit;
    document_.steps = steps;
    document_.closing = { checks, remark: text("closing.remark"), pictures: pictures("closing.pictures") };
    document_.mark = crc32(new TextEncoder().encode(leaves(document_, true, []).map((leaf) => leaf + "\n").join("")));
    return JSON.stringify(document_, null, 1);
  }
  document.getElementById("save").onclick = async () => {
    const name = ("answers-" + data.job + "-" + (text("mould") || today()) + ".json").replace(/[^A-Za-z0-9._-]+/g, "-");
    const file = new File([answers()], name, { type: "application/json" });
    if (navigator.canShare && navigator.canShare({ files: [file] }) && matchMedia("(pointer: coarse)").matches) {
      try { await navigator.share({ files: [file] }); return; } catch { /* not shared: save it */ }
    }
    const link = document.createElement("a");
    link.href = URL.createObjectURL(file);
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  };
  window.settingAnswers = answers;

  const named = location.hash ? document.getElementById(location.hash.slice(1)) : null;
  const asked = named ? cards.indexOf(named.closest(".card")) : -1;  // a code opens the step of its core
  document.body.classList.add("js");
  turn(Math.max(asked, 0));
  kept().then((before) => {
    if (before && before.values) state = { ...before, at: state.at, values: { ...before.values, ...state.values } };
    fill();
    turn(asked >= 0 || !before ? state.at : before.at);
  });
})();
