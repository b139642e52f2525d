package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

var shots = flag.String("shots", "", "a directory for pictures of the rehearsal's page")

var readmePicture = flag.Bool("picture", false, "write the README's picture of the rehearsal anew")

// readmeShot is the picture that the README shows.
const readmeShot = "en-1280-3-back"

// tab is a page in a real browser.
type tab struct {
	t   testing.TB
	ctx context.Context
}

// browse starts a browser with a fresh profile on an address, or skips with a line.
func browse(t testing.TB, url, lang string, width, height int64) *tab {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("DUSKDAWN_NO_SKIP") != "" {
			t.Fatal("chromium is not on PATH")
		}
		t.Skip("chromium is not on PATH: the page is not tested")
	}
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("lang", lang)}
	for f := range strings.FieldsSeq("headless no-sandbox disable-gpu disable-quic no-first-run " +
		"disable-background-networking disable-component-update disable-sync disable-dev-shm-usage hide-scrollbars") {
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
	ctx, end := context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(end)
	b := &tab{t, ctx}
	b.do("open", chromedp.EmulateViewport(width, height), chromedp.Navigate(url))
	b.eval(fmt.Sprintf("localStorage.setItem('lang', %q)", lang))
	b.do("open in its language", chromedp.Reload())
	b.until("a page", "document.querySelector('#lines li') !== null")
	b.calm()
	if got := b.eval("document.documentElement.lang"); got != lang {
		t.Fatalf("the page is in %s, not in %s", got, lang)
	}
	return b
}

func (b *tab) do(what string, steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatalf("%s: %v", what, err)
	}
}

// eval gives what an expression comes to, as a text.
func (b *tab) eval(expression string) string {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[string]("String("+expression+")"))
	if err != nil {
		b.t.Fatal(expression, err)
	}
	return v
}

// until waits for an expression to hold.
func (b *tab) until(what, expression string) {
	b.t.Helper()
	err := chromedp.Do(b.ctx, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(30*time.Second))(ctx, target)
		return err
	}))
	if err != nil {
		b.shot("failed")
		b.t.Fatalf("%s: %v; the page says\n%.3000s", what, err, b.eval("document.body.innerText.slice(-3000)"))
	}
}

// calm waits until nothing is being worked off.
func (b *tab) calm() {
	b.t.Helper()
	b.until("rest", "!document.body.hasAttribute('aria-busy')")
}

func (b *tab) saw(words string) {
	b.t.Helper()
	b.until("to see "+words, "document.body.innerText.includes("+strconv.Quote(words)+
		") && !document.body.hasAttribute('aria-busy')")
}

// click presses what a selector finds, as a script does, wherever it lies.
func (b *tab) click(selector string) {
	b.t.Helper()
	b.until(selector, "document.querySelector("+strconv.Quote(selector)+") !== null")
	b.eval("document.querySelector(" + strconv.Quote(selector) + ").click()")
	b.calm()
}

// media has the browser say that who looks prefers something.
func (b *tab) media(feature, value string) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: feature, Value: value}}})
	if err != nil {
		b.t.Fatal(err)
	}
}

// letters sets how large the browser's letters are, in points; 16 is usual.
func (b *tab) letters(size int64) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, page.SetFontSizes, page.SetFontSizesParams{FontSizes: &page.FontSizes{Standard: size}})
	if err != nil {
		b.t.Fatal(err)
	}
}

// press presses the last button with these words.
func (b *tab) press(words string) {
	b.t.Helper()
	find := "[...document.querySelectorAll('button')].filter(b => b.innerText.trim() === " + strconv.Quote(words) +
		").at(-1)"
	b.until("a button "+words, find+" !== undefined")
	b.eval(find + ".click()")
	b.calm()
}

func (b *tab) write(text string) {
	b.t.Helper()
	b.eval("(document.body.dataset.view = 'talk', document.querySelector('#text').value = " + strconv.Quote(text) +
		", document.querySelector('#compose').requestSubmit())")
	b.until("to be sent", "document.querySelector('#text').value === ''")
	b.calm()
}

func (b *tab) shot(name string) {
	b.t.Helper()
	if *shots == "" && !(*readmePicture && name == readmeShot) {
		return
	}
	raw, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.t.Fatal(err)
	}
	path := filepath.Join(*shots, name+".png")
	if *readmePicture && name == readmeShot {
		path, raw = "../testdata/rehearsal.png", small(b.t, raw)
	}
	if err := os.WriteFile(path, raw, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// small makes a picture of few colours out of one of many, which is a third of
// its size.
func small(t testing.TB, raw []byte) []byte {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	count := map[color.Color]int{}
	size := img.Bounds()
	for y := size.Min.Y; y < size.Max.Y; y++ {
		for x := size.Min.X; x < size.Max.X; x++ {
			count[img.At(x, y)]++
		}
	}
	few := slices.SortedFunc(maps.Keys(count), func(a, b color.Color) int { return count[b] - count[a] })
	out := image.NewPaletted(size, few[:min(len(few), 64)])
	draw.Draw(out, size, img, size.Min, draw.Src)
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, out); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
