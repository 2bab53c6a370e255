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
  const picture = document.getElementById("picture");
  const readout = document.querySelector(".readout");
  const show = (event) => {
    const found = event.target.closest("[data-s]");
    for (const lit of picture.querySelectorAll(".lit")) lit.classList.remove("lit");
    picture.classList.toggle("choosing", Boolean(found));
    if (!found) { if (readout) readout.textContent = ""; return; }
    for (const each of picture.querySelectorAll(`[data-s="${found.dataset.s}"]`)) each.classList.add("lit");
    const title = found.querySelector("title") || picture.querySelector(`a[data-s="${found.dataset.s}"] title`);
    if (readout && title) readout.textContent = title.textContent;
  };
  if (picture) for (const name of ["pointerover", "focusin"]) picture.addEventListener(name, show);
  if (picture) picture.addEventListener("pointerleave", show);
  const scroll = document.querySelector(".scroll");
  if (scroll) scroll.scrollLeft = Number(scroll.dataset.x);
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
