// The people, with what they have not read and what waits.
import { el, make, state, t } from './api.js';

const seen = () => JSON.parse(sessionStorage.getItem('seen:' + state.now.world) || '{}');

export function read(chat, heard) {
  const all = seen();
  all[chat] = heard;
  sessionStorage.setItem('seen:' + state.now.world, JSON.stringify(all));
}

export function drawPeople(choose) {
  const all = state.now.chats, known = seen();
  el('find').hidden = all.length < 15;
  const sought = el('find').hidden ? '' : el('sought').value.toLowerCase();
  const focus = document.activeElement.dataset && document.activeElement.dataset.chat;
  el('people').querySelector('ul').replaceChildren(...all.filter(c => c.who.toLowerCase().includes(sought)).map(c => {
    // what was there when the page was opened is not news
    const fresh = known[c.id] === undefined ? 0 : Math.max(0, c.heard - known[c.id]);
    const b = make('button', { type: 'button', onclick: () => choose(c) }, c.who,
      make('small', null, t('page.role.' + c.role)),
      fresh > 0 && c.id !== state.chat.id ? make('mark', null, t('page.unread', { n: fresh })) : null,
      c.open ? make('mark', { className: 'waits' }, t('page.waits', { n: c.open })) : null);
    b.dataset.chat = c.id;
    if (c.id === state.chat.id) b.setAttribute('aria-current', 'true');
    return make('li', null, b);
  }));
  for (const c of all) if (known[c.id] === undefined) read(c.id, c.heard);
  if (focus) el('people').querySelector('[data-chat="' + CSS.escape(focus) + '"]')?.focus();
}
