package why

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/enrol"
	"duskdawn/flows/evidence"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
	"duskdawn/flows/redflag"
)

// Every rule, flag and blank has a why, whose claims all stand in the table and
// each bear the mark of a source or of its lack.
func TestWhy(t *testing.T) {
	rules, flags, fields, figures := WhyKinds()
	if len(rules) != len(pacing.Rules()) || len(flags) != len(redflag.Rows()) || len(fields) != enrol.NumFormFields ||
		len(figures) != len(figureTable) {
		t.Fatalf("%d rules, %d flags, %d blanks, %d figures", len(rules), len(flags), len(fields), len(figures))
	}
	for _, id := range slices.Concat(rules, flags, fields, figures) {
		lines, ok := Why(strings.ToUpper(id))
		if !ok {
			t.Errorf("%s has no why", id)
			continue
		}
		marks := 0
		for _, l := range lines {
			if l.Key == "why.claim" || strings.HasPrefix(l.Key, "why.claim.") {
				marks++
			}
		}
		if marks == 0 {
			t.Errorf("%s rests on nothing", id)
		}
	}
	for _, id := range slices.Concat(rules, flags) {
		if len(id) > 16 { // what a button's data has room for
			t.Errorf("%s is too long for a button", id)
		}
	}
	for _, id := range []string{"", "P", "P00", "P99", "step", "pain"} {
		if lines, ok := Why(id); ok {
			t.Errorf("%q: %v", id, lines)
		}
	}
	if pauses, _ := Why("pauses"); !tells(pauses, "flag.pauses.name") || !tells(pauses, "enrol.f.pauses") {
		t.Error("a flag and a blank of one word: both are told")
	}
}

func tells(lines []message.Line, key string) bool {
	return slices.ContainsFunc(lines, func(l message.Line) bool { return l.Key == key })
}

// Every id of a basis is a claim, every claim and publication is used, and
// every field that a rule names is a blank.
func TestBasisIsWhole(t *testing.T) {
	bases := map[string]evidence.Basis{}
	for _, row := range pacing.Rules() {
		bases[row.Name] = row.Source
		for _, f := range row.Fields {
			if enrol.FormIndex(enrol.Table[:], f) < 0 {
				t.Errorf("%s: %q is no blank", row.Name, f)
			}
		}
		for _, id := range row.Figures {
			if _, ok := FigureOf(id); !ok {
				t.Errorf("%s: %q is no figure", row.Name, id)
			}
		}
	}
	for _, row := range redflag.Rows() {
		bases[row.ID] = row.Source
	}
	for _, f := range enrol.FormFields() {
		bases[f.Key] = f.Basis
	}
	for _, f := range Figures() {
		bases["figure."+f.ID] = f.Basis
	}
	claims, publications := map[string]int{}, map[string]int{}
	for of, b := range bases {
		cs := b.Claims()
		if len(cs) == 0 || len(cs) != len(strings.Fields(string(b))) {
			t.Errorf("%s: %q names what is no claim", of, b)
		}
		for _, c := range cs {
			claims[c.ID]++
		}
	}
	for _, c := range evidence.Claims() {
		if claims[c.ID] == 0 {
			t.Errorf("nothing rests on claim %s", c.ID)
		}
		if _, ok := evidence.PublicationOf(c.Source); c.Source != "" && !ok {
			t.Errorf("claim %s: %q is in no list", c.ID, c.Source)
		}
		if c.Seen == evidence.SecondHand && c.Source == "" {
			t.Errorf("claim %s was read at second hand of nothing", c.ID)
		}
		publications[c.Source]++
	}
	if n := len(slices.CompactFunc(slices.SortedFunc(slices.Values(evidence.Claims()),
		func(a, b evidence.Claim) int { return strings.Compare(a.ID, b.ID) }),
		func(a, b evidence.Claim) bool { return a.ID == b.ID })); n != len(evidence.Claims()) {
		t.Error("a claim stands twice")
	}
	for _, p := range evidence.Publications() {
		if publications[p.ID] == 0 || p.Cite == "" {
			t.Errorf("%+v: unused, or not cited", p)
		}
	}
}

// A citation has its author, journal and year, in this order; no mark of the end of an abbreviation meets another.
func TestCitations(t *testing.T) {
	author := regexp.MustCompile(`^((de|van|von) )?\p{Lu}[\p{L}-]+ \p{Lu}{1,3}(,| et al\.|\.)`)
	year := regexp.MustCompile(`\b(19|20)\d\d\b`)
	body := regexp.MustCompile(`^(CMS|NICE)\b`)
	journal := regexp.MustCompile(`(al|\p{Lu})\. (\p{Lu}[\p{L}]* )+(19|20)\d\d\b`)
	for _, p := range evidence.Publications() {
		if strings.Contains(p.Cite, "not seen") {
			t.Errorf("not seen: %q", p.Cite)
		}
		if !journal.MatchString(p.Cite) && !body.MatchString(p.Cite) {
			t.Errorf("no journal: %q", p.Cite)
		}
		if !author.MatchString(p.Cite) && !body.MatchString(p.Cite) {
			t.Errorf("no author: %q", p.Cite)
		}
		if !year.MatchString(p.Cite) {
			t.Errorf("no year: %q", p.Cite)
		}
		short := map[string]string{"doi 10.1007/s11325-020-02045-w": "de Ruiter 2020", "L33611": "CMS 2015"}
		if want, ok := short[p.ID]; ok && p.Short() != want {
			t.Errorf("%q is short for %q", p.Short(), p.Cite)
		}
		if line := (evidence.Claim{ID: "common", Source: p.ID}).Line(); strings.Contains(line.Args[1].S, "..") {
			t.Errorf("%q", line.Args[1].S)
		}
	}
}

// What was not read in whole says so, each in its own words.
func TestClaimsSayHowTheyWereSeen(t *testing.T) {
	want := map[string]string{"one-step": "why.claim.recalled", "worn-payer": "why.claim.part", "slow-titration": "why.claim.part",
		"pain-fall": "why.claim.unread", "piece-inhaled": "why.claim", "step-stages": "why.claim", "contact-payer": "why.claim.quoted",
		"crisis-line": "why.claim.memory", "common": "why.claim.common", "severe-more": "why.claim"}
	for _, c := range evidence.Claims() {
		if key, ok := want[c.ID]; ok && c.Line().Key != key {
			t.Errorf("%s: %s, want %s", c.ID, c.Line().Key, key)
		}
	}
}

// The forms of the numbers: a DOI is 10., a registrant's code of 4 to 9 digits
// and a suffix (ISO 26324 and the registration agency's advice on its pattern;
// from memory), a PMC or PubMed number is digits.
func TestPublicationNumbers(t *testing.T) {
	for start, form := range map[string]*regexp.Regexp{
		"doi":  regexp.MustCompile(`^doi 10\.\d{4,9}/[-._;()/:A-Za-z0-9]*[A-Za-z0-9]$`),
		"PMC":  regexp.MustCompile(`^PMC[1-9]\d{5,8}$`),
		"PMID": regexp.MustCompile(`^PMID [1-9]\d{4,7}$`),
	} {
		n := 0
		for _, p := range evidence.Publications() {
			if strings.HasPrefix(p.ID, start) {
				n++
				if !form.MatchString(p.ID) {
					t.Errorf("%q is no %s", p.ID, start)
				}
				if !p.HasID() {
					t.Errorf("%q would not be shown", p.ID)
				}
			}
		}
		if n == 0 {
			t.Errorf("no %s was looked at", start)
		}
	}
}

// A name that is not known is answered by those near it, else by all.
func TestWhyUnknown(t *testing.T) {
	for said, near := range map[string]string{"P99": "P09", "pain": "pain.severe", "severe pain": "pain.severe",
		"intervall": "interval", "deadline": "minutes-", "step_mm": "step-mm"} {
		lines := WhyList(said)
		if said == "deadline" {
			near = "deadline-next-day"
		}
		if lines[0].Key != "why.unknown" || len(lines) != 2 || !strings.Contains(lines[1].Args[0].S, near) {
			t.Errorf("%q: %v", said, lines)
		}
	}
	if all := WhyList("zzzzzz"); len(all) != 10 || all[1].Key != "why.list" {
		t.Errorf("a name like no other: %v", all)
	}
	if all := WhyList(""); len(all) != 9 || all[0].Key != "why.list" {
		t.Errorf("no name: %v", all)
	}
}

// What a practice that says nothing has is what the table of figures tells, and
// so is what the rules compare with.
func TestFiguresAreInForce(t *testing.T) {
	for _, x := range []struct {
		class   redflag.Class
		minutes int
		id      string
	}{{redflag.ClassE, 15, "minutes-emergency"}, {redflag.ClassS, 60, "minutes-same-day"}} {
		f, _ := FigureOf(x.id)
		if got := flows.Deadline(&practice.Practice{}, x.class); got != x.minutes || f.Value.N != int64(x.minutes) {
			t.Errorf("class %c: %d minutes in force, %d told, want %d", x.class, got, f.Value.N, x.minutes)
		}
	}
	if f, _ := FigureOf("ring-again"); f.Value.S != "15, 30, 60, 240" {
		t.Errorf("rings %q", f.Value.S)
	}
}

// Every number that people can ask about, as it is published or signed; the
// sources stand in the table of claims.
func TestFiguresAsPublished(t *testing.T) {
	for id, n := range map[string]int64{
		"minutes-emergency": 15, "minutes-same-day": 60, "deadline-routine": 7, "silent-nights": 3, "plan-nights": 90,
		"contact-most": 90, "reminder": 75, "recheck": 60,
		"late-evening": 180, "late-morning": 360, "late-advice": 360, "quiet-nights": 14, "code-minutes": 15,
		"pain-mild": 4, "pain-modest": 7, // doi 10.2147/JPR.S75192
		"bite-late": 45, "bite-away": 60, "bite-midday": 300, "gap-nights": 7, "lapse-nights": 14, "weekly-late": 10,
		"pace-most": 1000, "step-big": 500, // doi 10.1378/chest.125.5.1761
		"share-half":  500,                  // doi 10.1007/s11325-015-1307-7
		"share-most":  700,                  // doi 10.5664/jcsm.8556
		"reports-few": 3, "reports-pool": 4, // doi 10.1111/j.1749-4486.2010.02127.x
		"gain-after": 3000,                                                           // a proposal
		"sleepier":   2, "relapse-limit": 5, "snoring-change": 4, "pain-change": 379, // doi 10.11607/jofph.24.3.05
		"adherence-payer": 240, "adherence-dental": 800, // doi 10.15331/jdsm.7204
	} {
		if f, ok := FigureOf(id); !ok || f.Value.N != n {
			t.Errorf("%s: %d, want %d", id, f.Value.N, n)
		}
	}
}

// A class is explained as a card names it: by when, who hears of it, what the patient
// is promised.
func TestWhyOfAClass(t *testing.T) {
	for id, figure := range map[string]string{"E": "minutes-emergency", "s": "minutes-same-day", "N": "deadline-next-day", " r ": "deadline-routine"} {
		lines, ok := Why(id)
		letter := strings.ToLower(strings.TrimSpace(id))
		if !ok || !tells(lines, "why.class."+letter) || !tells(lines, "figure."+figure) || !tells(lines, "why.rings."+letter) ||
			!tells(lines, "why.promise."+letter) || !tells(lines, "why.claim.common") && !tells(lines, "why.claim") {
			t.Errorf("%q: %v", id, lines)
		}
	}
	for _, id := range []string{"es", "sn", "x", "esnr"} {
		if _, ok := Why(id); ok {
			t.Errorf("%q is a class", id)
		}
	}
}
