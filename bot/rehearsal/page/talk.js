// The talk of the one chosen. A text of somebody's is a text, never markup.
import { act, call, day, el, hour, make, state, t } from './api.js';

const few = 60;
let shown = '', last = 0, wanted = few;

export function forget() { shown = ''; last = 0; wanted = few; }

function rowsOf(rows, press) {
  return rows.map(row => make('div', null, ...row.map(b => make('button', { type: 'button', onclick: () => press(b) }, b.label))));
}

function lineOf(m, chat, refresh) {
  const who = m.from === 'bot' ? 'Duskdawn' : m.mine ? chat.who : t('page.someone');
  const body = make('div', { className: 'body' },
    make('span', { className: 'who' }, who + (m.edited ? ', ' + t('page.changed') : '')));
  if (m.photo) body.append(make('img', { src: m.photo, alt: t('page.picture'), onload: bottom }));
  if (m.document && m.from === 'bot') {
    body.append(make('p', null, make('a', { href: m.document, download: m.name || '' }, m.name || t('page.kind.document'))));
  }
  if (m.text) body.append(make('p', { dir: 'auto' }, m.text));
  if (!m.text && !m.photo && !(m.document && m.from === 'bot')) body.append(make('p', null, '(' + t('page.kind.' + m.kind) + ')'));
  const inline = m.buttons.filter(r => r.some(b => b.data));
  if (inline.length) {
    body.append(make('div', { className: 'rows' }, ...rowsOf(inline,
      b => act(() => call('chats/' + chat.id + '/tap', { message: m.id, data: b.data }), refresh))));
  }
  const line = make('li', { className: 'line' + (m.mine ? ' mine' : '') + (m.from === 'bot' && last && m.id > last ? ' new' : '') },
    make('time', { dateTime: m.at }, hour(m.at)), body);
  line.dataset.message = m.id;
  return line;
}

// drawTalk reports whether anything is new in it.
export async function drawTalk(refresh) {
  const chat = state.chat;
  const list = await call('chats/' + chat.id + '/messages?last=' + wanted);
  if (chat.id !== state.chat.id) return;
  const key = chat.id + state.lang + JSON.stringify(list);
  if (key === shown) return;
  shown = key;
  el('talk-head').textContent = chat.who;
  el('as').textContent = t('page.write', { who: chat.who });
  const ol = make('ol');
  let date = '';
  for (const m of list) {
    const d = day(m.at);
    if (d !== date) ol.append(make('li', null, make('h3', null, date = d)));
    ol.append(lineOf(m, chat, refresh));
  }
  if (!list.length) ol.append(make('li', null, make('p', { className: 'quiet' }, t('page.silence'))));
  const more = list.length >= wanted
    ? [make('button', { type: 'button', onclick: () => { wanted += 200; drawTalk(refresh); } }, t('page.earlier'))] : [];
  const focus = document.activeElement, within = el('lines').contains(focus) || el('quick').contains(focus);
  el('lines').replaceChildren(...more, ol);
  const keys = list.flatMap(m => m.buttons.filter(r => r.length && r.every(b => !b.data)));
  el('quick').replaceChildren(...rowsOf(keys, b => say(b.label, refresh)));
  el('quick').hidden = !keys.length;
  if (list.length) last = list[list.length - 1].id;
  if (within) (el('quick').querySelector('button') || el('text')).focus({ preventScroll: true });
  return true;
}

export function bottom() {
  const e = el('lines');
  if (e.scrollHeight > e.clientHeight) e.scrollTop = e.scrollHeight;
  else if (document.body.dataset.view === 'talk' && el('intro').hidden && matchMedia('(max-width: 68rem)').matches) scrollTo(0, document.body.scrollHeight);
}

export const say = (text, refresh) => act(() => call('chats/' + state.chat.id + '/say', { text }), refresh);
export const send = (kind, refresh) => act(() => call('chats/' + state.chat.id + '/send', { kind }), refresh);
