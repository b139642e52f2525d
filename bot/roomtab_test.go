package main

import (
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"os"
	"strconv"

	"github.com/chromedp/chromedp"
)

// axe looks for what WCAG 2.2 forbids, at its levels A and AA.
func (b *tab) axe(where string) {
	b.t.Helper()
	if axeScript == "" {
		file, err := os.Open("rehearsal/testdata/axe/axe.min.js.gz")
		if err != nil {
			b.t.Fatal(err)
		}
		defer file.Close()
		z, err := gzip.NewReader(file)
		if err != nil {
			b.t.Fatal(err)
		}
		raw, err := io.ReadAll(z)
		if err != nil {
			b.t.Fatal(err)
		}
		axeScript = string(raw)
	}
	b.do("axe", chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := chromedp.Evaluate[any](axeScript+"; 0")(ctx, target)
		return err
	}))
	b.eval(`(window.found = null, axe.run({
		runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }).then(r =>
		{ window.found = r.violations.map(v => v.id + ': ' + v.nodes.map(n =>
			n.target + ' ' + n.failureSummary).join('; ')).join('\n') }), 0)`)
	b.until("axe to look", "window.found !== null")
	if found := b.eval("window.found"); found != "" {
		b.t.Errorf("%s: %s", where, found)
	}
}

var axeScript string

// state asks the program itself.
func (b *tab) state(chat string) string {
	b.t.Helper()
	b.eval(`(window.got = null, fetch('/rehearsal/state').then(r => r.json()).then(s =>
		{ window.got = s.chats.find(c => c.who === ` +
		strconv.Quote(chat) + `)?.state ?? 'nobody' }), 0)`)
	b.until("the state", "window.got !== null")
	return b.eval("window.got")
}

// be chooses a person by name and, where one is in the group too, in their own chat.
func (b *tab) be(who string) {
	b.t.Helper()
	find := "[...document.querySelectorAll('#people li button')].find(b => b.firstChild.data === " +
		strconv.Quote(who) + ")"
	b.until(who, find+" !== undefined")
	b.eval(find + ".click()")
	b.until(who, "document.querySelector('#talk-head').innerText === "+strconv.Quote(who))
	b.calm()
}

// pressLike presses the last button that begins with these words.
func (b *tab) pressLike(words string) {
	b.t.Helper()
	find := "[...document.querySelectorAll('#lines button, #quick button')].filter(b => b.innerText.trim().startsWith(" +
		strconv.Quote(words) + ")).at(-1)"
	b.until("a button "+words, find+" !== undefined")
	b.eval(find + ".click()")
	b.calm()
}

// answers lets the patients answer by themselves, or not.
func (b *tab) answers(on bool) {
	b.t.Helper()
	b.eval(fmt.Sprintf("document.querySelector('#answers').checked = %v", on))
}

func (b *tab) scene(id string) {
	b.t.Helper()
	b.click("#open-scenes")
	b.click(`#scenes [data-scene="` + id + `"]`)
	b.until("the scene "+id, "!document.querySelector('dialog[open]')")
	b.calm()
}

func (b *tab) clock(what string) {
	b.t.Helper()
	b.click(`#moves [` + what + `]`)
	if bad := b.eval("document.querySelector('#notice.bad')?.innerText ?? ''"); bad != "" {
		b.t.Fatalf("the clock, %s: %s", what, bad)
	}
}

// still sees that nothing moves where who looks wants no motion, and that
// something does elsewhere.
func (b *tab) still() {
	b.t.Helper()
	const moves = `[...document.querySelectorAll('body *')].filter(e => { const s = getComputedStyle(e);
		return parseFloat(s.transitionDuration) > 0 || s.animationName !== 'none' || s.scrollBehavior !== 'auto' }).length`
	b.eval("(document.querySelector('#lines .line').classList.add('new'), 0)")
	for value, want := range map[string]bool{"no-preference": true, "reduce": false} {
		b.media("prefers-reduced-motion", value)
		if n := b.eval(moves); (n != "0") != want {
			b.t.Errorf("prefers-reduced-motion %s: %s move", value, n)
		}
	}
	b.media("prefers-reduced-motion", "")
}

// picture sees that the newest message of the bot's is a picture, so many dots
// wide, with words beside it that do not stand in for it.
func (b *tab) picture(width string) {
	b.t.Helper()
	b.until("a picture", `(i => i && i.complete && i.naturalWidth === `+width+` && i.alt &&
		i.parentElement.querySelector('p').innerText.length > 80)`+
		`([...document.querySelectorAll('#lines .line img')].at(-1))`)
}

// keyboard goes through the page by the tab key alone: everything that can be
// pressed is reached, shows where the focus is, and has a name.
func (b *tab) keyboard() {
	b.t.Helper()
	b.eval("(window.reached = new Set(), document.activeElement.blur(), 0)")
	for range 90 {
		b.do("tab", chromedp.KeyEvent("\t"))
		b.eval("(window.reached.add(document.activeElement), 0)")
	}
	if missed := b.eval(`[...document.querySelectorAll('button, a[href], input, select, textarea, summary')].filter(e =>
		e.checkVisibility({ contentVisibilityAuto: true, visibilityProperty: true }) &&
		!window.reached.has(e)).map(e => e.outerHTML.slice(0, 90)).join(' ')`); missed != "" {
		b.t.Errorf("the keyboard does not reach %s", missed)
	}
	if n, _ := strconv.Atoi(b.eval("window.reached.size")); n < 15 {
		b.t.Errorf("only %d places are reached", n)
	}
	if bare := b.eval(`[...window.reached].filter(e =>
		e.matches('button, summary') && !e.textContent.trim()).length`); bare != "0" {
		b.t.Errorf("%s without a name", bare)
	}
	b.eval("(document.querySelector('#open-scenes').focus(), 0)")
	b.do("Enter", chromedp.KeyEvent("\r"))
	b.until("the scenes", `document.querySelector('#scenes').open &&
		document.querySelector('#scenes').contains(document.activeElement)`)
	b.axe("scenes")
	b.do("Escape", chromedp.KeyEvent("\u001b"))
	b.until("the scenes to close, and the focus to be back", `!document.querySelector('#scenes').open &&
		document.activeElement.id === 'open-scenes'`)
}

// look keeps a picture and lets axe look, in the light and in the dark.
func (b *tab) look(name string) {
	b.t.Helper()
	if b.eval("document.documentElement.scrollWidth > innerWidth") != "false" {
		b.t.Errorf("%s: wider than the window", name)
	}
	b.shot(name)
	b.axe(name)
}
