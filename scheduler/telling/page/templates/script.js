"use strict";
const dress = () => {
  const key = "tackfree:" + document.body.dataset.job;
  const boxes = [...document.querySelectorAll("input[data-tick]")];
  let kept = {};
  try { kept = JSON.parse(localStorage.getItem(key)) || {}; } catch { kept = {}; }
  const same = (name) => boxes.filter((box) => box.dataset.tick === name);
  const mark = (box) => box.closest("li, .urgent").classList.toggle("ticked", box.checked);
  for (const box of boxes) {
    if (Object.hasOwn(kept, box.dataset.tick)) box.checked = kept[box.dataset.tick] === true;
    mark(box);
    box.addEventListener("change", () => {
      kept[box.dataset.tick] = box.checked;
      for (const other of same(box.dataset.tick)) { other.checked = box.checked; mark(other); }
      try { localStorage.setItem(key, JSON.stringify(kept)); } catch { /* a browser that keeps nothing still ticks */ }
    });
  }
  const fold = document.querySelector("details#picture");
  if (fold && matchMedia("(min-width:900px)").matches) fold.open = true;
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
