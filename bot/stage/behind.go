package stage

import (
	"context"
	"slices"

	"duskdawn/bot/picture"
	"duskdawn/bot/record"
	"duskdawn/bot/rehearsal"
	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/estimate"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/replay"
	"duskdawn/flows/why"
)

// course is a patient's course run again as far as it is known, so that what is
// drawn after an act costs the act's events alone.
type course struct {
	happened []replay.Happened
	run      *replay.Keeper
	record   record.Record
	lines    []replay.Line // the last of each night, oldest first
	before   map[string]advising
}

// advising is a night's advice about to be given.
type advising struct {
	run   replay.Course
	event replay.Happened
}

// courseOf runs what is new of a patient's course.
func (w *World) courseOf(ctx context.Context, id chart.PatientID) (*course, error) {
	c, seq := w.courses[id], int64(0)
	if c == nil {
		c = &course{run: replay.NewKeeper(id), before: map[string]advising{}}
	} else if n := len(c.happened); n > 0 {
		seq = c.happened[n-1].Seq
	}
	news, err := w.Program.CourseAfter(ctx, id, seq)
	if err != nil || len(news) == 0 && w.courses[id] != nil {
		return c, err
	}
	for i := range news {
		was := c.run.Course
		if line, advised := c.run.Next(&news[i]); advised {
			c.lines = append(c.lines, line)
			c.before[line.Night] = advising{was, news[i]}
		}
	}
	c.happened = append(c.happened, news...)
	w.courses[id] = c
	if c.record, err = w.RecordWith(ctx, id, c.run.Rows()); err != nil {
		delete(w.courses, id)
	}
	return c, err
}

// tried are the limits that can be tried, by their blank of the plan's form.
var tried = []string{"ceiling", "interval", "rest-mornings", "target"}

// limit finds a limit by its blank.
func limit(l *chart.Limits, key string) (get int, set func(int)) {
	small := func(at *int16) (int, func(int)) { return int(*at), func(n int) { *at = int16(n) } }
	switch key {
	case "interval":
		return small(&l.Interval)
	case "rest-mornings":
		return small(&l.RestMornings)
	case "target":
		return small(&l.Target)
	}
	return int(l.Ceiling), func(n int) { l.Ceiling = chart.Steps(n) }
}

// bounds of a limit that is tried: the form's own, and for the ceiling the travel.
func bounds(p *flows.Patient, key string) (least, most int) {
	if key == "ceiling" {
		return 0, int(p.Appliance.Travel)
	}
	f := &enrol.Table[enrol.FormIndex(enrol.Table[:], key)]
	return int(f.Min), int(f.Max)
}

// Course draws a patient's course, or for anybody else the practice.
func (w *World) Course(ctx context.Context, c rehearsal.Chat, ask rehearsal.Ask) (out rehearsal.Course, err error) {
	out.Nights, out.Limits, out.Charts = []rehearsal.NightRow{}, []rehearsal.Limit{}, []string{}
	if c.Role != "patient" {
		pr := picture.Practice{}
		for _, one := range w.Chats() {
			if p := w.look(one.User); p != nil && one.Role == "patient" {
				pr.Patients = append(pr.Patients, picture.StandOf(p))
			}
		}
		out.SVG = string(pr.Draw(w.Words, ask.Lang, ask.Width).SVG())
		return out, nil
	}
	p, err := w.ByChat(c.User)
	if err != nil {
		return out, err
	}
	w.behind.Lock()
	defer w.behind.Unlock()
	run, err := w.courseOf(ctx, p.ID)
	if err != nil {
		return out, err
	}
	drawing := picture.CourseOf(run.record, run.lines)
	other := map[string]replay.Line{}
	if lines := tryLimits(&p, run.happened, ask.Try); lines != nil {
		drawing.Beside(lines)
		for _, l := range lines {
			other[l.Night] = l
		}
	}
	if chart := relapseOf(&p, &run.record); len(chart.Reports) > 0 {
		out.Charts = append(out.Charts, string(chart.Draw(w.Words, ask.Lang, ask.Width).SVG()))
	}
	out.SVG = string(drawing.Draw(w.Words, ask.Lang, ask.Width).SVG())
	differ := 0
	for _, l := range lastOfNights(run.lines) {
		row := w.row(ask.Lang, &p, l)
		if o, ok := other[l.Night]; ok && (o.To != l.To || o.Action != l.Action) {
			row.Other, differ = w.advised(ask.Lang, o), differ+1
		}
		out.Nights = append(out.Nights, row)
	}
	slices.Reverse(out.Nights)
	if len(other) > 0 {
		out.Other = w.Words.Line(ask.Lang, message.Say("page.tried", message.ArgN("n", differ),
			message.ArgN("of", len(other))))
	}
	for _, key := range tried {
		n, _ := limit(&p.Plan.Limits, key)
		least, most := bounds(&p, key)
		out.Limits = append(out.Limits, rehearsal.Limit{Name: key, Label: w.Words.Line(ask.Lang, message.Say("enrol.f."+key)),
			Value: n, Least: least, Most: most})
	}
	return out, nil
}

// relapseOf is the chart of snoring since the proof; empty before that.
func relapseOf(p *flows.Patient, r *record.Record) picture.Relapse {
	out := picture.Relapse{Label: p.Label}
	if s := p.Course.OnPath(); s != chart.Steady && s != chart.Recall {
		return out
	}
	nights := make([]chart.Entry, len(r.Nights))
	for i := range r.Nights {
		nights[i] = r.Nights[i].Entry
	}
	of := estimate.Of(&p.Course, p.Facts(new(practice.Practice), new(flows.Event)), nights, estimate.Tonight(&p.Course))
	out.Reports = of.Reports()
	return out
}

// lastOfNights leaves of each night the line of its last advice.
func lastOfNights(lines []replay.Line) (out []replay.Line) {
	for _, l := range lines {
		if n := len(out); n > 0 && out[n-1].Night == l.Night {
			out = out[:n-1]
		}
		out = append(out, l)
	}
	return out
}

// tryLimits runs the course again under other limits; nil where none is another.
func tryLimits(p *flows.Patient, happened []replay.Happened, try map[string]int) (lines []replay.Line) {
	limits, other := p.Plan.Limits, false
	for _, key := range tried {
		n, ok := try[key]
		if is, set := limit(&limits, key); ok && n != is {
			least, most := bounds(p, key)
			set(min(max(n, least), most))
			other = true
		}
	}
	if !other {
		return nil
	}
	c := replay.Course{ID: p.ID, Limits: &limits}
	for i := range happened {
		if line, advised, _ := c.Next(&happened[i]); advised {
			lines = append(lines, line)
		}
	}
	return lastOfNights(lines)
}

func (w *World) advised(lang string, l replay.Line) string {
	return w.Words.Line(lang, message.Say("page.advised", message.ArgK("what", "desk.action."+l.Action),
		message.ArgN("n", l.To)))
}

func (w *World) day(lang, night string) string {
	d, _ := civil.ParseDate(night) // as a Date wrote it
	return w.Words.Line(lang, message.Say("picture.day", message.ArgD("date", d)))
}

func (w *World) row(lang string, p *flows.Patient, l replay.Line) rehearsal.NightRow {
	um := p.Baseline.Start + chart.Micrometres(l.To)*p.Appliance.Step
	return rehearsal.NightRow{Night: l.Night, Day: w.day(lang, l.Night), Rule: l.Rule, Advice: w.advised(lang, l),
		Setting: w.Words.Line(lang, message.Say("page.stands", message.ArgN("n", l.To), message.ArgUM("mm", um)))}
}

// Night tells what is known of one night of a patient.
func (w *World) Night(ctx context.Context, c rehearsal.Chat, lang, night string) (out rehearsal.Night, err error) {
	out = rehearsal.Night{Night: night, Entry: []string{}, Done: []string{}, Rules: []rehearsal.Rule{}, Moved: []string{}}
	d, err := civil.ParseDate(night)
	if err != nil || c.Role != "patient" {
		return out, rehearsal.ErrNoNight
	}
	p, err := w.ByChat(c.User)
	if err != nil {
		return out, err
	}
	w.behind.Lock()
	defer w.behind.Unlock()
	run, err := w.courseOf(ctx, p.ID)
	if err != nil {
		return out, err
	}
	found := false
	for _, n := range run.record.Nights {
		if n.Entry.Night != d {
			continue
		}
		found = true
		for f := chart.Field(1); f < chart.NumFields; f++ {
			if v := n.Entry.At(f); v.Known() {
				out.Entry = append(out.Entry, w.Words.Label(lang, message.Choice{Field: f, Value: v}))
			}
		}
		for _, ev := range n.Kept.Events {
			out.Done = append(out.Done, ev.String())
		}
	}
	out.Day = w.day(lang, night)
	for _, l := range run.lines {
		if l.Night == night {
			found = true
			out.Advice, out.Reason = w.advised(lang, l), w.Words.Line(lang, message.Say(l.Reason))
			out.Went = l.Action == chart.Forward.String()
			out.Rules = append([]rehearsal.Rule{}, w.rules(lang, l)...)
		}
	}
	if !found {
		return out, rehearsal.ErrNoNight
	}
	if a, ok := run.before[night]; ok && !out.Went {
		out.Moved = append(out.Moved, w.wouldMove(lang, a)...)
	}
	return out, nil
}

// rules are all that spoke, the one shown first, each with what it rests on.
func (w *World) rules(lang string, l replay.Line) (out []rehearsal.Rule) {
	ids := slices.DeleteFunc(slices.Clone(l.Fired), func(id string) bool { return id == l.Rule })
	for _, id := range append([]string{l.Rule}, ids...) {
		said, ok := why.Why(id)
		if !ok || len(said) < 2 {
			continue
		}
		r := rehearsal.Rule{ID: id, Name: w.Words.Line(lang, said[0]), Reason: w.Words.Line(lang, said[1]),
			Source: []string{}}
		for _, line := range said[2:] {
			r.Source = append(r.Source, w.Words.Line(lang, line))
		}
		out = append(out, r)
	}
	return out
}

// wouldMove tells which limit, were it another that night, would have let the
// advice move on: of each the nearest that would.
func (w *World) wouldMove(lang string, a advising) (out []string) {
	advise := func(change func(*chart.Limits)) chart.Advice {
		c, event := a.run, a.event
		change(&c.Patient.Plan.Limits)
		c.Next(&event)
		return c.Patient.Course.Advice
	}
	for _, key := range tried {
		n, _ := limit(&a.run.Patient.Plan.Limits, key)
		least, most := bounds(&a.run.Patient, key)
		for by := 1; n-by >= least || n+by <= most; by++ {
			moved := false
			for _, v := range []int{n - by, n + by} {
				if v < least || v > most || moved {
					continue
				}
				set := func(l *chart.Limits) { _, put := limit(l, key); put(v) }
				if got := advise(set); got.Action == chart.Forward {
					moved = true
					out = append(out, w.Words.Line(lang, message.Say("page.moved", message.ArgK("what", "enrol.f."+key),
						message.ArgN("n", v), message.ArgN("to", int(got.To)), message.ArgN("was", n))))
				}
			}
			if moved {
				break
			}
		}
	}
	return out
}
