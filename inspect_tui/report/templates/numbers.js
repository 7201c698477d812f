"use strict";
// A tap on the picture puts the chosen number there; the next one without a place is chosen then. Nothing is ever sent.
(() => {
  const data = JSON.parse(document.getElementById("numbers-data").textContent);
  const places = new Map(data.marks.map(([number, x, y]) => [number, [x, y]]));
  const list = document.getElementById("numbers");
  const picture = document.getElementById("picture");
  const told = document.getElementById("told");
  let chosen = data.numbers.find((number) => !places.has(number)) ?? data.numbers[0];
  const buttons = new Map();
  for (const number of data.numbers) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = number;
    button.onclick = () => { chosen = number; show(); };
    buttons.set(number, button);
    const item = document.createElement("li");
    item.append(button);
    list.append(item);
  }
  function table() {
    const rows = data.numbers.filter((number) => places.has(number)).map((number) => [number, ...places.get(number)]);
    return [["number", "percent from the left", "percent from the top"], ...rows].map((row) => row.join(";")).join("\r\n") + "\r\n";
  }
  function show() {
    picture.querySelectorAll(".dot").forEach((dot) => dot.remove());
    for (const [number, [x, y]] of places) {
      const dot = document.createElement("span");
      dot.className = "dot";
      dot.textContent = number;
      dot.style.left = x + "%";
      dot.style.top = y + "%";
      picture.append(dot);
    }
    for (const [number, button] of buttons) {
      button.setAttribute("aria-pressed", String(number === chosen));
      button.classList.toggle("placed", places.has(number));
    }
    told.textContent = chosen;
    document.getElementById("table").value = table();
  }
  picture.onclick = (event) => {
    const box = picture.getBoundingClientRect();
    const share = (at, from, size) => Math.round(Math.min(100, Math.max(0, (100 * (at - from)) / size)) * 100) / 100;
    places.set(chosen, [share(event.clientX, box.left, box.width), share(event.clientY, box.top, box.height)]);
    chosen = data.numbers.find((number) => !places.has(number)) ?? chosen;
    show();
  };
  document.getElementById("off").onclick = () => { places.delete(chosen); show(); };
  document.getElementById("save").onclick = () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([table()], { type: "text/csv" }));
    link.download = "numbers.csv";
    link.click();
  };
  window.numbersTable = table;
  show();
})();
