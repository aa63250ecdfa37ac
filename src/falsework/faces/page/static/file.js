// The file, edited with help. The server says what is wrong and what may stand where; this only shows it.
// Nothing is written but on the owner's word, and never over what somebody else has saved meanwhile.
import { say, token } from "/static/live.js";

const section = document.getElementById("file");
const part = (name) => document.getElementById(`file-${name}`);

async function ask(address, body) {
  const given = body
    ? { method: "POST", headers: { "Content-Type": "application/json", Accept: "application/json", "X-Falsework": token() }, body: JSON.stringify(body) }
    : { headers: { Accept: "application/json" } };
  let response;
  try {
    response = await fetch(address, given);
  } catch {
    return { status: 0, said: { errors: [{ what: "the page no longer answers", mend: "Your text is kept in this window. Start the page again in the terminal." }] } };
  }
  return { status: response.status, said: await response.json().catch(() => ({})) };
}

const element = (name, words = "", given = {}) => Object.assign(document.createElement(name), { textContent: words, ...given });
const sentence = (text) => `${text[0]?.toUpperCase() ?? ""}${text.slice(1)}${/[.?!]$/.test(text) ? "" : "."}`;
const trouble = (said) => (said.errors ?? [{ what: "the page answered something strange", mend: "Load it again." }])
  .map((each) => `${sentence(each.what)} ${each.mend}`).join(" ");

// -- what is typed and not saved outlives a reload ------------------------------------------------------

const slot = (file) => `falsework-text ${file}`;
function keep(file, value) {
  try {
    if (value) sessionStorage.setItem(slot(file), JSON.stringify(value));
    else sessionStorage.removeItem(slot(file));
  } catch { /* too long for this browser: then leaving warns, and that is all */ }
}
function kept(file) {
  try { return JSON.parse(sessionStorage.getItem(slot(file))); } catch { return null; }
}

// -- the editor -----------------------------------------------------------------------------------------

function marked(kit) {
  const set = kit.StateEffect.define();
  const field = kit.StateField.define({
    create: () => kit.Decoration.none,
    update(lines, change) {
      for (const effect of change.effects) if (effect.is(set)) {
        return effect.value === null ? kit.Decoration.none
          : kit.Decoration.set([kit.Decoration.line({ class: "pointed" }).range(effect.value)]);
      }
      return lines.map(change.changes);
    },
    provide: (field) => kit.EditorView.decorations.from(field),
  });
  return { set, field };
}

function extensions(kit, { file, separator, field, changed, moved, save, complete }) {
  const { tags } = kit;
  const inks = kit.HighlightStyle.define([
    { tag: [tags.comment, tags.lineComment], class: "i-comment" },
    { tag: [tags.propertyName, tags.definition(tags.propertyName)], class: "i-key" },
    { tag: [tags.string, tags.special(tags.string)], class: "i-text" },
    { tag: [tags.separator, tags.punctuation, tags.squareBracket, tags.brace], class: "i-sign" },
  ]);
  const narrow = matchMedia("(max-width: 44rem)").matches;
  return [
    kit.EditorView.cspNonce.of(document.querySelector('meta[name="nonce"]').content),
    kit.EditorState.lineSeparator.of(separator),
    kit.keymap.of([{ key: "Mod-s", preventDefault: true, run: () => { save(); return true; } }]),
    kit.lineNumbers(), kit.lintGutter(), kit.highlightActiveLineGutter(), kit.highlightSpecialChars(),
    kit.history(), kit.drawSelection(), kit.indentOnInput(), kit.bracketMatching(), kit.closeBrackets(),
    kit.highlightActiveLine(), kit.highlightSelectionMatches(), kit.search({ top: true }),
    kit.yaml(), kit.syntaxHighlighting(inks), kit.indentUnit.of("  "), field,
    kit.autocompletion({ override: [complete], icons: false, maxRenderedOptions: 200, activateOnTypingDelay: 60, activateOnCompletion: (option) => option.apply.endsWith(": ") }),
    kit.keymap.of([
      ...kit.closeBracketsKeymap, ...kit.defaultKeymap, ...kit.searchKeymap, ...kit.historyKeymap,
      ...kit.completionKeymap, ...kit.lintKeymap, kit.indentWithTab,
    ]),
    kit.EditorView.contentAttributes.of({
      "aria-label": `The text of ${file}`, "aria-describedby": "file-keys", tabindex: "0", spellcheck: "false", autocorrect: "off", autocapitalize: "off",
    }),
    kit.EditorView.updateListener.of((update) => {
      if (update.docChanged) changed();
      if (update.docChanged || update.selectionSet) moved();
    }),
    ...(narrow ? [kit.EditorView.lineWrapping] : []),
  ];
}

/** Line breaks are kept as they are: all of one kind, or else each stays what it is. */
const separatorOf = (text) => (text.includes("\n") && !/(^|[^\r])\n/.test(text) ? "\r\n" : "\n");

/** Offset in a line of a column that counts whole characters from one. */
function offset(line, column) {
  let at = 0;
  for (let left = column - 1; left > 0 && at < line.length; left--) at += line.codePointAt(at) > 0xffff ? 2 : 1;
  return at;
}

async function begin() {
  const file = section.dataset.file;
  const [kit, first] = await Promise.all([
    import("/static/vendored/editor.js"),
    ask(`/file/text?file=${encodeURIComponent(file)}`),
  ]);
  if (first.status !== 200) { part("state").textContent = trouble(first.said); return; }

  let base = { text: first.said.text, digest: first.said.digest }; // what the text here was made from
  const before = kept(file);
  const text = before && before.text !== base.text ? before.text : base.text;
  const stale = text !== base.text && before.digest !== base.digest;
  const disk = base;
  if (stale) base = { text: before.base ?? "", digest: before.digest };
  const { set, field } = marked(kit);
  const separator = separatorOf(text);
  const view = new kit.EditorView({
    state: kit.EditorState.create({
      doc: text,
      extensions: extensions(kit, { file, separator, field, changed, moved, save: () => save(), complete }),
    }),
  });
  // The editor holds only the lines that are seen; paper wants all of them.
  const paper = element("pre", text, { className: "on-paper" });
  part("editor").replaceChildren(view.dom, paper);
  document.querySelector("#file .keys").hidden = false;
  document.querySelector("#sheet > .faults")?.remove(); // the list below the text knows what is typed, too

  const typed = () => view.state.sliceDoc();
  const edited = () => typed() !== base.text;
  let newer = false; // whether the line says that the file has changed on disk
  const state = (words) => {
    newer = false;
    if (part("state").textContent !== words) part("state").textContent = words; // the same again is not said again
  };

  let leaving = false;
  function put(fresh) {
    if (fresh.includes("\n") && separatorOf(fresh) !== separator) {
      // An editor keeps to one kind of line break: with another kind it begins anew.
      keep(file, { text: fresh, base: base.text, digest: base.digest });
      leaving = true;
      location.reload();
      return;
    }
    // Only what differs is replaced, so that the cursor and the view stay where they are.
    const now = typed();
    let head = 0;
    while (head < now.length && head < fresh.length && now[head] === fresh[head]) head++;
    let tail = 0;
    while (tail < now.length - head && tail < fresh.length - head && now[now.length - 1 - tail] === fresh[fresh.length - 1 - tail]) tail++;
    if (separator === "\r\n") { head = 0; tail = 0; } // offsets of the editor count a break as one
    const whole = head === 0 && tail === 0;
    view.dispatch({
      changes: whole
        ? { from: 0, to: view.state.doc.length, insert: view.state.toText(fresh) }
        : { from: head, to: now.length - tail, insert: fresh.slice(head, fresh.length - tail) },
      userEvent: "input.replace", // a step of its own for undo, however soon it follows what was typed
    });
  }

  // -- what is wrong with it ----------------------------------------------------------------------------

  let turn = 0;
  async function look() {
    const mine = ++turn;
    const { status, said } = await ask("/file/faults", { file, text: typed() });
    if (mine !== turn) return;
    if (status === 202) { setTimeout(() => { if (mine === turn) look(); }, 500); return; }
    if (status === 200) tell(said);
  }

  function tell({ faults, more }) {
    const { doc } = view.state;
    const found = faults.filter((each) => each.where?.file === file && each.where.line <= doc.lines).map((each) => {
      const line = doc.line(each.where.line);
      const from = line.from + offset(line.text, each.where.column);
      const word = /^[^\s,[\]{}#:]+|^./.exec(doc.sliceString(from, line.to))?.[0].length ?? 0;
      return { from, to: from + word, severity: "error", message: `${sentence(each.what)} ${each.mend}` };
    });
    view.dispatch(kit.setDiagnostics(view.state, found));
    const count = faults.length + more;
    part("faults").hidden = count === 0;
    part("faults-title").textContent = `${count} ${count === 1 ? "fault" : "faults"} in the text`;
    part("faults").querySelector("ol").replaceChildren(...faults.slice(0, 50).map((each) => {
      const item = element("li");
      if (each.where) {
        const own = each.where.file === file;
        item.append(element("a", each.at, { href: own ? `#line-${each.where.line}` : each.address, className: "where" }), " ");
      }
      item.append(element("bdi", sentence(each.what)), " ", element("bdi", each.mend));
      return item;
    }), ...(count > 50 ? [element("li", `And ${count - 50} more. Mend these first.`)] : []));
  }

  // -- what may stand here ------------------------------------------------------------------------------

  const around = (state, at) => ({ file, before: state.sliceDoc(0, at), after: state.sliceDoc(at) });

  async function complete(context) {
    const told = await ask("/file/complete", around(context.state, context.pos));
    const { said } = told;
    // Not null: the editor would then not ask again for what was typed while this answer was on its way.
    if (told.status !== 200 || (!context.explicit && !said.typed && !said.eager)) return { from: context.pos, options: [] };
    return {
      from: context.pos - said.typed.length,
      to: context.pos + said.rest.length,
      options: said.options.map((each) => ({ label: each.label, apply: each.text, detail: each.sort, info: each.says || undefined, boost: each.first ? 9 : 0 })),
      ...(said.steady ? { validFor: /^[^:,[\]{}#\n]*$/ } : {}),
    };
  }

  let waiting = 0;
  function moved() {
    clearTimeout(waiting);
    waiting = setTimeout(async () => {
      const told = await ask("/file/complete", around(view.state, view.state.selection.main.head));
      part("here").textContent = told.status === 200 ? told.said.says : "";
    }, 350);
  }

  // -- saving -------------------------------------------------------------------------------------------

  const question = part("question");
  const settle = () => { question.hidden = true; question.replaceChildren(); };

  function choose(title, words, difference, choices) {
    const heading = element("h2", title, { tabIndex: -1 });
    const buttons = element("p", "", { className: "choices" });
    for (const [name, does] of choices) {
      const button = element("button", name, { type: "button" });
      button.addEventListener("click", does);
      buttons.append(button, " ");
    }
    question.replaceChildren(heading, ...words.map((each) => element("p", each)));
    if (difference) question.insertAdjacentHTML("beforeend", difference); // made by the page's own template
    question.append(buttons);
    question.hidden = false;
    heading.focus();
  }

  let saving = false;
  async function save(anyway = false) {
    if (saving) return;
    if (!edited()) { state("There is nothing to save."); return; }
    saving = true;
    const sent = typed();
    const { status, said } = await ask("/file/save", { file, digest: base.digest, text: sent, ...(anyway ? { anyway: "yes" } : {}) });
    saving = false;
    if (status === 200) {
      base = { text: sent, digest: said.digest };
      settle();
      changed();
      tell(said);
      state(`Saved at ${new Date().toLocaleTimeString([], { hour12: false })}${said.faults.length ? ", with its faults" : ""}.`);
      if (anyway) view.focus();
    } else if (status === 422) {
      tell(said);
      const count = said.faults.length + said.more;
      choose(`The text has ${count} ${count === 1 ? "fault" : "faults"}`,
        ["Nothing was written. Saved as it is, it can't be read, and the page goes on showing what was read before."], "", [
          ["Mend it first", () => { settle(); const line = said.faults.find((each) => each.where?.file === file)?.where.line; if (line) jump(line); view.focus(); }],
          ["Save it all the same", () => save(true)],
        ]);
    } else if (status === 409) clash(said);
    else state(trouble(said));
  }

  function clash(theirs) {
    state("Not saved: the file has changed on disk.");
    choose("The file has changed on disk", [
      "Somebody, or another program, has saved it since the text here was read. Nothing was written, and your text is as you left it.",
      "Below, what goes (−) is on disk, and what comes (+) is here.",
    ], theirs.shown, [
      ["Take what is on disk", () => { base = theirs; put(theirs.text); settle(); changed(); state("This is what is on disk. Undo brings your text back."); view.focus(); }],
      ["Keep mine and save it", () => { base = theirs; settle(); save(); }],
      ["Join the two", join],
      ["Decide later", () => { settle(); changedOnDisk(); view.focus(); }],
    ]);
  }

  async function join() {
    newer = false;
    const { status, said } = await ask("/file/merge", { file, base: base.text, text: typed() });
    if (status !== 200) { state(trouble(said)); return; }
    base = { text: said.newer, digest: said.digest };
    put(said.text);
    settle();
    changed();
    state(said.clashes
      ? `Joined, not saved. In ${said.clashes} ${said.clashes === 1 ? "place" : "places"} both changed the same lines: look for "# on disk:".`
      : "Joined, not saved. No line was changed by both.");
    view.focus();
  }

  let soon = 0, sooner = 0;
  function changed() {
    const open = edited();
    part("save").setAttribute("aria-disabled", String(!open)); // disabled outright it would drop the focus
    if (open && !newer) state("Not saved.");
    clearTimeout(soon); clearTimeout(sooner);
    soon = setTimeout(look, 250);
    sooner = setTimeout(store, 200);
  }
  addEventListener("beforeprint", () => { paper.textContent = typed(); });
  const store = () => leaving || keep(file, edited() ? { text: typed(), base: base.text, digest: base.digest } : null);
  part("save").addEventListener("click", () => save());
  addEventListener("keydown", (event) => { // beside the text too: nobody means to save the page
    if (event.defaultPrevented || event.key !== "s" || event.altKey || event.shiftKey || !(event.ctrlKey || event.metaKey)) return;
    event.preventDefault();
    save();
  });
  addEventListener("pagehide", store);
  addEventListener("beforeunload", (event) => { if (edited() && !leaving) event.preventDefault(); });

  // -- the file changes under it --------------------------------------------------------------------------

  async function heard() {
    const { status, said } = await ask(`/file/text?file=${encodeURIComponent(file)}`);
    if (status === 400) state(trouble(said));
    if (status !== 200 || saving || said.digest === base.digest) return;
    if (!edited()) {
      base = { text: said.text, digest: said.digest };
      put(said.text);
      changed();
      state("The file was read again.");
    } else changedOnDisk();
  }
  function changedOnDisk() {
    newer = true;
    const button = element("button", "See what changed", { type: "button" });
    button.addEventListener("click", async () => {
      const { status, said } = await ask("/file/difference", { file, text: typed() });
      if (status === 200) clash(said); else state(trouble(said));
    });
    part("state").replaceChildren("The file has changed on disk. Your text is as you left it. ", button);
  }
  // The title block is kept true by hand, since the sheet itself must stay.
  async function plate() {
    const response = await fetch(location.pathname + location.search, { headers: { "HX-Request": "true" } }).catch(() => null);
    if (!response?.ok) return;
    const block = new DOMParser().parseFromString(await response.text(), "text/html").getElementById("block");
    if (block) document.getElementById("block").replaceChildren(...block.childNodes);
  }
  for (const kind of ["drawn", "trouble"]) document.addEventListener(`falsework:${kind}`, heard);
  for (const kind of ["drawn", "judged"]) document.addEventListener(`falsework:${kind}`, plate);

  // -- addresses of lines ---------------------------------------------------------------------------------

  function jump(number) {
    const line = view.state.doc.line(Math.min(Math.max(number, 1), view.state.doc.lines));
    view.dispatch({
      selection: { anchor: line.from },
      effects: [set.of(line.from), kit.EditorView.scrollIntoView(line.from, { y: "center" })],
    });
    view.dom.scrollIntoView({ block: "nearest" });
    view.focus();
    say(`Line ${line.number}: ${line.text.trim()}`);
  }
  function follow() {
    const line = /^#line-(\d{1,9})$/.exec(location.hash);
    if (line) jump(Number(line[1]));
  }
  addEventListener("hashchange", follow);
  // The same line asked for again changes no address.
  section.addEventListener("click", (event) => {
    const link = event.target.closest("a[href^='#line-']");
    if (link && link.hash === location.hash) { event.preventDefault(); follow(); }
  });

  changed();
  if (text === disk.text) state("");
  else if (stale) changedOnDisk();
  else state("Your text from before is here again, not saved.");
  follow();
  section.setAttribute("data-ready", "");
}

if (section) {
  // News makes the page ask for its sheet again; this one stays, an answer that is on its way included.
  document.getElementById("sheet").setAttribute("data-holds", "");
  document.addEventListener("htmx:beforeSwap", (event) => {
    if (event.detail.target?.id === "sheet" && section.isConnected) event.detail.shouldSwap = false;
  });
  begin();
}
