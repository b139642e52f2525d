package stage

import (
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/cohort"
	"duskdawn/flows/reading"
	"duskdawn/locales/sentence"
)

// BenchmarkTown lives twelve weeks with 200 virtual patients through the whole
// program: they come in over six weeks, and two people work on weekdays at ten. It
// counts, over the second six weeks, what the two are sent: where patients only press
// and answer; where each types besides, once a week, a sentence of writers that the net
// was not taught on, one that is true of the own night or small talk; and where it is
// any such sentence, so that people report pain whom nothing hurts.
//
//	go test -run xxx -bench Town -benchtime 1x -v -timeout 60m ./bot/stage
func BenchmarkTown(b *testing.B) {
	for _, typing := range [...]string{"nothing", "own", "strangers"} {
		b.Run("typing="+typing, func(b *testing.B) {
			for range b.N {
				townCount(b, 200, 6, 84, 42, typing).report(b)
			}
		})
	}
}

// TestTown is a fortnight of a small one. What is raised is on a card or in a list;
// what is urgent has a card at once.
func TestTown(t *testing.T) {
	t.Parallel()
	c := townCount(t, 6, 1, 15, 0, "strangers")
	if c.raised == 0 || c.shown[0]+c.shown[1] == 0 || c.digests[0] == 0 {
		t.Errorf("nothing happened: %+v", c)
	}
	if len(c.lost) > 0 {
		t.Errorf("neither card nor list: %v", c.lost)
	}
	for class, n := range c.late {
		if n > 0 {
			t.Errorf("%d of class %s were not on a card within the hour", n, class)
		}
	}
}

// townSeen is what two people of a town were sent from some day on.
type townSeen struct {
	from, to civil.Date
	cards    [2]map[civil.Date]int // below S, the clinician's and the assistant's
	rings    [2]int                // cards of E and S
	why      [2]map[string]int     // cards by what they are headed by
	others   [2]map[string]int     // by their first words
	shown    [2]int
	digests  [2]int
	digest   [2]civil.Date         // the newest
	lists    [2]map[civil.Date]int // what came beside it the same day
	again    int                   // cards on a Monday that a Saturday or Sunday had shown
	raised   int
	late     map[string]int
	lost     []string
	longest  map[string]time.Duration // until somebody took it, by class
	open     map[string]*townItem     // by headline number
	read     [2]int64
}

type townItem struct {
	class  string
	at     time.Time
	inside bool
	first  time.Time // on a card
	listed bool
	taken  bool
}

var (
	townCard   = regexp.MustCompile(`^([ESNR]), [^:]+: \S+-\d{3}, `)
	townDigits = regexp.MustCompile(`[0-9]+`)
	townNumber = regexp.MustCompile(`(?m)^[ESNR], [^:]+: (.*)\. Number (\d+), since`)
)

func townCount(tb testing.TB, many, weeks, nights, after int, typing string) *townSeen {
	tb.Helper()
	t := townOf(tb, many, weeks, nights, townSays(tb, typing))
	c := &townSeen{from: cohort.Monday() + civil.Date(after), to: cohort.Monday() + civil.Date(nights), late: map[string]int{},
		longest: map[string]time.Duration{}, open: map[string]*townItem{}}
	for i := range c.cards {
		c.cards[i], c.lists[i], c.others[i] = map[civil.Date]int{}, map[civil.Date]int{}, map[string]int{}
		c.why[i] = map[string]int{}
	}
	t.happened = func(v *villager, o *flows.Order) { c.look(t, v, o) }
	t.live()
	for key, x := range c.open {
		if x.inside && (x.class == "E" || x.class == "S") && (x.first.IsZero() || x.first.Sub(x.at) > time.Hour) {
			c.late[x.class]++
		}
		if x.inside && x.first.IsZero() && !x.listed && t.Hands.Now().Sub(x.at) > 7*24*time.Hour {
			c.lost = append(c.lost, key)
		}
	}
	return c
}

// townSays is what patients of a town type, of the part that is only measured; nobody
// looks at the sentences themselves.
func townSays(tb testing.TB, typing string) func(int, *cohort.Lived) *cohort.Sentence {
	tb.Helper()
	lines, err := sentence.Folder(os.DirFS("../../locales/testdata/sentences/exam"))
	if err != nil {
		tb.Fatal(err)
	}
	var own cohort.Speech
	var all []cohort.Sentence
	for i := range lines {
		x := cohort.Sentence{Text: lines[i].Text}
		values, err := lines[i].Values()
		if err != nil {
			tb.Fatal(err)
		}
		dated := false // of another day than the last night
		for _, v := range values {
			x.Tells = append(x.Tells, reading.Token{Field: v.Field, Value: v.Answer})
			dated = dated || v.Day != ""
		}
		switch class := lines[i].Class; {
		case lines[i].Lang() != "en" || class != 'D' && class != 'H':
			continue
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

// look takes what has happened since: what is open of a patient, and what the two were
// sent.
func (c *townSeen) look(t *town, v *villager, o *flows.Order) {
	now := t.Hands.Now()
	inside := !now.Before(instant(civil.Wall{Date: c.from}))
	p := v.Patient()
	for i := range p.Escalations {
		x := &p.Escalations[i]
		key := strconv.Itoa(int(p.Headline(x.N)))
		it := c.open[key]
		if it == nil {
			it = &townItem{class: string(rune(x.Class)), at: now, inside: inside}
			c.open[key] = it
			if inside {
				c.raised++
			}
		}
		it.listed = it.listed || x.Quiet
		if x.AckBy != "" && !it.taken {
			it.taken = true
			if inside {
				c.longest[it.class] = max(c.longest[it.class], now.Sub(it.at))
			}
		}
	}
	answering := int32(0) // whose card is the answer to an order
	if o != nil {
		answering = p.Number
	}
	for who, user := range []int64{UserClinician, UserAssistant} {
		for _, m := range t.Platform.Since(user, c.read[who]) {
			c.read[who] = max(c.read[who], m.ID)
			if m.Bot {
				c.take(who, m.Text, answering, now, inside)
			}
		}
	}
}

func (c *townSeen) take(who int, text string, answering int32, now time.Time, inside bool) {
	first, _, _ := strings.Cut(text, "\n")
	head, numbers := townCard.FindStringSubmatch(text), townNumber.FindAllStringSubmatch(text, -1)
	if day := civil.DateOf(now.Date()); strings.HasPrefix(text, "Digest of") && inside {
		if c.digest[who] == day { // the digest's other pages, and words between two digests
			c.lists[who][day]++
		}
		c.digest[who] = day
		c.digests[who]++
		return
	}
	if head == nil || numbers == nil {
		if _, what, ok := strings.Cut(first, ": "); inside {
			if !ok {
				what = first
			}
			words := strings.Fields(townDigits.ReplaceAllString(what, "0"))
			c.others[who][strings.Join(words[:min(4, len(words))], " ")]++
		}
		return
	}
	if n, _ := strconv.Atoi(numbers[0][2]); who == 0 && flows.NumberOf(int32(n)) == answering {
		return
	}
	weekend := false
	for _, n := range numbers {
		it := c.open[n[2]]
		if it == nil {
			it = &townItem{class: head[1], at: now, inside: inside}
			c.open[n[2]] = it
		}
		if it.first.IsZero() {
			it.first = now
		}
		weekend = weekend || it.first.Before(now.Add(-12*time.Hour)) && it.first.After(now.Add(-60*time.Hour))
	}
	if !inside {
		return
	}
	if head[1] == "E" || head[1] == "S" {
		c.rings[who]++
		return
	}
	c.shown[who]++
	c.why[who][numbers[0][1]]++
	c.cards[who][civil.DateOf(now.Date())]++
	if now.Weekday() == time.Monday && weekend {
		c.again++
	}
}

func (c *townSeen) report(b *testing.B) {
	b.Helper()
	b.Logf("E and S that were on no card within the hour: %v", c.late)
	b.Logf("raised %d; neither on a card nor in a list after a week: %d %v", c.raised, len(c.lost), c.lost[:min(5, len(c.lost))])
	for who := range c.cards {
		total, most, lists := 0, 0, 0
		var week [7]float64
		for d := c.from; d < c.to; d++ {
			n := c.cards[who][d] + c.lists[who][d]
			lists += c.lists[who][d]
			total, most = total+n, max(most, n)
			week[d.Weekday()] += float64(n) / (float64(c.to-c.from) / 7)
		}
		b.Logf("%s: cards below S, and lists beside the digest (%d), a working day %.1f, at most %d; by weekday, Sunday first: %.1f; rings of E and S: %d", [2]string{"clinician", "assistant"}[who], lists,
			float64(total)/(float64(c.to-c.from)/7*5), most, week, c.rings[who])
		for _, counts := range []map[string]int{c.why[who], c.others[who]} {
			for _, head := range slices.SortedFunc(maps.Keys(counts), func(x, y string) int { return counts[y] - counts[x] }) {
				b.Logf("\t%5d %s", counts[head], head)
			}
		}
	}
	b.Logf("cards on a Monday that the weekend had shown: %d; longest until taken: %v", c.again, c.longest)
}
