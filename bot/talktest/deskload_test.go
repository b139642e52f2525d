package talktest

import (
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/cohort"
	"duskdawn/flows/desk"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/redflag"
	"duskdawn/locales"
	written "duskdawn/locales/sentence"
)

// BenchmarkDesk counts what 200 patients put before two people in 42 days: virtual
// patients who entered week by week, each of whom types a sentence a week, and a
// practice that deals with what is open once a working day. No sentence is a danger;
// they are those that no net was taught on, but for a file of the diary alone.
//
//	go test -run xxx -bench Desk -benchtime 1x -v ./bot/talktest
func BenchmarkDesk(b *testing.B) {
	for range b.N {
		for _, typing := range deskTyping {
			load := deskLoad(b, 200, typing)
			load.report(b, typing)
		}
	}
}

// TestDeskLoad holds a part of that to the goal, 15 cards a working day and person:
// sixty patients, who vary more. 200 patients put 41 such cards before each of two
// people when every reason had a card of its own, and 71 where they typed. Whatever was
// one then is a card now, or a line that the digest and a list show.
func TestDeskLoad(t *testing.T) {
	t.Parallel()
	for typing, most := range map[string]float64{
		"nothing": 10, "own": 12,
		// Who types of another's night reports pain and sleepiness that nobody has: the better it is read, the more.
		"strangers": 19,
	} {
		load := deskLoad(t, 60, typing)
		rounds := 0
		for _, n := range load.rounds {
			rounds += n
		}
		if mean := load.mean(false)*200/60 + float64(rounds)/(5*deskWeeks); mean > most {
			t.Errorf("typing %s: %.1f cards a working day and person for 200 patients", typing, mean)
		}
		if n := len(load.lost); n > 0 || load.items == 0 {
			t.Errorf("typing %s: of %d items %d were neither card nor line: %v", typing, load.items, n, load.lost[:min(n, 5)])
		}
	}
}

var deskTyping = [...]string{"nothing", "own", "strangers"}

// deskCards are the cards below S that one person was sent, by day and reason, what
// became of each item, and how often the rest rang.
type deskCards struct {
	days   [2]map[civil.Date]int // the clinician, the assistant
	rounds map[civil.Date]int    // lists of words that the assistant was shown beside the digest
	why    [2]map[string]int
	items  int
	cards  int      // items that a card showed
	lines  int      // the others, that a list showed
	lost   []string // and those that nothing did
	urgent int
	worst  map[string]time.Duration // the longest that something was open before staff saw it, by class
	words  []time.Time
}

const (
	deskWeeks = 6   // they enter over so many weeks, and are then looked at for as many
	deskChat  = 101 // the clinician's; the assistant's follows
)

// deskItem is one item of a patient.
type deskItem struct {
	reason      string
	class       redflag.Class
	at          time.Time
	inside      bool // of the weeks that are looked at
	card, shown bool
}

func deskLoad(tb testing.TB, patients int, typing string) deskCards {
	tb.Helper()
	words, err := locales.Load()
	if err != nil {
		tb.Fatal(err)
	}
	says := typed(tb, words, typing)
	load := deskCards{days: [2]map[civil.Date]int{{}, {}}, why: [2]map[string]int{{}, {}}, rounds: map[civil.Date]int{},
		worst: map[string]time.Duration{}}
	pr := deskPractice()
	for n := range patients {
		shift := civil.Date(7 * (n % deskWeeks))
		found := map[int32]*deskItem{}
		tr := &cohort.Trial{Plan: cohort.Usual(), Nights: 7*2*deskWeeks + 3, Seed: 20261129, Says: says,
			Watch: func(p *flows.Patient, e *flows.Event, out *flows.Out) {
				day := e.Office.Date + shift - cohort.Monday()
				load.look(found, &pr, p, e, out, day, day >= 7*deskWeeks && day < 14*deskWeeks)
			}}
		tr.Player().Live(n)
		for _, number := range slices.Sorted(maps.Keys(found)) {
			load.account(found[number], n, number)
		}
	}
	load.playRounds(pr)
	return load
}

// look takes one event of a patient.
func (l *deskCards) look(found map[int32]*deskItem, pr *practice.Practice, p *flows.Patient, e *flows.Event, out *flows.Out,
	day civil.Date, inside bool) {
	shows := func(number string) {
		n, _ := strconv.Atoi(number)
		for i := range p.Escalations {
			if x := &p.Escalations[i]; int(x.N) == n {
				for _, j := range p.Item(x) {
					found[p.Escalations[j].N].seen(e.At, l.worst)
				}
				return
			}
		}
		if x := found[int32(n)]; x != nil {
			x.seen(e.At, l.worst)
		}
	}
	for _, x := range out.Effects() {
		if log, ok := x.(flows.Log); ok && log.What == "escalation.raised" {
			n, _ := strconv.Atoi(argOf(log, "n"))
			found[int32(n)] = &deskItem{reason: argOf(log, "reason"), class: redflag.Class(argOf(log, "class")[0]), at: e.At, inside: inside}
		}
	}
	for _, x := range out.Effects() {
		switch x := x.(type) {
		case flows.Tell:
			if m, ok := x.Body.(flows.Manage); ok && m.Op == flows.ManageWords && inside {
				l.words = append(l.words, e.At.AddDate(0, 0, int(day+cohort.Monday()-e.Office.Date)))
			}
		case flows.Send:
			who := x.Chat - deskChat
			if who != 0 && who != 1 || x.Msg.View != message.ViewEscalation {
				continue
			}
			own := len(x.Msg.Lines) > 0 && x.Msg.Lines[0].Key == "order.ack.done" // the answer to a tap
			if shows(x.Msg.MediaOf); x.Msg.Edit != 0 || !inside || own {
				continue
			}
			if x.Lane == flows.LaneUrgent { // staff of a model come once a day, so these ring on and on
				l.urgent++
				continue
			}
			l.days[who][day]++
			n, _ := strconv.Atoi(x.Msg.MediaOf)
			l.why[who][found[int32(n)].reason]++
		}
	}
	for i := range p.Escalations {
		if x := &p.Escalations[i]; x.Quiet && found[x.N] != nil && !found[x.N].shown {
			found[x.N].shown = inList(pr, p, x, e)
		}
	}
}

// inList reports whether the list that something waits in has a line of its patient,
// and the digest, too.
func inList(pr *practice.Practice, p *flows.Patient, x *flows.Escalation, e *flows.Event) bool {
	for _, word := range []string{x.List(), "digest"} {
		lines, _ := desk.Show(*pr, pr.Staff[0], message.Message{View: message.ViewDigest,
			MediaOf: fmt.Sprintf("%s 0 %s %d", word, e.Office.Date, e.At.Unix())}, flows.Patient{}, []flows.Patient{*p})
		if !slices.ContainsFunc(lines, func(l message.Line) bool {
			return strings.HasPrefix(l.Key, "desk.l.") && slices.ContainsFunc(l.Args, func(a message.Arg) bool { return a.Name == "label" && a.S == p.Label })
		}) {
			return false
		}
	}
	return true
}

// seen notes that a card shows it, and how long that took.
func (x *deskItem) seen(at time.Time, worst map[string]time.Duration) {
	if x != nil && !x.card {
		x.card = true
		if x.inside {
			worst[string(rune(x.class))] = max(worst[string(rune(x.class))], at.Sub(x.at))
		}
	}
}

// account counts what became of an item.
func (l *deskCards) account(x *deskItem, patient int, n int32) {
	switch {
	case !x.inside:
		return
	case x.card:
		l.cards++
	case x.shown:
		l.lines++
	default:
		l.lost = append(l.lost, fmt.Sprintf("patient %d, %d: %c %s of %s", patient, n, x.class, x.reason, x.at.Format("Mon 15:04")))
	}
	l.items++
}

// deskPractice is a practice with the hours and people of the virtual one.
func deskPractice() practice.Practice {
	pr := practice.Practice{Rev: 1, Zone: "UTC", Lang: "en", Langs: []string{"en"}, Staff: []practice.Staff{
		{ID: "s1", Label: "Dr A", Role: practice.Clinician, Chat: deskChat}, {ID: "s2", Label: "B", Role: practice.Assistant, Chat: deskChat + 1}}}
	for d := 1; d <= 5; d++ {
		pr.Hours[d] = []practice.Span{{From: 9 * 60, To: 17 * 60}}
	}
	return pr
}

// playRounds has the practice plan when the words of all patients are shown.
func (l *deskCards) playRounds(pr practice.Practice) {
	slices.SortFunc(l.words, time.Time.Compare)
	var due time.Time
	play := func(at time.Time, b flows.Body) {
		w := civil.Wall{Date: civil.DateOf(at.Date()), Clock: civil.Clock(at.Hour()*60 + at.Minute())}
		var fx []flows.Effect
		pr, fx = desk.NextPractice(pr, flows.Event{At: at, Wall: w, Office: w, Body: b})
		for _, x := range fx {
			switch x := x.(type) {
			case flows.SetTimer:
				d := x.At.Date.Time()
				due = time.Date(d.Year(), d.Month(), d.Day(), 0, int(x.At.Clock), 0, 0, time.UTC)
			case flows.Send:
				if x.Chat == deskChat+1 {
					l.rounds[w.Date-cohort.Monday()]++
				}
			}
		}
	}
	for _, at := range append(l.words, time.Date(2100, 1, 1, 3, 0, 0, 0, time.UTC)) {
		if !due.IsZero() && due.Before(at) {
			at := due
			due = time.Time{}
			play(at, flows.Due{Name: "round"})
		}
		play(at, flows.Manage{Op: flows.ManageWords})
	}
}

// typed is what patients type: dangers, and what looks like them, are another count.
func typed(tb testing.TB, words *locales.Words, typing string) func(int, *cohort.Lived) *cohort.Sentence {
	tb.Helper()
	lines, err := written.Folder(os.DirFS("../../locales/testdata/sentences/bars"))
	if err != nil {
		tb.Fatal(err)
	}
	var own cohort.Speech
	var all []cohort.Sentence
	for i := range lines {
		class, several := lines[i].Class, strings.HasSuffix(lines[i].File, ".nine.tsv") // nights in a message, as nobody writes every morning
		if strings.HasSuffix(lines[i].File, ".three.tsv") || several || typing == "nothing" || lines[i].Lang() != "en" || class != 'D' && class != 'H' {
			continue
		}
		x := cohort.Sentence{Text: lines[i].Text, Reading: words.Read(lines[i].Text)}
		values, err := lines[i].Values()
		if err != nil {
			tb.Fatal(err)
		}
		dated := false // of another day than the last night
		for _, v := range values {
			x.Tells = append(x.Tells, reading.Token{Field: v.Field, Value: v.Answer})
			dated = dated || v.Day != ""
		}
		switch {
		case class == 'H':
			own.Small = append(own.Small, x)
		case len(x.Tells) == 0:
			own.Vague = append(own.Vague, x)
		case !dated:
			own.Diary = append(own.Diary, x)
		}
		all = append(all, x)
	}
	switch typing {
	case "own":
		return own.Say
	case "strangers":
		return func(n int, _ *cohort.Lived) *cohort.Sentence { return &all[n%len(all)] }
	}
	return nil
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

// onDay are the messages of a day to one person: cards, and lists of words.
func (l *deskCards) onDay(who int, day civil.Date, lists bool) int {
	if who == 1 && lists {
		return l.days[who][day] + l.rounds[day]
	}
	return l.days[who][day]
}

// mean is cards a working day, of the person who gets most; a list of words is one,
// if they count.
func (l *deskCards) mean(lists bool) (most float64) {
	for who := range l.days {
		total := 0
		for day := civil.Date(7 * deskWeeks); day < 14*deskWeeks; day++ {
			total += l.onDay(who, day, lists)
		}
		most = max(most, float64(total)/(5*deskWeeks))
	}
	return most
}

func (l *deskCards) report(b *testing.B, typing string) {
	b.Helper()
	b.Logf("typed: %s. Raised: %d, of which a card showed %d and a list %d; lost %d %v. Rings of E and S: %d. Longest until shown: %v",
		typing, l.items, l.cards, l.lines, len(l.lost), l.lost[:min(len(l.lost), 5)], l.urgent, l.worst)
	for who := range l.days {
		var week [7]float64
		total, worst := 0, 0
		for day := civil.Date(7 * deskWeeks); day < 14*deskWeeks; day++ {
			n := l.onDay(who, day, true)
			total, worst = total+n, max(worst, n)
			week[(day + cohort.Monday()).Weekday()] += float64(n) / deskWeeks
		}
		b.Logf("%s: cards below S a working day %.1f, at most %d; by weekday, Sunday first: %.1f", [2]string{"clinician", "assistant"}[who],
			float64(total)/(5*deskWeeks), worst, week)
		for _, why := range slices.SortedFunc(maps.Keys(l.why[who]), func(x, y string) int { return l.why[who][y] - l.why[who][x] }) {
			b.Logf("\t%-24s %d", why, l.why[who][why])
		}
	}
	rounds := 0
	for _, n := range l.rounds {
		rounds += n
	}
	b.Logf("lists of words beside the digest, counted above: %d", rounds)
}
