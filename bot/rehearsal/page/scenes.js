// Scenes, and keeping what was played.
import { act, call, el, make, state, t } from './api.js';

let words = [];

export async function loadScenes(refresh) {
  words = await call('scenes?lang=' + state.lang);
  const button = s => make('li', null, make('button', { type: 'button', onclick: () => begin(s.id, refresh), 'data-scene': s.id },
    make('b', null, s.name), make('span', null, s.story)));
  el('intro').querySelector('ul').replaceChildren(...words.slice(0, 3).map(button));
  el('scenes').querySelector('ul').replaceChildren(...words.map(button));
}

function begin(id, refresh) {
  el('scenes').close();
  el('intro').hidden = true;
  sessionStorage.setItem('begun', '1');
  history.replaceState(null, '', location.pathname);
  return act(() => call('scenes/' + id, {}), refresh).then(() => el('talk-head').scrollIntoView({ block: 'nearest' }));
}

// story is what the scene that is open tells of itself.
export const story = () => words.find(s => s.id === state.now.scene);

export async function remember() {
  const k = await call('kept');
  if (k.acts) localStorage.setItem('kept', JSON.stringify({ world: state.now.world, link: k.link }));
  return k;
}

async function showKept() {
  const k = await remember();
  el('link').value = location.origin + location.pathname + '#play=' + k.link;
  el('script').value = k.talk;
  el('keep-note').textContent = k.talk ? t('page.keep.note') : t('page.keep.none');
  el('save').hidden = !k.talk;
  el('save').href = 'data:text/plain;charset=utf-8,' + encodeURIComponent(k.talk);
  el('keep').showModal();
}

// fromLink plays what the address holds.
export async function fromLink(refresh) {
  const m = /^#play=([\w-]+)$/.exec(location.hash);
  if (!m) return false;
  history.replaceState(null, '', location.pathname);
  sessionStorage.setItem('begun', '1');
  await act(() => call('play', { link: m[1] }), refresh);
  return true;
}

export function startScenes(refresh) {
  el('open-scenes').addEventListener('click', () => el('scenes').showModal());
  el('intro-more').addEventListener('click', () => el('scenes').showModal());
  el('intro-hide').addEventListener('click', () => {
    el('intro').hidden = true;
    sessionStorage.setItem('begun', '1');
    el('text').focus();
  });
  el('open-keep').addEventListener('click', () => showKept());
  el('scenes').querySelector('[data-scene=opening]').addEventListener('click', () => begin('opening', refresh));
  for (const b of document.querySelectorAll('dialog .close')) b.addEventListener('click', () => b.closest('dialog').close());
  el('copy').addEventListener('click', async () => {
    el('link').select();
    try { await navigator.clipboard.writeText(el('link').value); } catch { document.execCommand('copy'); }
    el('copy').textContent = t('page.keep.copied');
  });
  addEventListener('hashchange', () => fromLink(refresh));
}
