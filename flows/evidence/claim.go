package evidence

import (
	"strings"

	"duskdawn/flows/message"
)

// Basis is what a rule, a flag or a blank of the form rests on: ids of claims,
// with spaces between.
type Basis string

// Claims lists the claims of a basis, in its order; an id that is in no row of
// the table is left out.
func (b Basis) Claims() []Claim {
	var out []Claim
	for id := range strings.FieldsSeq(string(b)) {
		for i := range claimTable {
			if claimTable[i].ID == id {
				out = append(out, claimTable[i])
			}
		}
	}
	return out
}

// Claim is one thing that is held to be so. Its words are the message
// "claim.<ID>".
type Claim struct {
	ID     string
	Source string // id of a Publication; empty: common practice, no source
	Seen   Seen
}

// Seen is how the source of a claim was read.
type Seen uint8

// The ways.
const (
	Read       Seen = iota // at least its abstract
	FromMemory             // the figure or list is from memory
	SecondHand             // through somebody who quotes it
	InPart                 // an introduction, an extract or a trade report of it
	Unread                 // noted once, and not found again
)

// Claims returns every claim.
func Claims() []Claim { return claimTable[:] }

// claimTable holds what the tables of rules, flags and blanks rest on.
var claimTable = [...]Claim{
	{ID: "common"}, {ID: "sanity"}, {ID: "table-design"}, {ID: "urgency-signed"}, {ID: "own-question"},
	{ID: "adult-method", Source: "doi 10.15331/jdsm.7158", Seen: InPart},
	{ID: "physician-loop", Source: "doi 10.5664/jcsm.4858"},
	{ID: "test-named", Source: "doi 10.5664/jcsm.4858"},
	{ID: "scoring-rules", Source: "PMC4661335"},
	{ID: "totals-only"},

	{ID: "step-most", Source: "doi 10.15331/jdsm.3738", Seen: FromMemory},
	{ID: "step-trial", Source: "doi 10.5664/jcsm.8556"},
	{ID: "step-thread"},
	{ID: "one-step", Source: "doi 10.15331/jdsm.7158", Seen: FromMemory},
	{ID: "read-appliance"}, {ID: "sides-same"}, {ID: "guide-minutes"},
	{ID: "zero-habitual", Source: "Bamagoos 2019", Seen: Unread},
	{ID: "zero-retruded", Source: "doi 10.1186/s12903-019-0783-8"},
	{ID: "range-students", Source: "Woelfel 2014"},
	{ID: "range-patients", Source: "doi 10.61872/sdj-2020-09-670"},
	{ID: "place-half", Source: "doi 10.1007/s11325-015-1307-7"},
	{ID: "severe-more", Source: "doi 10.5664/jcsm.8556"},
	{ID: "place-level", Source: "doi 10.5664/jcsm.8556"},
	{ID: "step-stages", Source: "doi 10.1007/s11325-020-02045-w"},

	{ID: "settle-nights"}, {ID: "interval-three"}, {ID: "rest-three"}, {ID: "silent-unknown"}, {ID: "plan-review"},
	{ID: "interval-seven", Source: "doi 10.1378/chest.125.5.1761"},
	{ID: "pace-fastest", Source: "doi 10.1378/chest.125.5.1761"},
	{ID: "pace-laboratory", Source: "doi 10.5664/jcsm.6202"},
	{ID: "pace-one-night", Source: "doi 10.1183/09031936.00148208"},
	{ID: "symptoms-hold", Source: "doi 10.1378/chest.125.5.1761"},
	{ID: "worn-payer", Source: "doi 10.15331/jdsm.7204", Seen: InPart},
	{ID: "contact-payer", Source: "L33611", Seen: SecondHand},
	{ID: "contact-guideline", Source: "NG202", Seen: SecondHand},
	{ID: "standards-practice", Source: "doi 10.15331/jdsm.7266"},
	{ID: "guideline-europe", Source: "doi 10.1183/16000617.0200-2021"},

	{ID: "score-eleven", Source: "doi 10.2147/JPR.S75192"},
	{ID: "pain-moderate", Source: "doi 10.2147/JPR.S75192"},
	{ID: "pain-severe", Source: "doi 10.2147/JPR.S75192"},
	{ID: "slow-titration", Source: "doi 10.15331/jdsm.6746", Seen: InPart},
	{ID: "pain-stop", Source: "doi 10.15331/jdsm.6746", Seen: InPart},
	{ID: "sore-sheets"}, {ID: "bite-hour"}, {ID: "bite-minutes"},
	{ID: "bite-stays", Source: "doi 10.5664/jcsm.4278"},
	{ID: "bite-years", Source: "doi 10.5664/jcsm.6896"},

	{ID: "partner-score", Source: "doi 10.1007/s00405-020-05813-2"},
	{ID: "nights-four", Source: "doi 10.1111/j.1749-4486.2010.02127.x"},
	{ID: "night-error", Source: "doi 10.1111/j.1749-4486.2010.02127.x"},
	{ID: "snoring-mild"},
	{ID: "fall-quarter", Source: "PMC8726364", Seen: Unread},
	{ID: "not-apnoea", Source: "PMC6411174"},
	{ID: "halved-steps", Source: "doi 10.1378/chest.117.4.1065"},
	{ID: "none-third", Source: "doi 10.5664/jcsm.3460"},
	{ID: "chart-patient", Source: "doi 10.1093/intqhc/mzm015"},
	{ID: "chart-sum", Source: "Page 1954", Seen: FromMemory},

	{ID: "emergency-advice", Seen: FromMemory},
	{ID: "crisis-line", Seen: FromMemory}, {ID: "ulcer-weeks", Seen: FromMemory},
	{ID: "side-effect-list", Source: "doi 10.15331/jdsm.6746", Seen: FromMemory},
	{ID: "mouth-contact", Source: "doi 10.1016/j.ajodo.2005.10.017", Seen: InPart},
	{ID: "piece-inhaled", Source: "Huh 2022"},
	{ID: "keep-pieces"}, {ID: "jaw-week"},
	{ID: "drowsy-warned", Source: "doi 10.1164/rccm.201304-0726ST", Seen: SecondHand},
	{ID: "events-raised", Source: "doi 10.15331/jdsm.7250", Seen: Unread},

	{ID: "severity-bands", Source: "doi 10.1186/s13063-019-3698-4"},
	{ID: "response-half", Source: "doi 10.5664/jcsm.6492"},
	{ID: "resolved-five", Source: "doi 10.5664/jcsm.3460", Seen: SecondHand},
	{ID: "response-strict", Source: "doi 10.15331/jdsm.6918"},
	{ID: "response-partial", Seen: FromMemory},
	{ID: "alleviation-formula", Source: "Thorax 2013;68", Seen: FromMemory},
	{ID: "pain-fall", Source: "doi 10.11607/jofph.24.3.05", Seen: Unread},
	{ID: "adherence-dental", Source: "doi 10.15331/jdsm.7204"},
	{ID: "sore-early", Source: "PMID 23270383", Seen: SecondHand},
}

// Line is a claim in words, with its publication, or with what stands in place
// of one.
func (c Claim) Line() message.Line {
	p, ok := PublicationOf(c.Source)
	cite := message.ArgS("cite", p.Cite)
	if p.HasID() {
		cite.S += ". " + p.ID
	}
	text := message.ArgK("text", "claim."+c.ID)
	switch {
	case !ok && c.Seen == FromMemory:
		return message.Say("why.claim.memory", text)
	case !ok:
		return message.Say("why.claim.common", text)
	case c.Seen == FromMemory:
		return message.Say("why.claim.recalled", text, cite)
	case c.Seen == SecondHand:
		return message.Say("why.claim.quoted", text, cite)
	case c.Seen == InPart:
		return message.Say("why.claim.part", text, cite)
	case c.Seen == Unread:
		return message.Say("why.claim.unread", text, cite)
	}
	return message.Say("why.claim", text, cite)
}
