// What the other modules share: asking the program, words, elements.
export const el = id => document.getElementById(id);

let texts = {};
export const state = { lang: 'en', languages: [], now: null, chat: null };

// call asks past the browser's cache, which would have a request wait for one of
// the same address that a page before it has left open.
export async function call(path, body) {
  const r = await fetch('/rehearsal/' + path, body ? {
    method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body),
  } : { cache: 'no-store' });
  const data = await r.json();
  if (!r.ok) throw new Error(data.error || String(r.status));
  return data;
}

export async function loadWords(lang) {
  const w = await call('words?lang=' + encodeURIComponent(lang));
  texts = w.words;
  state.lang = w.lang;
  state.languages = w.languages;
  document.documentElement.lang = w.lang;
  document.documentElement.dir = direction(w.lang);
  for (const e of document.querySelectorAll('[data-t]')) e.textContent = t(e.dataset.t);
  for (const e of document.querySelectorAll('[data-label]')) e.setAttribute('aria-label', t(e.dataset.label));
  document.title = t('page.title');
}

function direction(lang) {
  const script = new Intl.Locale(lang).maximize().script;
  return ['Arab', 'Hebr', 'Syrc', 'Thaa', 'Nkoo', 'Adlm'].includes(script) ? 'rtl' : 'ltr';
}

// t puts values into a text; one that is missing shows its key.
export function t(key, values = {}) {
  return (texts[key] ?? key).replace(/\{(\w+)\}/g, (all, name) => values[name] ?? all);
}

// make builds an element; children are text, never markup.
export function make(tag, props, ...children) {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(props || {})) {
    if (v == null || v === false) continue;
    if (k.startsWith('on')) e.addEventListener(k.slice(2), v);
    else if (k in e && k !== 'list') e[k] = v;
    else e.setAttribute(k, v === true ? '' : v);
  }
  e.append(...children.filter(c => c != null && c !== false));
  return e;
}

// A time as the person played sees it; where no zone is known, in UTC. The day
// stands before the month, as in what the bot writes.
const formats = new Map();
function local(iso, options) {
  const zone = state.chat && state.chat.zone || 'UTC';
  const key = state.lang + zone + JSON.stringify(options);
  if (!formats.has(key)) formats.set(key, new Intl.DateTimeFormat(state.lang === 'en' ? 'en-GB' : state.lang, { timeZone: zone, ...options }));
  return formats.get(key).format(new Date(iso));
}
export const hour = iso => local(iso, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
export const day = iso => local(iso, { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' });
export const brief = iso => local(iso, { weekday: 'short', day: 'numeric', month: 'short' }) + ' ' + hour(iso);

export function notice(text, bad) {
  el('notice').textContent = text || '';
  el('notice').className = bad ? 'bad' : '';
}

// act runs one act: the program answers only when all is quiet again. Buttons
// keep the focus, and say that they wait.
let busy = false;
export const isBusy = () => busy;
export async function act(what, after) {
  if (busy) return;
  busy = true;
  document.body.setAttribute('aria-busy', 'true');
  document.querySelectorAll('button').forEach(b => b.setAttribute('aria-disabled', 'true'));
  notice(t('page.working'));
  let note = '', bad = false;
  try {
    const r = await what();
    note = r && r.notice || '';
  } catch (e) { note = e.message; bad = true; }
  await after();
  document.querySelectorAll('button').forEach(b => b.removeAttribute('aria-disabled'));
  busy = false;
  document.body.removeAttribute('aria-busy');
  notice(note, bad);
}
