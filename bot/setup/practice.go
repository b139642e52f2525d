package setup

import (
	"slices"
	"strings"
	"time"

	_ "time/tzdata" // a slim host still has zones

	"duskdawn/bot/phone"
	"duskdawn/flows/civil"
	"duskdawn/flows/enrol"
	"duskdawn/flows/message"
	"duskdawn/flows/practice"
	"duskdawn/flows/reading"
	"duskdawn/flows/why"

	"github.com/robfig/cron/v3"
)

// Topics are the names of the how-to cards in the practice's file.
var topics = [...]string{
	reading.HowPutIn: "put-in", reading.HowTakeOut: "take-out", reading.HowStep: "step", reading.HowLipSeal: "lip-seal",
	reading.HowGuide: "guide", reading.HowClean: "clean", reading.HowFirstWeek: "first-week",
	reading.HowFaster: "faster", reading.HowMissed: "missed-night", reading.HowLong: "how-long", reading.HowMouth: "dry-mouth",
	reading.HowCold: "cold", reading.HowAlcohol: "alcohol", reading.HowDental: "dental-work", reading.HowTravel: "travel",
	reading.HowTeeth: "teeth", reading.HowTest: "sleep-test",
}

var weekdays = [...]string{time.Sunday: "sun", time.Monday: "mon", time.Tuesday: "tue", time.Wednesday: "wed",
	time.Thursday: "thu", time.Friday: "fri", time.Saturday: "sat"}

// digits counts them. What else stands in a telephone, as an extension does, is not
// asked, nor which numbers a country has: it would refuse what was only now given out.
func digits(number string) (n int) {
	for _, r := range number {
		if r >= '0' && r <= '9' {
			n++
		}
	}
	return n
}

// Practice reads the practice's file. langs are the languages there are texts
// for. Deadlines left out are 15 and 60 minutes, hours left out are closed.
func Practice(raw []byte, langs []string) (practice.Practice, []Fault) {
	f := readTOML(raw)
	if f.root == nil && len(f.faults) > 0 {
		return practice.Practice{}, f.faults
	}
	t := f.top()
	pr := practice.Practice{
		Name: t.need("name", 80), Phone: t.need("phone", 30), Emergency: t.need("emergency", 20),
		OutOfHours: t.need("out-of-hours", 120), Crisis: t.text("crisis", 120), NoOther: t.text("no-other-therapy", 200),
		Zone: t.need("zone", 40), Lang: t.need("language", 8), Evening: t.clock("evening", 21*60),
		Morning:  t.clock("morning", 7*60+30),
		MinutesE: t.figure("minutes-emergency"), MinutesS: t.figure("minutes-same-day"), PlanDays: t.figure("plan-nights"),
		GroupLang: t.text("group-language", 8), Langs: langs, Digest: t.text("digest", 60),
		Country: strings.ToUpper(t.text("country", 8)),
	}
	if pr.Country != "" && !phone.Known(pr.Country) {
		f.bad("country", "setup.bad.country", message.ArgS("said", pr.Country))
	}
	if pr.Digest != "" && !comes(pr.Digest) {
		f.bad("digest", "setup.bad.cron", message.ArgS("said", pr.Digest))
	}
	if pr.Zone != "" && !KnownZone(pr.Zone) {
		f.bad("zone", "setup.bad.zone", message.ArgS("said", pr.Zone))
	}
	for key, lang := range map[string]string{"language": pr.Lang, "group-language": pr.GroupLang} {
		if lang != "" && !slices.Contains(langs, lang) {
			f.bad(key, "setup.bad.lang", message.ArgS("said", lang), message.ArgS("known", strings.Join(langs, ", ")))
		}
	}
	if pr.Phone != "" && (digits(pr.Phone) < 3 || !phone.Possible(pr.Phone, pr.Country)) {
		f.bad("phone", "setup.bad.phone")
	}
	if rest := strings.Trim(pr.Emergency, "+0123456789 -"); rest != "" || pr.Emergency != "" && digits(pr.Emergency) < 2 {
		f.bad("emergency", "setup.bad.phone")
	}
	since := func(k civil.Clock) civil.Clock { return (k - civil.Noon + 24*60) % (24 * 60) } // a night's, from noon to noon
	if since(pr.Evening) >= since(pr.Morning) {
		f.bad("morning", "setup.bad.order", message.ArgC("evening", pr.Evening), message.ArgC("morning", pr.Morning))
	}
	hours(&pr, t.sub("hours"))
	for _, s := range t.list("holidays") {
		d, err := civil.ParseDate(s)
		if err != nil {
			f.bad("holidays", "setup.bad.date", message.ArgS("said", s))
			continue
		}
		pr.Holidays = append(pr.Holidays, d)
	}
	slices.Sort(pr.Holidays)
	limits(&pr, t.sub("limits"))
	for _, r := range t.each("rota") {
		pr.Rota = append(pr.Rota, shift(r))
	}
	for _, r := range t.each("template") {
		pr.Templates = append(pr.Templates, template(r, pr.Templates))
	}
	for _, c := range t.each("card") {
		if card, ok := howTo(c, langs); ok {
			pr.Cards = append(pr.Cards, card)
		}
	}
	t.leftOver()
	if !slices.ContainsFunc(pr.Hours[:], func(s []practice.Span) bool { return len(s) > 0 }) {
		f.bad("hours", "setup.bad.closed")
	}
	return pr, inOrder(f.faults)
}

// figure reads a number whose bounds and default stand in the table that people
// can ask about.
func (t table) figure(key string) int16 {
	b, _ := why.FigureOf(key)
	return int16(t.whole(key, b.Min, b.Max, int(b.Value.N)))
}

// hours reads lists like mon = ["09:00-13:00", "14:00-18:00"].
func hours(pr *practice.Practice, t table) {
	for day, name := range weekdays {
		var last civil.Clock
		for _, s := range t.list(name) {
			from, to, _ := strings.Cut(s, "-")
			a, ok := enrol.ParseClock(strings.TrimSpace(from))
			b, ok2 := enrol.ParseClock(strings.TrimSpace(to))
			if !ok || !ok2 || a >= b || a < last {
				t.f.bad(t.path+name, "setup.bad.span", message.ArgS("said", s))
				continue
			}
			pr.Hours[day], last = append(pr.Hours[day], practice.Span{From: a, To: b}), b
		}
	}
	t.leftOver()
}

// limits reads the practice's defaults for limits, through the table of
// blanks. Those left out take the table's own; a ceiling is never a default.
func limits(pr *practice.Practice, t table) {
	fields := enrol.FormFields()
	var own enrol.Filled
	for i, field := range fields {
		if field.Part != enrol.PartLimits || field.Key == "ceiling" || field.Key == "timetable" ||
			field.Key == "timetable-top" {
			continue
		}
		text := field.Default
		v, path, ok := t.take(field.Key)
		if ok {
			text = typed(v)
		}
		for _, p := range own.Put(fields, i, text) {
			t.f.faults = append(t.f.faults, Fault{Key: path, Line: t.f.lines[path], Say: p.Say()})
		}
	}
	pr.Defaults = own.Enrolment.Plan.Limits
	if pr.Defaults.Loud > 0 && pr.Defaults.Loud <= pr.Defaults.Target {
		t.f.bad(t.path+"loud", "enrol.bad.loud", message.ArgK("field", "enrol.f.loud"),
			message.ArgN("said", int(pr.Defaults.Loud)), message.ArgN("target", int(pr.Defaults.Target)))
	}
	t.leftOver()
}

func shift(t table) practice.Shift {
	s := practice.Shift{Staff: t.need("staff", 40), From: t.need("from", 60), To: t.need("to", 60)}
	for key, spec := range map[string]string{"from": s.From, "to": s.To} {
		if spec == "" {
			continue
		}
		if !comes(spec) {
			t.f.bad(t.path+key, "setup.bad.cron", message.ArgS("said", spec))
		}
	}
	t.leftOver()
	return s
}

// comes reports whether five fields of cron can be read and ever come. A zone or
// an interval has no place in them: the wall clock is the practice's.
func comes(spec string) (ok bool) {
	defer func() {
		if recover() != nil { // the parser is known to panic on some lines
			ok = false
		}
	}()
	if strings.ContainsAny(spec, "=@") {
		return false
	}
	s, err := cron.ParseStandard(spec)
	return err == nil && !s.Next(time.Unix(0, 0).UTC()).IsZero()
}

// KnownZone reports whether a name is an IANA time zone.
func KnownZone(name string) bool {
	if name == "" || name == "Local" {
		return false
	}
	_, err := time.LoadLocation(name)
	return err == nil
}

func howTo(t table, langs []string) (practice.Card, bool) {
	topic := t.need("topic", 20)
	c := practice.Card{Lang: t.need("language", 8), Text: t.text("text", 900), File: t.text("file", 200),
		Video: t.yes("video")}
	t.leftOver()
	i := slices.Index(topics[:], topic)
	if topic != "" && i < 1 {
		t.f.bad(t.path+"topic", "setup.bad.topic", message.ArgS("said", topic),
			message.ArgS("known", strings.Join(topics[1:], ", ")))
	}
	if c.Lang != "" && !slices.Contains(langs, c.Lang) {
		t.f.bad(t.path+"language", "setup.bad.lang", message.ArgS("said", c.Lang),
			message.ArgS("known", strings.Join(langs, ", ")))
	}
	if c.Text == "" && c.File == "" {
		t.f.bad(t.path+"text", "setup.bad.card")
	}
	c.Topic = reading.Topic(max(i, 0))
	return c, i >= 1
}
