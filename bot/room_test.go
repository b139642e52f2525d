package main

import (
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"duskdawn/bot/rehearsal"
	"duskdawn/bot/stage"
	"duskdawn/bot/talktest"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/locales"
	"duskdawn/store/memory"

	"github.com/chromedp/chromedp"
)

// openRoom serves the rehearsal as it opens.
func openRoom(t *testing.T) string {
	t.Helper()
	house, err := stage.NewHouse(nil)
	if err != nil {
		t.Fatal(err)
	}
	w, err := house.Opening(t.Context(), memory.New())
	if err != nil {
		t.Fatal(err)
	}
	room := rehearsal.New(house, w, rehearsal.Options{})
	srv := httptest.NewServer(room)
	t.Cleanup(func() { room.Close(); srv.Close() })
	return srv.URL
}

// TestTheRoom plays a treatment on the page: a clinician enrols, a stranger
// joins, nights are lived to a going back and on to the target, an escalation is
// answered and released, scenes are opened, another plan is tried, and what was
// played is kept and played again.
func TestTheRoom(t *testing.T) {
	for _, c := range []struct {
		lang  string
		width int64
	}{{"en", 1280}, {"es", 390}, {"en", 390}, {"es", 1280}} {
		t.Run(fmt.Sprintf("%s-%d", c.lang, c.width), func(t *testing.T) {
			if (c.lang == "en") != (c.width > 1000) {
				talktest.OnlyInSiege(t)
			}
			b := browse(t, openRoom(t), c.lang, c.width, 860)
			playRoom(t, b, c.lang, fmt.Sprintf("%s-%d-", c.lang, c.width), c.width)
		})
	}
}

func playRoom(t *testing.T, b *tab, lang, name string, width int64) {
	t.Helper()
	words, err := locales.Load()
	if err != nil {
		t.Fatal(err)
	}
	if b.eval("document.querySelector('#intro').hidden") != "false" ||
		b.eval("document.querySelectorAll('#intro li button').length") != "3" ||
		b.eval("document.querySelector('#talk-head').innerText") != "Heron-04" {
		t.Error("the first sight is not a patient's evening with three scenes")
	}
	b.look(name + "1-open")
	b.media("prefers-color-scheme", "dark")
	b.look(name + "1-dark")
	b.still()
	b.letters(32)
	if size := b.eval("getComputedStyle(document.querySelector('#text')).fontSize"); size != "32px" {
		t.Errorf("with letters twice as large they are %s", size)
	}
	b.look(name + "1-letters")
	b.letters(16)
	for _, size := range [][2]int64{{320, 640}, {640, 430}} { // 1280 points at 400 % and at 200 %
		b.do("zoom", chromedp.EmulateViewport(size[0], size[1]))
		b.look(fmt.Sprintf("%s1-zoom-%d", name, size[0]))
	}
	b.do("as before", chromedp.EmulateViewport(width, 860))
	b.keyboard()

	b.scene("enrolment")
	b.be("Dr Osprey")
	b.write(strings.Replace(plan, "language: en", "language: "+lang, 1))
	b.press("I sign")
	for range 2 { // the first signature chooses a PIN
		b.write("402917")
	}
	code := b.eval("document.querySelector('#lines').innerText.match(/start=([A-Z0-9]+)/)[1]")
	b.be("a stranger")
	b.write("/start " + code)
	b.write("yes") // of age
	b.write("yes") // agreed
	b.be("Dr Osprey")
	b.press("Yes, the right person")
	b.until("the new patient", "document.querySelector('#people').textContent.includes('Heron')")
	b.be("Heron")
	b.answers(true)
	b.clock("data-by")
	b.clock("data-by")
	b.look(name + "2-fortnight")
	if is := b.state("Heron"); is != "stepping" {
		t.Errorf("after a fortnight it is %s", is)
	}
	b.clock("data-to=evening")
	b.answers(false)
	b.clock("data-to=morning")
	b.write("all night, snore 5, pain 6, pain did not wake me, gone by noon, guide 5 min, bite ok")
	b.answers(true)
	b.clock("data-to=evening")
	b.saw(words.Line(lang, message.Say("reason.p07")))
	unread := b.eval("document.querySelector('#people [data-chat=\"101\"] mark').textContent")
	if n, _ := strconv.Atoi(strings.Fields(unread)[0]); n < 10 { // two weeks of digests and cards
		t.Errorf("of what the clinician has not read the page says %q", unread)
	}
	if is := b.state("Heron"); is != "resting" {
		t.Errorf("after a sore morning it is %s", is)
	}
	b.look(name + "3-back")
	b.answers(true)
	for range 6 {
		if b.state("Heron") == "holding" {
			break
		}
		b.clock("data-by")
	}
	if is := b.state("Heron"); is != "holding" {
		t.Errorf("on the way to the target it is %s", is)
	}
	b.answers(false)

	b.be("Heron")
	b.write(words.Label(lang, message.Choice{Word: reading.WordCourse}))
	b.picture("2 * 390")
	b.shot(name + "3-course")
	b.be("Dr Osprey")
	b.write("Heron")
	b.press("Heron")
	b.press("Picture")
	b.picture("2 * 390")
	b.shot(name + "3-desk")

	b.be("Heron")
	b.write("my jaw is locked since this morning")
	b.be("Ms Plover")
	b.press("I take it")
	b.be("Dr Osprey")
	if is := b.state("Heron"); is != "stopped" {
		t.Errorf("with a locked jaw it is %s", is)
	}
	b.write("Heron")
	b.press("Heron")
	b.press("Release a flag")
	b.pressLike("Take")
	b.write("seen today, the joint is free")
	b.write("Heron")
	if is := b.state("Heron"); is == "stopped" {
		t.Error("a released flag still stops")
	}

	b.scene("emergency")
	b.clock("data-to=event")
	b.clock("data-to=morning")
	b.look(name + "4-emergency")
	b.scene("journey")
	b.scene("soreness")
	b.click("#views [data-view=course]")
	b.click("#nights ol button")
	b.until("a night", "document.querySelector('#detail h3') !== null && !document.querySelector('#detail').hidden")
	if b.eval("document.querySelectorAll('#detail details').length") == "0" {
		t.Error("no rule of a night says what it rests on")
	}
	b.look(name + "5-night")
	b.eval(`(document.querySelector('#whatif details').open = true,
		document.querySelector('#limits [name=interval]').value = 5, document.querySelector('#whatif').requestSubmit(), 0)`)
	b.until("the other plan", "document.querySelector('#differ').innerText !== ''")
	b.until("its marks", "document.querySelectorAll('#picture .h-other').length > 3")
	b.look(name + "6-whatif")

	b.be("Heron")
	b.write("call me")
	said := b.eval("document.querySelector('#lines').innerText")
	b.click("#open-keep")
	b.until("the link", "document.querySelector('#link').value.includes('#play=')")
	b.look(name + "7-keep")
	talk := b.eval("document.querySelector('#script').value")
	if !strings.Contains(talk, "nights 9: all night") || !strings.Contains(talk, "heron: call me") {
		t.Errorf("the talk is\n%s", talk)
	}
	link := b.eval("document.querySelector('#link').value")
	b.do("play the link", chromedp.Navigate("about:blank"), chromedp.Navigate(link))
	b.until("the link's scene", "location.hash === '' && document.querySelector('#lines li') !== null")
	b.calm()
	b.be("Heron")
	if again := b.eval("document.querySelector('#lines').innerText"); again != said {
		t.Errorf("the link plays\n%s\nand it was\n%s", again, said)
	}
	b.do("reload", chromedp.Reload())
	b.until("the same person", "document.querySelector('#talk-head').innerText === 'Heron'")
	b.calm()
	if again := b.eval("document.querySelector('#lines').innerText"); again != said {
		t.Errorf("after a reload there is\n%s", again)
	}
	playTalk(t, talk)
}

// playTalk plays a kept talk as a developer would, in the pure core.
func playTalk(t *testing.T, text string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "kept.txt")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	out := talktest.LoadOne(t, path).Play(t, talktest.NewPure(t), locales.KeyLang, true)
	nights := 0
	for _, line := range out {
		if strings.HasPrefix(line, "> night ") {
			nights++
		}
	}
	if nights != 9 || !slices.ContainsFunc(out, func(l string) bool { return strings.Contains(l, "call.") }) {
		t.Errorf("the kept talk shows %d nights:\n%s", nights, strings.Join(out, "\n"))
	}
}

const plan = `label: Heron
adult: yes
language: en
zone: New York
phone: 555 0112
mechanism: one screw in the middle
step-word: half turn
step-mm: 0.25
forward: key towards the nose
travel: 5 mm
guide: yes
zero: habitual
max-mm: 8
start: 50 %
reporter: partner
snoring: 8
drives: no
sleepiness: 4
headache: no
pauses: no
jaw-pain: 0
ceiling: 70 %
settle: 3
interval: 3
checklist: seats, smooth, easy, turned, guide`
