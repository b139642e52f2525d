package talktest

import (
	"maps"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/cohort"
	"duskdawn/flows/message"
	"duskdawn/flows/reading"
	"duskdawn/locales"
	written "duskdawn/locales/sentence"
)

// BenchmarkDesk counts what 200 patients put before two people in 42 days: virtual
// patients who entered week by week, each of whom types a sentence a week, and a
// practice that deals with what is open once a working day. No sentence is a danger;
// they are those that the net was taught on, so other people's ring more often.
//
//	go test -run xxx -bench Desk -benchtime 1x -v ./bot/talktest
func BenchmarkDesk(b *testing.B) {
	for range b.N {
		for _, typing := range []bool{false, true} {
			load := deskLoad(b, 200, typing)
			load.report(b, typing)
		}
	}
}

// TestDeskLoad holds a part of that, sentences apart, to what was reached: 200
// patients put 41 such cards a working day before each of two people when every
// reason had a card of its own. The goal is 15.
func TestDeskLoad(t *testing.T) {
	t.Parallel()
	load := deskLoad(t, 120, false)
	if mean := load.mean() * 200 / 120; mean > 25 {
		t.Errorf("%.1f cards a working day and person for 200 patients", mean)
	}
}

// deskCards are the cards below S that one person was sent, by day and reason, and
// how often the rest rang.
type deskCards struct {
	days   [2]map[civil.Date]int // the clinician, the assistant
	why    map[string]int
	items  int
	urgent int
}

const (
	deskWeeks = 6   // they enter over so many weeks, and are then looked at for as many
	deskChat  = 101 // the clinician's; the assistant's follows
)

func deskLoad(tb testing.TB, patients int, typing bool) deskCards {
	tb.Helper()
	words, err := locales.Load()
	if err != nil {
		tb.Fatal(err)
	}
	said := typed(tb, words)
	load := deskCards{days: [2]map[civil.Date]int{{}, {}}, why: map[string]int{}}
	for n := range patients {
		shift := civil.Date(7 * (n % deskWeeks))
		reasons := map[string]string{}
		tr := &cohort.Trial{Plan: cohort.Usual(), Nights: 7 * 2 * deskWeeks, Seed: 20261129,
			Watch: func(e *flows.Event, out *flows.Out) {
				day := e.Office.Date + shift - cohort.Monday()
				if day < 7*deskWeeks || day >= 14*deskWeeks {
					return
				}
				for _, x := range out.Effects() {
					switch x := x.(type) {
					case flows.Log:
						if x.What == "escalation.raised" {
							load.items++
							reasons[argOf(x, "n")] = argOf(x, "reason")
						}
					case flows.Send:
						if who := x.Chat - deskChat; (who == 0 || who == 1) && x.Msg.View == message.ViewEscalation && x.Msg.Edit == 0 {
							if x.Lane == flows.LaneUrgent { // staff of a model come once a day, so these ring on and on
								load.urgent++
								continue
							}
							load.days[who][day]++
							load.why[reasons[x.Msg.MediaOf]]++
						}
					}
				}
			}}
		if typing {
			tr.Says = func(n int) (reading.Reading, string) { return said[n%len(said)].Reading, said[n%len(said)].text }
		}
		tr.Player().Live(n)
	}
	return load
}

// sentence is what somebody types.
type sentence struct {
	reading.Reading
	text string
}

func typed(tb testing.TB, words *locales.Words) (out []sentence) {
	tb.Helper()
	lines, err := written.Folder(os.DirFS("../../locales/testdata/sentences/work"))
	if err != nil {
		tb.Fatal(err)
	}
	for _, x := range lines { // small talk and diaries: dangers, and what looks like them, are another count
		if x.Lang() == "en" && (x.Class == 'D' || x.Class == 'H') {
			out = append(out, sentence{words.Read(x.Text), x.Text})
		}
	}
	return out
}

func argOf(l flows.Log, name string) string {
	for _, a := range l.Args {
		if a.Name == name {
			if a.S != "" {
				return a.S
			}
			return strconv.FormatInt(a.N, 10)
		}
	}
	return ""
}

// mean is cards a working day, of the person who gets most.
func (l *deskCards) mean() (most float64) {
	for _, days := range l.days {
		total := 0
		for _, n := range days {
			total += n
		}
		most = max(most, float64(total)/(5*deskWeeks))
	}
	return most
}

func (l *deskCards) report(b *testing.B, typing bool) {
	b.Helper()
	b.Logf("sentences typed: %v. Raised: %d. Rings of E and S: %d.", typing, l.items, l.urgent)
	for i, days := range l.days {
		total, mondays, worst := 0, 0, 0
		for d, n := range days {
			total += n
			if worst = max(worst, n); (d + cohort.Monday()).Weekday() == time.Monday {
				mondays += n
			}
		}
		b.Logf("%s: cards below S a working day %.1f, on Mondays %.1f, at most %d", [2]string{"clinician", "assistant"}[i],
			float64(total)/(5*deskWeeks), float64(mondays)/deskWeeks, worst)
	}
	for _, why := range slices.SortedFunc(maps.Keys(l.why), func(x, y string) int { return l.why[y] - l.why[x] }) {
		b.Logf("%-24s %d", why, l.why[why])
	}
}
