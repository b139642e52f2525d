package main

import (
	"fmt"
	"net/http/httptest"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
)

// heron is the patient whose nights and messages these are.
const heron = `document.querySelector('#people [data-chat="202"]')`

// clicks are what a person presses on the page, each as the expression that finds
// it; back is how it is undone, outside of what is measured.
var clicks = []struct{ name, find, back string }{
	{"person", `document.querySelector('#people [data-chat="101"]')`, heron},
	{"night", `document.querySelectorAll('#nights ol button')[3]`,
		`document.querySelector('#detail .steps button:last-child')`},
	{"all nights", `document.querySelector('#all-nights')`, heron},
	{"what if", `document.querySelector('#whatif button')`, `document.querySelector('#signed')`},
	{"say", `document.querySelector('#compose button')`, ""},
	{"next prompt", `document.querySelector('#moves [data-to=prompt]')`, ""},
	{"scenes", `document.querySelector('#open-scenes')`, `document.querySelector('#scenes .close')`},
	{"keep it", `document.querySelector('#open-keep')`, `document.querySelector('#keep .close')`},
}

// pressing presses what is found and gives, in milliseconds, how long it takes
// until the page answers at all, and until all that followed stands there.
const pressing = `(async () => {
	const nothing = () => document.body.hasAttribute('aria-busy');
	const frame = () => new Promise(r => requestAnimationFrame(() => setTimeout(r, 0)));
	document.querySelector('#text').value = 'today';
	const limit = document.querySelector('#limits input');
	if (limit) { document.querySelector('#whatif details').open = true; limit.value = Number(limit.dataset.signed) + 1; }
	const e = %s;
	let first = 0, changed = 0, began = performance.now();
	const watch = new MutationObserver(() => { changed = performance.now(); first ||= changed; });
	watch.observe(document.documentElement, { subtree: true, childList: true, attributes: true, characterData: true });
	e.click();
	do await frame(); while (nothing() || performance.now() - (changed || began + 2000) < 60);
	watch.disconnect();
	return [first - began, changed - began];
})()`

// BenchmarkRoomPage measures the page itself in a real browser, with four hundred
// nights and three thousand messages: the first paint, beside that of a file of
// the same server, and every click until what follows from it stands there.
func BenchmarkRoomPage(b *testing.B) {
	room := lived(b)
	srv := httptest.NewServer(room)
	b.Cleanup(func() { _ = room.Close(); srv.Close() })
	t := browse(b, srv.URL, "en", 1280, 860)
	for _, x := range []struct{ name, at string }{{"nothing", "/page/room.css"}, {"page", "/"}} {
		b.Run("paint/"+x.name, func(b *testing.B) {
			sum := 0.0
			for range b.N {
				t.do("open", chromedp.Navigate(srv.URL+x.at))
				t.until("paint", "performance.getEntriesByName('first-contentful-paint').length > 0")
				ms, _ := strconv.ParseFloat(t.eval("performance.getEntriesByName('first-contentful-paint')[0].startTime"), 64)
				sum += ms
			}
			b.ReportMetric(sum/float64(b.N), "ms/paint")
		})
	}
	t.be("Heron-04")
	for _, x := range clicks {
		b.Run("click/"+x.name, func(b *testing.B) {
			var answered, settled float64
			for range b.N {
				t.until(x.name, "("+x.find+") != null")
				ms, err := chromedp.Run(t.ctx, chromedp.Evaluate[[]float64](fmt.Sprintf(pressing, x.find),
					chromedp.EvalAwaitPromise))
				if err != nil {
					b.Fatal(err)
				}
				answered, settled = answered+ms[0], settled+ms[1]
				if x.back != "" {
					t.eval(x.back + ".click()")
					t.calm()
				}
			}
			b.ReportMetric(answered/float64(b.N), "ms/answered")
			b.ReportMetric(settled/float64(b.N), "ms/settled")
		})
	}
}
