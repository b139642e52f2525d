package main

import (
	"context"
	"fmt"
	"net/http/httptest"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/flows/message"

	"github.com/chromedp/chromedp"
)

// TestRehearsalInABrowser plays the whole program on its page, in a real
// browser: to the evening's prompt, an answer by a quick button, the next question.
func TestRehearsalInABrowser(t *testing.T) {
	t.Parallel()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("DUSKDAWN_NO_SKIP") != "" {
			t.Fatal("chromium is not on PATH")
		}
		t.Skip("chromium is not on PATH: the page is not tested")
	}
	s := talktest.Play(t)
	srv := httptest.NewServer(rehearsal.New(s.Platform, course{s.Scene}))
	defer srv.Close()
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir())}
	for _, f := range strings.Fields("headless no-sandbox disable-gpu disable-quic no-first-run disable-background-networking disable-component-update disable-sync disable-dev-shm-usage") {
		options = append(options, chromedp.Flag(f, true))
	}
	ctx, cancel := chromedp.NewExecAllocator(t.Context(), options...)
	defer cancel()
	ctx, stop := chromedp.NewContext(ctx)
	defer stop()
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal("starting the browser:", err)
	}
	ctx, end := context.WithTimeout(ctx, 90*time.Second)
	defer end()
	saw := func(words string) chromedp.Action[chromedp.Void] {
		return chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
			_, err := chromedp.Poll[bool](fmt.Sprintf(`document.body.innerText.includes(%q) && !document.body.hasAttribute('aria-busy')`, words),
				chromedp.WithPollingTimeout(20*time.Second))(ctx, target)
			return err
		})
	}
	click := func(sel string) chromedp.Action[chromedp.Void] { return chromedp.Click(chromedp.CSS(sel)) }
	evening := s.Words.Line("en", message.Say("prompt.evening"))
	run := func(what string, steps ...chromedp.Action[chromedp.Void]) {
		t.Helper()
		if err := chromedp.Do(ctx, steps...); err != nil {
			t.Fatal(what, err)
		}
	}
	run("open", chromedp.Navigate(srv.URL), saw("Wren-17"))
	run("choose the patient", click(fmt.Sprintf(`nav button[data-chat="%d"]`, stage.UserPatient)), saw("All set"))
	for range 12 { // other people's timers come in between
		if strings.Contains(s.BotSaid(stage.UserPatient, 0), evening) {
			break
		}
		run("to the next prompt", click(`#moves button[data-to=next]`), saw("Wren-17"))
	}
	run("the evening's prompt", saw(evening))
	run("a quick answer", click(`#quick button`), saw("Saved"))
}
