package rehearsal_test

import (
	"context"
	"flag"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

var shots = flag.String("shots", "", "a directory for pictures of the page")

// browser starts a real one with a fresh profile, or skips with a line.
func browser(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("DUSKDAWN_NO_SKIP") != "" {
			t.Fatal("chromium is not on PATH")
		}
		t.Skip("chromium is not on PATH: the page is not tested")
	}
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir())}
	for _, f := range strings.Fields("headless no-sandbox disable-gpu disable-quic no-first-run " +
		"disable-background-networking disable-component-update disable-sync disable-dev-shm-usage") {
		options = append(options, chromedp.Flag(f, true))
	}
	ctx, cancel := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(cancel)
	ctx, stop := chromedp.NewContext(ctx)
	t.Cleanup(stop)
	// The browser lives as long as the context of the first call, so the limit
	// of the test is a second context.
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal("starting the browser:", err)
	}
	ctx, end := context.WithTimeout(ctx, 90*time.Second)
	t.Cleanup(end)
	return ctx
}

func shot(t *testing.T, ctx context.Context, name string) {
	if *shots == "" {
		return
	}
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*shots, name+".png"), png, 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestThePageInABrowser(t *testing.T) {
	f, h := newFake(t)
	srv := httptest.NewServer(h)
	t.Cleanup(func() { h.Close(); srv.Close() })
	ctx := browser(t)
	run := func(what string, steps ...chromedp.Action[chromedp.Void]) {
		t.Helper()
		if err := chromedp.Do(ctx, steps...); err != nil {
			t.Fatal(what, err)
		}
	}
	is := func(expression string) string {
		t.Helper()
		v, err := chromedp.Run(ctx, chromedp.Evaluate[string]("String("+expression+")"))
		if err != nil {
			t.Fatal(expression, err)
		}
		return v
	}
	until := func(expression string) chromedp.Action[chromedp.Void] {
		return chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
			_, err := chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(20*time.Second))(ctx, target)
			return err
		})
	}
	saw := func(words string) chromedp.Action[chromedp.Void] {
		return until(`document.body.innerText.includes(` + strconv.Quote(words) +
			`) && !document.body.hasAttribute('aria-busy')`)
	}
	click := func(sel string) chromedp.Action[chromedp.Void] { return chromedp.Click(chromedp.CSS(sel)) }
	write := func(words string) chromedp.Action[chromedp.Void] {
		return chromedp.SendKeys(chromedp.CSS("#text"), words)
	}
	run("open", chromedp.EmulateViewport(1200, 800), chromedp.Navigate(srv.URL), saw("Ilse Varn"))
	if when := is(`document.querySelector('#when').innerText`); !strings.Contains(when, "14:00") ||
		!strings.Contains(when, "New_York") {
		t.Error("the clock is the person's own:", when)
	}
	run("type and Enter", write("hello <b>there</b>\r"), saw("You said: hello <b>there</b>"))
	if left := is("document.querySelector('#text').value.length"); left != "0" {
		t.Error("what was sent stays in the field:", left)
	}
	run("tap", click(`.line .rows button`), saw("Undone."))
	if got := is(`document.querySelector('#notice').innerText`); got != "Undone" {
		t.Error("the notice of a tap:", got)
	}
	run("next prompt", click(`#moves button[data-to=prompt]`), saw("Good evening"))
	shot(t, ctx, "desktop")
	run("quick answer", click(`#quick button:nth-child(4)`), saw("You said: Pain 3"))
	run("picture", write("picture\r"), saw("diary.csv"),
		until(`[...document.images].every(i => i.complete && i.naturalWidth > 0)`))
	run("next morning", click(`#moves button[data-to=morning]`), saw("9 March 2026, 00:00"))
	if now := f.Now().Format(time.RFC3339); now != "2026-03-09T04:00:06Z" {
		t.Error("the next morning is", now) // seven hours on, in New York, the night after its clocks went forward
	}
	run("another person", click(`nav button[data-chat="2"]`), saw("page.silence"))
	if focus := is(`document.activeElement.dataset.chat`); focus != "2" {
		t.Error("the focus was lost:", focus)
	}
	run("back", click(`nav button[data-chat="1"]`), saw("The last nights"))
	if n := is(`[...document.querySelectorAll('#lines script, #lines b, #strip script')].length`); n != "0" {
		t.Error("a text became markup")
	}
	run("phone", chromedp.EmulateViewport(360, 740))
	if is(`document.documentElement.scrollWidth > innerWidth`) != "false" {
		t.Error("wider than a phone")
	}
	if n := is(`[...document.querySelectorAll('button, img, textarea')].filter(e =>
		e.offsetParent && !(e.textContent || e.alt || (e.labels && e.labels.length))).length`); n != "0" {
		t.Error("controls without a name:", n)
	}
	shot(t, ctx, "phone")
	if *shots != "" {
		is(`[...document.styleSheets[0].cssRules].filter(r =>
			r.media && r.media.mediaText.includes('dark')).map(r => r.media.mediaText = 'all')`)
		shot(t, ctx, "dark")
	}
}
