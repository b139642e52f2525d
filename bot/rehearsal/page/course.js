// The course of the one chosen: its picture, its nights, and what if.
import { call, el, make, notice, state, t } from './api.js';

let shown = '', chosen = '', all = false, tried = '', dates = []; // dates: of all nights, the newest first

export function forgetCourse() { shown = ''; chosen = ''; all = false; tried = ''; el('detail').hidden = true; }

// A drawing comes as text and becomes elements; it holds attributes alone, and
// whatever else it held would be left out here.
function drawing(text) {
  const svg = new DOMParser().parseFromString(text, 'image/svg+xml').documentElement;
  for (const e of [...svg.querySelectorAll('script, foreignObject, style, image, a, use')]) e.remove();
  return document.importNode(svg, true);
}

// The picture's letters are as large as the page's: where these are twice as large
// it is drawn at half the width.
function width() {
  const letters = parseFloat(getComputedStyle(document.documentElement).fontSize) / 16 || 1;
  return Math.round(Math.max(330, Math.min(640, (el('picture').clientWidth || 400) / letters)));
}

export async function drawCourse() {
  const chat = state.chat;
  const c = await call('chats/' + chat.id + '/course?lang=' + state.lang + '&width=' + width() + tried);
  if (chat.id !== state.chat.id) return;
  const key = chat.id + state.lang + all + c.svg + c.charts.join('') + c.other;
  if (key === shown) return;
  shown = key;
  el('picture').replaceChildren(drawing(c.svg));
  el('charts').replaceChildren(...c.charts.map(drawing));
  for (const n of el('picture').querySelectorAll('.night')) n.addEventListener('click', () => showNight(n.dataset.night));
  el('differ').textContent = c.other;
  el('whatif').hidden = !c.limits.length;
  if (el('limits').dataset.chat !== chat.id + state.lang + c.limits.map(l => l.value)) {
    el('limits').dataset.chat = chat.id + state.lang + c.limits.map(l => l.value);
    el('limits').replaceChildren(...c.limits.map(l => make('label', null, make('span', null, l.label),
      make('input', { type: 'number', name: l.name, value: l.value, min: l.least, max: l.most, 'data-signed': l.value }))));
  }
  dates = c.nights.map(n => n.night);
  const rows = all ? c.nights : c.nights.slice(0, 14);
  el('nights').hidden = !c.limits.length;
  el('nights').querySelector('ol').replaceChildren(...rows.map(n => {
    const b = make('button', { type: 'button', onclick: () => showNight(n.night, b) }, make('span', null, n.day),
      make('span', null, n.rule + ' · ' + n.advice), n.other ? make('small', null, t('page.whatif') + ': ' + n.other) : null);
    b.dataset.night = n.night;
    if (n.night === chosen) b.setAttribute('aria-current', 'true');
    return make('li', null, b);
  }));
  if (!rows.length) el('nights').querySelector('ol').replaceChildren(make('li', { className: 'quiet' }, t('page.nights.none')));
  el('all-nights').hidden = all || c.nights.length <= 14;
  mark();
}

function mark() {
  const places = [...document.querySelectorAll('#picture .night')]; // a mark of several nights has the date of the last
  const place = chosen && places.find(n => n.dataset.night >= chosen);
  for (const n of places) n.classList.toggle('chosen', n === place);
  for (const b of document.querySelectorAll('#nights button[data-night]')) {
    if (b.dataset.night === chosen) b.setAttribute('aria-current', 'true'); else b.removeAttribute('aria-current');
  }
}

const part = (head, ...inside) => [make('h4', null, head), ...inside];
const list = (items, className) => make('ul', { className: className || '' }, ...items.map(i => make('li', null, i)));

async function showNight(night, from) {
  let n;
  try {
    n = await call('chats/' + state.chat.id + '/nights/' + night + '?lang=' + state.lang);
  } catch (e) { notice(e.message, true); return; }
  chosen = night;
  mark();
  const beside = (other, words) => other && make('button', { type: 'button', onclick: () => showNight(other, from) }, t(words));
  const close = make('button', { type: 'button', onclick: () => { el('detail').hidden = true; chosen = ''; mark(); (from || el('picture')).focus?.(); } },
    t('page.close'));
  el('detail').replaceChildren(make('h3', null, n.day),
    ...part(t('page.night.answers'), n.entry.length ? list(n.entry, 'words') : make('p', null, t('page.night.silent'))),
    ...(n.done.length ? part(t('page.night.done'), list(n.done)) : []),
    ...part(t('page.night.advice'), make('p', { className: 'says' }, n.advice ? n.advice + '. ' + n.reason : t('page.none'))),
    ...part(t('page.night.rules'), n.rules.length ? make('ul', null, ...n.rules.map(r => make('li', null,
      make('b', null, r.name), make('p', null, r.reason),
      r.source.length ? make('details', null, make('summary', null, t('page.night.source')), list(r.source)) : null)))
      : make('p', null, t('page.none'))),
    ...(n.rules.length && !n.forward ? part(t('page.night.moved'), n.moved.length ? list(n.moved) : make('p', null, t('page.moved.none'))) : []),
    make('div', { className: 'steps' }, beside(dates.find(d => d < night), 'page.night.earlier'),
      beside(dates.findLast(d => d > night), 'page.night.later'), close));
  el('detail').hidden = false;
  el('detail').focus();
  el('detail').scrollIntoView({ block: 'nearest' });
}

export function startCourse() {
  const redraw = () => drawCourse().catch(e => notice(e.message, true));
  el('whatif').addEventListener('submit', e => {
    e.preventDefault();
    tried = [...el('limits').querySelectorAll('input')].filter(i => i.value !== i.dataset.signed && i.value !== '')
      .map(i => '&' + i.name + '=' + encodeURIComponent(parseInt(i.value, 10))).join('');
    redraw();
  });
  el('signed').addEventListener('click', () => {
    for (const i of el('limits').querySelectorAll('input')) i.value = i.dataset.signed;
    tried = '';
    redraw();
  });
  el('all-nights').addEventListener('click', () => { all = true; redraw(); });
}
