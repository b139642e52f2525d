package desk

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"duskdawn/flows"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
)

// The morning's digest: every list that has anybody, a line a patient, each of
// which opens its card. What is routine waits there, and nowhere else, until the
// second working morning.

// digestName is the timer of the digest; digestAfter is how many minutes after the
// office opens it goes out, so that the morning's milestones are in it: a proposal.
const (
	digestName  = "digest"
	digestAfter = 5
	digestHour  = 8 * 60 // where the practice states no hours
)

// pageLines is how many lines of patients one message shows: with labels and
// reasons of the longest kind that is below the platform's limit.
const pageLines = 25

// planDigest sets the timer of the next digest: by the practice's own line of
// cron, else each day that the office opens.
func (o *office) planDigest() {
	if o.pr.Digest != "" {
		o.out = append(o.out, flows.SetTimer{Name: digestName, Cron: o.pr.Digest, Office: true})
		return
	}
	now := o.e.Office
	at, ok := o.pr.Opens(civil.Wall{Date: now.Date})
	if !ok {
		at = civil.Wall{Date: now.Date, Clock: digestHour}
	}
	if at = at.Add(digestAfter); !now.Before(at) {
		if at, ok = o.pr.Opens(civil.Wall{Date: now.Date + 1}); !ok {
			at = civil.Wall{Date: now.Date + 1, Clock: digestHour}
		}
		at = at.Add(digestAfter)
	}
	o.out = append(o.out, flows.SetTimer{Name: digestName, At: at, Office: true})
}

// digest goes to those on duty; where there is nobody, to everyone.
func (o *office) digest() {
	if o.planDigest(); !o.pr.Frozen() {
		o.listTo(practice.NoRole, digestName)
	}
}

// roundName is the timer of the words that nobody has read; roundAfter is how many
// minutes after the first of them came in office hours they go out, roundLast how
// many before the working day ends at the latest: proposals.
const (
	roundName  = "round"
	roundAfter = 120
	roundLast  = flows.WordsLast
)

// words plans when the words of patients are shown to those who read them, unless
// that is planned. What comes while the office is closed is in the morning's digest.
func (o *office) words() {
	now := o.e.At.Unix()
	if o.pr.Round > now {
		return
	}
	if o.pr.Closed(o.e.Office) {
		if opens, _ := o.pr.Opens(o.e.Office); o.pr.Digest != "" { // whose hour is another
			o.pr.Round = now + roundAfter*60
			o.out = append(o.out, flows.SetTimer{Name: roundName, At: opens.Add(digestAfter), Office: true})
		}
		return
	}
	at := o.e.Office.Add(roundAfter)
	if end, hours := o.pr.DayEnds(o.e.Office); hours {
		if last := end.Add(-roundLast); last.Before(at) {
			at = last
		}
		if !o.e.Office.Before(at) {
			return // read tomorrow
		}
	}
	o.pr.Round = now + minutes(o.e.Office, at)*60
	o.out = append(o.out, flows.SetTimer{Name: roundName, At: at, Office: true})
}

// minutes counts those between two wall times, as if no clock shifted.
func minutes(from, to civil.Wall) int64 {
	return int64(to.Date-from.Date)*1440 + int64(to.Clock) - int64(from.Clock)
}

// round shows them to the assistants on duty.
func (o *office) round() {
	if o.pr.Round = 0; !o.pr.Frozen() {
		o.listTo(practice.Assistant, wordsList)
	}
}

// listTo sends a list to whoever of a role is on duty, or to everyone on duty; where
// there is nobody, to everyone.
func (o *office) listTo(role practice.Role, word string) {
	if !slices.ContainsFunc(o.pr.Staff, func(s practice.Staff) bool { return s.Reachable() && !s.OffDuty && s.Role == role }) {
		role = practice.NoRole
	}
	onDuty := slices.ContainsFunc(o.pr.Staff, func(s practice.Staff) bool { return s.Reachable() && !s.OffDuty })
	for i := range o.pr.Staff {
		if s := &o.pr.Staff[i]; s.Reachable() && (!s.OffDuty || !onDuty) && (role == practice.NoRole || s.Role == role) {
			o.out = append(o.out, flows.Send{Chat: s.Chat, Lang: s.Lang, Lane: flows.LaneStaff, NotAfter: 12 * 60,
				Msg: message.Message{View: message.ViewDigest, MediaOf: shownAt{word, 0, o.e.Office.Date, o.e.At.Unix()}.String()}})
		}
	}
}

// showList sends a list, or the digest, as of now.
func (t *turn) showList(word string, page int) {
	t.send(message.Message{View: message.ViewDigest, MediaOf: shownAt{word, page, t.e.Office.Date, t.now()}.String()})
}

// listTap takes a button that turns a page: "word.page".
func (t *turn) listTap(arg string) {
	word, page, _ := strings.Cut(arg, ".")
	n, err := strconv.Atoi(page)
	if _, known := listingOf(word); err != nil || !known && word != digestName && word != loadWord {
		t.sayKey("desk.button")
		return
	}
	t.showList(word, n)
}

// paged is one line of a digest: of a section, or of a patient in it.
type paged struct {
	line  message.Line
	of    *flows.Patient // nil for the head of a section
	list  *listing
	last  int64 // Unix seconds: when the words of the line came
	lines int   // how many it takes of a page
	part  bool  // it heads a part of a section
}

// Digest shows one page of the digest or of one list.
func Digest(pr *practice.Practice, reader practice.Staff, mediaOf string, ps []flows.Patient) ([]message.Line,
	[][]message.Button) {
	s := readShown(mediaOf)
	ps = slices.DeleteFunc(slices.Clone(ps), func(p flows.Patient) bool { return p.ID == "" })
	if s.word == loadWord {
		return loadPage(pr, ps, s)
	}
	slices.SortFunc(ps, func(a, b flows.Patient) int { return strings.Compare(a.Label, b.Label) })
	var all []paged
	for i := range listings {
		if l := &listings[i]; s.word == digestName && !l.asked || s.word == l.word {
			all = append(all, l.section(pr, reader, s.today, ps)...)
		}
	}
	lines := []message.Line{message.Say("desk.digest", message.ArgD("day", s.today))}
	if s.word == digestName && s.page <= 0 {
		lines = append(lines, gapLines(pr.Gaps(s.today, s.today+gapDays-1))...)
	}
	if s.word == digestName && s.page <= 0 && beginsWeek(pr, s.today) {
		lines = append(lines, loadOf(pr, reader, ps, s.today-7, s.today-1)...)
	}
	if len(all) == 0 {
		if _, one := listingOf(s.word); one {
			return append(lines, message.Say("desk.list.none", message.ArgK("list", "desk.list."+s.word+".name"))), nil
		}
		return append(lines, message.Say("desk.digest.empty")), nil
	}
	rows := [][]message.Button{}
	pages := pagesOf(all)
	page := min(max(s.page, 0), len(pages)-1)
	var cards []message.Button
	var stay []message.Line
	for i, x := range pages[page] {
		lines = append(lines, x.line)
		switch {
		case x.of != nil && !slices.ContainsFunc(cards, func(b message.Button) bool { return b.Patient == x.of.ID }):
			cards = append(cards, message.Button{Label: message.Say("desk.b.open", message.ArgS("label", x.of.Label)), Op: opCard,
				Patient: x.of.ID})
		case x.of == nil && !x.part && x.list.closes:
			at := shownTo(x.list, pages[page][i+1:], s.at)
			if n := staying(x.list.word, ps); n > 0 {
				stay = append(stay, message.Say("desk.l.stay", message.ArgK("list", "desk.list."+x.list.word+".name"), message.ArgN("count", n)))
			}
			if n := closable(x.list.word, ps, at); n > 0 {
				rows = append(rows, []message.Button{{Label: message.Say("desk.b.close", message.ArgK("list", "desk.list."+x.list.word+".name"),
					message.ArgN("n", n)), Op: opSweep, Arg: x.list.word, Nonce: strconv.FormatInt(at, 36)}})
			}
		}
	}
	lines = append(lines, stay...)
	rows = append(slices.Collect(slices.Chunk(cards, 3)), rows...)
	if s.word == handWord {
		rows = append(rows, handButtons(reader, pages[page])...)
	}
	return lines, append(rows, turns(opList, s.word+".", page, len(pages))...)
}

// section is what the digest says of a list: its head, parts and patients.
func (l *listing) section(pr *practice.Practice, reader practice.Staff, today civil.Date, ps []flows.Patient) (out []paged) {
	for j := range ps {
		line, in := l.line(&glance{&ps[j], pr, reader, today})
		if !in {
			continue
		}
		x := paged{line: line, of: &ps[j], list: l, lines: 1}
		if words := waitingWords(&ps[j]); l.word == wordsList && words != nil {
			x.last, x.lines = max(words.RaisedAt, words.GrewAt), 2
		}
		out = append(out, x)
	}
	if len(out) == 0 {
		return nil
	}
	n := len(out)
	slices.SortStableFunc(out, func(a, b paged) int { return cmp.Or(cmp.Compare(a.last, b.last), worse(a.of, b.of)) })
	if l.parts != nil {
		slices.SortStableFunc(out, func(a, b paged) int { return l.parts(b.of) - l.parts(a.of) })
		for i := 0; i < len(out); {
			part := l.parts(out[i].of)
			end := i
			for end < len(out) && l.parts(out[end].of) == part {
				end++
			}
			head := paged{line: message.Say("desk.part."+l.word, message.ArgN("count", part), message.ArgN("n", end-i)), list: l, lines: 1,
				part: true}
			out = slices.Insert(out, i, head)
			i = end + 1
		}
	}
	head := paged{line: message.Say("desk.list."+l.word, message.ArgN("count", n)), list: l, lines: 1}
	return slices.Insert(out, 0, head)
}

// worse orders patients by the most urgent of what is open; who has nothing comes last.
func worse(a, b *flows.Patient) int {
	x, y := sorted([]flows.Patient{*a}), sorted([]flows.Patient{*b})
	switch {
	case len(x) == 0 || len(y) == 0:
		return cmp.Compare(len(y), len(x))
	default:
		return byUrgency(x[0], y[0])
	}
}

// pagesOf puts lines on pages.
func pagesOf(all []paged) (out [][]paged) {
	from, n := 0, 0
	for i := range all {
		if n += all[i].lines; n > pageLines {
			out = append(out, all[from:i])
			from, n = i, all[i].lines
		}
	}
	return append(out, all[from:])
}

// shownTo is up to when what came into a list is closed by its button: all that was
// there when it was shown; of words only those that stand on this page.
func shownTo(l *listing, rest []paged, at int64) int64 {
	if l.word != wordsList {
		return at
	}
	last := int64(0)
	for _, x := range rest {
		if x.list == l && x.of != nil {
			last = x.last
		}
	}
	return min(at, last)
}

// sweepTap asks whether what is routine in a list is to be closed, as far as it
// was there when the list was shown.
func (t *turn) sweepTap(p flows.Tap) {
	l, known := listingOf(p.Arg)
	at, err := strconv.ParseInt(p.Nonce, 36, 64)
	switch {
	case !known || !l.closes || err != nil || at > t.now():
		t.sayKey("desk.button")
	case t.c.Busy():
		t.busy(p)
	case t.may(practice.Assistant, opSweep):
		t.c.Form = Form{Op: opSweep, Stage: Asking, Since: t.now(), Order: flows.Order{Op: flows.OrderSweep, Flag: l.word, At: at}}
		t.question()
	}
}

// sweepConfirmed asks every patient with something open. Each closes what this
// person may close.
func (t *turn) sweepConfirmed() {
	o := t.c.Form.Order
	t.c.Form = Form{}
	if !t.may(practice.Assistant, opSweep) {
		return
	}
	o.Actor = t.actor()
	t.log("desk.swept", message.ArgS("list", o.Flag))
	t.tell(flows.Target{Open: true}, o)
	t.say(message.Say("desk.swept", message.ArgK("list", "desk.list."+o.Flag+".name")))
}
