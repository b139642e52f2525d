package desk

import (
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
	o.planDigest()
	if o.pr.Frozen() {
		return
	}
	onDuty := slices.ContainsFunc(o.pr.Staff, func(s practice.Staff) bool { return s.Reachable() && !s.OffDuty })
	for i := range o.pr.Staff {
		if s := &o.pr.Staff[i]; s.Reachable() && (!s.OffDuty || !onDuty) {
			o.out = append(o.out, flows.Send{Chat: s.Chat, Lang: s.Lang, Lane: flows.LaneStaff, NotAfter: 12 * 60,
				Msg: message.Message{View: message.ViewDigest, MediaOf: shownAt{digestName, 0, o.e.Office.Date, o.e.At.Unix()}.String()}})
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
	if _, known := listingOf(word); err != nil || !known && word != digestName {
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
	count int // patients of the section
}

// Digest shows one page of the digest or of one list.
func Digest(pr *practice.Practice, reader practice.Staff, mediaOf string, ps []flows.Patient) ([]message.Line,
	[][]message.Button) {
	s := readShown(mediaOf)
	ps = slices.DeleteFunc(slices.Clone(ps), func(p flows.Patient) bool { return p.ID == "" })
	slices.SortFunc(ps, func(a, b flows.Patient) int { return strings.Compare(a.Label, b.Label) })
	var all []paged
	for i := range listings {
		l := &listings[i]
		if s.word != digestName && s.word != l.word {
			continue
		}
		head := len(all)
		all = append(all, paged{list: l})
		for j := range ps {
			if line, in := l.line(&glance{&ps[j], pr, reader, s.today}); in {
				all = append(all, paged{line: line, of: &ps[j], list: l})
			}
		}
		if n := len(all) - head - 1; n > 0 {
			all[head].count = n
			all[head].line = message.Say("desk.list."+l.word, message.ArgN("count", n))
		} else {
			all = all[:head]
		}
	}
	title := message.Say("desk.digest", message.ArgD("day", s.today))
	if len(all) == 0 {
		return []message.Line{title, message.Say("desk.digest.empty")}, nil
	}
	lines, rows := []message.Line{title}, [][]message.Button{}
	pages := (len(all) + pageLines - 1) / pageLines
	page := min(max(s.page, 0), pages-1)
	var cards []message.Button
	for i := page * pageLines; i < min(len(all), (page+1)*pageLines); i++ {
		x := &all[i]
		lines = append(lines, x.line)
		switch n := closable(x.list.word, ps); {
		case x.of != nil && !slices.ContainsFunc(cards, func(b message.Button) bool { return b.Patient == x.of.ID }):
			cards = append(cards, message.Button{Label: message.Say("desk.b.open", message.ArgS("label", x.of.Label)), Op: opCard,
				Patient: x.of.ID})
		case x.of == nil && x.list.closes && n > 0:
			rows = append(rows, []message.Button{{Label: message.Say("desk.b.close", message.ArgK("list", "desk.list."+x.list.word+".name"),
				message.ArgN("n", n)), Op: opSweep, Arg: x.list.word, Nonce: strconv.FormatInt(s.at, 36)}})
		}
	}
	rows = append(slices.Collect(slices.Chunk(cards, 3)), rows...)
	return lines, append(rows, turnPage(s.word, page, pages)...)
}

// turnPage are the buttons to the page before and the next.
func turnPage(word string, page, pages int) (rows [][]message.Button) {
	var row []message.Button
	if page > 0 {
		row = append(row, message.Button{Label: message.Say("desk.b.newer"), Op: opList, Arg: word + "." + strconv.Itoa(page-1)})
	}
	if page+1 < pages {
		row = append(row, message.Button{Label: message.Say("desk.b.older"), Op: opList, Arg: word + "." + strconv.Itoa(page+1)})
	}
	if len(row) > 0 {
		rows = append(rows, row)
	}
	return rows
}

// sweepTap asks whether what is routine in a list is to be closed, as far as it
// was there when the list was shown.
func (t *turn) sweepTap(p flows.Tap) {
	l, known := listingOf(p.Arg)
	at, err := strconv.ParseInt(p.Nonce, 36, 64)
	switch {
	case !known || !l.closes || err != nil || at > t.now():
		t.sayKey("desk.button")
	case t.c.Open() && t.c.Form.Stage != Waiting:
		t.busy()
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
