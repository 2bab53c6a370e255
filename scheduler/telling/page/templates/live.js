(() => {
  const body = document.body;
  const words = JSON.parse(body.dataset.words);
  const token = body.dataset.token;
  const bar = document.getElementById("live");
  const here = location.href.replace(/[?#].*$/, "");
  const clock = (time) => new Date(time).toLocaleTimeString(document.documentElement.lang, { hour: words.clock24 ? "2-digit" : "numeric", minute: "2-digit", hour12: !words.clock24 });
  const places = "[data-step],[data-film],[data-item],[data-thing],[data-session],[data-unheard],[data-line]";
  const make = (name, text, more) => Object.assign(document.createElement(name), text === undefined ? {} : { textContent: text }, more);
  const fill = (phrase, n) => phrase.replace("{n}", n);

  /* ---- the queue: one record a tap, in the order tapped; kept by job, so that a new address finds it ---- */
  let base = null;
  let spare = []; // where the browser keeps nothing
  const ask = (request) => new Promise((good, bad) => { request.onsuccess = () => good(request.result); request.onerror = () => bad(request.error); });
  const opening = (async () => {
    try {
      const request = indexedDB.open("tackfree:" + body.dataset.job, 1);
      request.onupgradeneeded = () => { for (const name of ["taps", "apart"]) request.result.createObjectStore(name, { keyPath: "seq", autoIncrement: true }); };
      base = await ask(request);
    } catch { base = null; }
  })();
  const store = (name, mode) => base.transaction(name, mode, mode === "readwrite" ? { durability: "strict" } : {}).objectStore(name);
  const all = async (name) => { await opening; return base ? ask(store(name, "readonly").getAll()) : name === "taps" ? [...spare] : []; };
  const put = async (name, record) => {
    await opening;
    if (!base) { if (name === "taps") { record.seq ??= Date.now() + Math.random(); spare = spare.filter((each) => each.seq !== record.seq).concat(record); } return; }
    const kept = store(name, "readwrite");
    const done = new Promise((good, bad) => { kept.transaction.oncomplete = good; kept.transaction.onerror = () => bad(kept.transaction.error); });
    kept.put(record);
    await done;
  };
  const drop = async (name, seq) => {
    await opening;
    if (!base) { spare = spare.filter((each) => each.seq !== seq); return; }
    await ask(store(name, "readwrite").delete(seq));
  };
  const newName = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = bytes[6] & 15 | 64; bytes[8] = bytes[8] & 63 | 128;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/(.{8})(.{4})(.{4})(.{4})(.{12})/, "$1-$2-$3-$4-$5");
  };
  const tap = async (what, title, said) => {
    await put("taps", { tap: { id: newName(), ...what }, at: Date.now(), title, said, tried: false });
    await paint();
    send();
  };

  /* ---- sending: one at a time, in order; what is refused for what is recorded steps aside and is shown ---- */
  let sending = false, wait = 500, timer = 0, note = "", off = 0, silent = false, refused = false, held = false;
  const send = async () => {
    if (sending || !token) return;
    sending = true;
    clearTimeout(timer);
    try {
      for (let queue = await all("taps"); queue.length; queue = await all("taps")) {
        const record = queue[0];
        let answer, says = {};
        if (!record.tried) { record.tried = true; await put("taps", record); }
        try {
          const timed = { at: new Date(record.at).toISOString(), ...record.tap, sent: new Date().toISOString() };
          answer = await fetch(here + "diary", { method: "POST", headers: { "Content-Type": "application/json", "X-Tackfree-Token": token }, body: JSON.stringify(timed), signal: AbortSignal.timeout(15000) });
          says = await answer.json().catch(() => ({}));
        } catch { break; }
        silent = false;
        refused = answer.status === 403 || answer.status === 404;
        held = answer.status === 503;
        if (answer.status === 200 && says.recorded) {
          note = `${words.recorded} ${says.said ? says.said + "." : ""}`;
          off = Math.abs(says.off || 0);
          wait = 500;
        } else if ([400, 409, 413, 422].includes(answer.status)) {
          const { seq, ...rest } = record;
          await put("apart", { ...rest, why: says.said || "", may: Boolean(says.instead) });
        } else break;
        await drop("taps", record.seq);
        await paint();
      }
      if ((await all("taps")).length) { timer = setTimeout(send, wait); wait = Math.min(15000, wait * 2); }
    } finally { sending = false; await paint(); }
  };

  /* ---- what is shown ---- */
  let planning = false, last = Date.now();
  const button = (text, about, pressed) => {
    const made = make("button", text, { type: "button", onclick: pressed });
    if (about) made.setAttribute("aria-label", `${text}: ${about}`);
    return made;
  };
  const paint = async () => {
    const queue = await all("taps"), apart = await all("apart");
    const lines = [];
    if (refused) lines.push(make("p", words.refused, { className: "warn" }));
    else if (silent) lines.push(make("p", `${words.old} (${document.querySelector("#now .asof")?.textContent || clock(last)})`, { className: "warn" }));
    else if (held && queue.length) lines.push(make("p", words.held, { className: "warn" }));
    if (off) lines.push(make("p", fill(words.off, off)));
    if (token && !base) lines.push(make("p", words.full, { className: "warn" }));
    if (queue.length) {
      lines.push(make("p", queue.length === 1 ? words.unsent1 : fill(words.unsents, queue.length), { className: "unsent" }));
      const list = make("ul");
      for (const record of queue) {
        const item = make("li", `${clock(record.at)} ${record.title}: ${record.said} `);
        item.append(button(words.back, record.title, async () => {
          if (record.tried) await tap({ what: "undo", of: record.tap.id }, record.title, words.back);
          else { await drop("taps", record.seq); await paint(); }
        }));
        list.append(item);
      }
      lines.push(list);
    } else if (note || planning) lines.push(make("p", `${note} ${planning ? words.planning : ""}`.trim()));
    if (apart.length) {
      lines.push(make("p", words.against, { className: "warn" }));
      const list = make("ul");
      for (const record of apart) {
        const item = make("li", `${clock(record.at)} ${record.title}: ${record.said}. ${record.why} `);
        item.append(button(words.leave, record.title, async () => { await drop("apart", record.seq); await paint(); }));
        if (record.may) item.append(" ", button(words.instead, record.title, async () => {
          const { seq, ...rest } = record;
          await put("taps", { ...rest, tried: false, tap: { ...record.tap, at: record.tap.at ?? new Date(record.at).toISOString(), id: newName(), instead: true } });
          await drop("apart", record.seq);
          await paint();
          send();
        }));
        list.append(item);
      }
      lines.push(list);
    }
    bar.replaceChildren(...lines);
    body.classList.toggle("old", silent || refused);
    const waiting = new Map(queue.map((record) => [record.tap.step || record.tap.item || record.tap.thing || record.tap.from || String(record.tap.line || ""), record]));
    for (const place of document.querySelectorAll(places)) {
      const { step, film, item, thing, session, unheard, line } = place.dataset;
      const record = waiting.get(step || film || item || thing || session || unheard || line);
      let mark = place.querySelector(".state");
      if (!mark && record) { mark = make("span", "", { className: "state" }); place.append(mark); }
      if (mark) mark.textContent = record ? ` ${record.said}, ${clock(record.at)}: ${words.unsent}` : "";
    }
  };

  /* ---- the buttons: made here, for whoever may write; a page that only looks has none ---- */
  const sheet = make("dialog");
  body.append(sheet);
  const open = (title, ...parts) => {
    const head = make("h2", title, { id: "h-sheet" });
    sheet.setAttribute("aria-labelledby", head.id);
    const form = make("form", undefined, { method: "dialog" });
    form.append(...parts, make("button", words.close, { className: "quiet" }));
    sheet.replaceChildren(head, form);
    sheet.showModal();
  };
  const told = (what, title, said) => { sheet.close(); tap(what, title, said); };
  const field = (label, input) => { const made = make("label", label + " "); made.append(input); return made; };
  const group = (...parts) => { const made = make("div", undefined, { className: "group" }); made.append(...parts); return made; };
  const local = (time) => new Date(time - new Date(time).getTimezoneOffset() * 60000).toISOString().slice(0, 16);
  const aboutStep = (step, title) => {
    const at = make("input", undefined, { type: "datetime-local", value: local(Date.now()) });
    const left = make("select");
    for (const [minutes, said] of Object.entries(words.lengths)) left.append(make("option", said, { value: minutes }));
    left.value = "60";
    const took = left.cloneNode(true);
    took.prepend(make("option", "–", { value: "" }));
    took.value = "";
    const timed = (what) => took.value ? { ...what, took: Number(took.value) } : what;
    open(
      title,
      field(words.took, took),
      button(words.now, "", () => told(timed({ what: "did", step }), title, words.done)),
      group(field(words.at, at), button(words.record, words.at, () => { const time = new Date(at.value); if (!isNaN(time)) told(timed({ what: "did", step, at: time.toISOString() }), title, words.done + " " + clock(time)); })),
      group(field(words.begun, left), button(words.record, words.begun, () => told({ what: "did", step, left: Number(left.value) }, title, `${words.begun}: ${words.lengths[left.value]}`))),
    );
  };
  const aboutFilm = (stages, title, felt) => {
    const stage = make("select");
    for (const [name, said] of Object.entries(stages)) stage.append(make("option", said, { value: name }));
    const say = (reached) => felt(reached, stage.value, `${stages[stage.value]}: ${reached ? words.reached : words.notYet}`);
    open(title, field(words.stage, stage), button(words.reached, "", () => say(true)), button(words.notYet, "", () => say(false)));
  };
  const aboutItem = (item, title) => {
    const day = make("input", undefined, { type: "date" });
    open(title, field(words.late, day), button(words.record, words.late, () => { if (day.value) told({ what: "late", item, expected: day.value }, title, day.value); }));
  };
  const aboutSession = (from, title) => open(title, button(words.lost, "", () => told({ what: "lost", from }, title, words.lost)));
  const aboutUnheard = (from, steps, title) => {
    const boxes = steps.map(([step, name]) => [step, name, make("input", undefined, { type: "checkbox", checked: true })]);
    const say = () => {
      const but = boxes.filter(([, , box]) => !box.checked).map(([step]) => step);
      if (but.length === boxes.length) told({ what: "lost", from }, title, words.nobody);
      else told({ what: "session", from, but }, title, but.length ? words.some : words.planned_all);
    };
    const ticks = boxes.map(([, name, box]) => { const made = make("label"); made.append(box, make("span", name)); return made; });
    open(`${title}: ${words.worked}`, ...ticks, button(words.record, title, say));
  };
  const furnish = () => {
    if (!token) return;
    for (const place of document.querySelectorAll(places)) {
      const { step, film, stages, item, thing, can, session, unheard, steps, line, title } = place.dataset;
      const box = make("span", undefined, { className: "taps" });
      if (step) box.append(button(words.done, title, () => tap({ what: "did", step }, title, words.done)), button(words.more, title, () => aboutStep(step, title)));
      if (film) {
        const felt = (reached, stage, said) => told({ what: "felt", step: film, stage, reached }, title, said);
        if ("touch" in JSON.parse(stages)) box.append(button(words.dry, title, () => felt(true, "touch", words.dry)), button(words.tacky, title, () => felt(false, "touch", words.tacky)));
        box.append(button(words.more, title, () => aboutFilm(JSON.parse(stages), title, felt)));
      }
      if (item) box.append(button(words.there, title, () => tap({ what: "arrived", item }, title, words.there)), button(words.late, title, () => aboutItem(item, title)));
      if (thing) for (const what of can.split(" ")) box.append(button(words[what], title, () => tap({ what, thing }, title, words[what])));
      if (session) box.append(button(words.lost, title, () => aboutSession(session, title)));
      if (unheard) box.append(
        button(words.planned_all, title, () => tap({ what: "session", from: unheard }, title, words.planned_all)),
        button(words.some, title, () => aboutUnheard(unheard, JSON.parse(steps), title)),
        button(words.nobody, title, () => tap({ what: "lost", from: unheard }, title, words.nobody)),
      );
      if (line) box.append(button(words.back, title, () => tap({ what: "undo", line: Number(line) }, title, words.back)));
      place.append(box);
    }
  };

  /* ---- what changes: told by the server, asked for where it does not tell ---- */
  let version = "", shown = "", asking = false;
  const refresh = async () => {
    if (asking) return;
    asking = true;
    try {
      const answer = await fetch(here, { cache: "no-cache", signal: AbortSignal.timeout(8000) });
      refused = answer.status === 403 || answer.status === 404;
      if (!answer.ok) return;
      heard();
      const tag = answer.headers.get("etag") || "";
      if (tag === shown) return;
      const next = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (next.body.dataset.shell !== body.dataset.shell) { location.reload(); return; }
      swap(next);
      shown = tag;
    } catch { silent = true; } finally { asking = false; await paint(); }
  };
  const swap = (next) => {
    const fresh = next.getElementById("shown"), now = document.getElementById("shown");
    if (fresh.innerHTML === pristine) return;
    const folds = new Map([...now.querySelectorAll("details[id]")].map((fold) => [fold.id, fold.open]));
    const focus = document.activeElement && now.contains(document.activeElement) ? document.activeElement.getAttribute("aria-label") : null;
    pristine = fresh.innerHTML;
    now.replaceWith(document.adoptNode(fresh));
    document.title = next.title;
    for (const [id, was] of folds) { const fold = document.getElementById(id); if (fold) fold.open = was; }
    dress();
    furnish();
    if (focus) [...fresh.querySelectorAll("button")].find((each) => each.getAttribute("aria-label") === focus)?.focus({ preventScroll: true });
    note = `${words.planned} ${document.querySelector("#changed p")?.textContent || ""}`;
  };
  const heard = () => { silent = false; last = Date.now(); wait = 500; };
  let stream = null, poll = 0;
  const listen = () => {
    stream?.close();
    stream = new EventSource(here + "events");
    stream.onmessage = (event) => {
      const state = JSON.parse(event.data);
      const woken = silent;
      heard();
      const changed = planning !== state.planning;
      planning = state.planning;
      if (state.version !== version || woken) { version = state.version; refresh(); send(); }
      else if (changed || woken) paint();
    };
    stream.onerror = () => { if (Date.now() - last > 5000) { silent = true; paint(); } };
  };
  const watch = () => {
    clearInterval(poll);
    poll = setInterval(() => { if (Date.now() - last > 25000) { silent = true; paint(); listen(); } if (!stream || stream.readyState === EventSource.CLOSED) refresh(); }, 5000);
  };
  const wake = () => { if (document.visibilityState === "hidden") { stream?.close(); stream = null; clearInterval(poll); return; } if (!stream) { listen(); watch(); refresh(); } send(); };
  for (const name of ["online", "focus", "pageshow"]) addEventListener(name, wake);
  addEventListener("offline", () => { silent = true; paint(); });
  document.addEventListener("visibilitychange", wake);

  let pristine = document.getElementById("shown").innerHTML;
  furnish();
  paint();
  wake();
})();
