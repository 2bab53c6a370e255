"use strict";
const dress = () => {
  const key = "tackfree:" + document.body.dataset.job;
  const boxes = [...document.querySelectorAll("input[data-tick]")];
  let kept = {};
  try { kept = JSON.parse(localStorage.getItem(key)) || {}; } catch { kept = {}; }
  const same = (name) => boxes.filter((box) => box.dataset.tick === name);
  const copy = document.getElementById("copy");
  const was = new Map(boxes.map((box) => [box.dataset.tick, box.checked]));
  const quoted = (word) => /^[\w.\/-]+$/.test(word) ? word : "'" + word.replaceAll("'", "'\\''") + "'";
  const commands = () => {
    const ticked = (name) => same(name)[0].checked && !was.get(name);
    const fresh = [...was.keys()].filter(ticked), found = [];
    for (const step of new Set(fresh.filter((name) => name.startsWith("s:")).map((name) => name.slice(2, name.lastIndexOf(":"))))) {
      const pieces = [...was.keys()].filter((name) => name.slice(0, name.lastIndexOf(":")) === "s:" + step);
      if (pieces.every((name) => same(name)[0].checked)) found.push(["did", step]);
    }
    for (const [kind, verb] of [["n:", "ordered"], ["o:", "arrived"], ["b:", "bought"]])
      for (const name of fresh) if (name.startsWith(kind)) found.push([verb, name.slice(2)]);
    return found.map(([verb, name]) => `tackfree ${verb} ${quoted(document.body.dataset.place)} ${quoted(name)}`).join("\n");
  };
  const told = () => {
    if (!copy) return;
    const area = copy.querySelector("textarea");
    area.value = commands();
    area.rows = Math.max(2, area.value.split("\n").length);
    copy.hidden = !area.value;
  };
  if (copy) copy.querySelector("button").addEventListener("click", async () => {
    const area = copy.querySelector("textarea");
    area.select();
    try { await navigator.clipboard.writeText(area.value); } catch { document.execCommand("copy"); }
    copy.querySelector("[role=status]").textContent = "✓";
  });
  const mark = (box) => box.closest("li, .urgent").classList.toggle("ticked", box.checked);
  for (const box of boxes) {
    if (Object.hasOwn(kept, box.dataset.tick)) box.checked = kept[box.dataset.tick] === true;
    mark(box);
    box.addEventListener("change", () => {
      if (copy) copy.querySelector("[role=status]").textContent = "";
      kept[box.dataset.tick] = box.checked;
      for (const other of same(box.dataset.tick)) { other.checked = box.checked; mark(other); }
      try { localStorage.setItem(key, JSON.stringify(kept)); } catch { /* a browser that keeps nothing still ticks */ }
      told();
    });
  }
  told();
  const fold = document.querySelector("details#picture");
  if (fold && !fold.classList.contains("shown")) { // until here the style shows it on a wide screen: nothing jumps
    fold.open = matchMedia("(min-width:900px)").matches || fold.open;
    fold.classList.add("shown");
  }
};
const opened = () => {
  const target = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  for (let fold = target && target.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  if (target) target.scrollIntoView();
};
addEventListener("hashchange", opened);
addEventListener("beforeprint", () => { for (const fold of document.querySelectorAll("details.card, details.fold, #now details")) fold.open = true; });
dress();
opened();
