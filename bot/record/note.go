package record

import (
	"duskdawn/flows/chart"
)

// jsonNote is something that a person of the practice wrote down: a note, a contact,
// the outcome of an item, or an order for a time to come. The newest are there, the
// oldest first; times are the practice's own. A patient's own copy, the table, has none.
type jsonNote struct {
	Date string `json:"date"`
	Time string `json:"time"`
	By   string `json:"by"`
	What string `json:"what"`
	Of   string `json:"of,omitempty"` // why the item was raised
	Text string `json:"text,omitempty"`
}

// jsonTest is a sleep test, the newest last. What was not measured is not there.
type jsonTest struct {
	On      string   `json:"on"`
	Kind    string   `json:"kind"`
	AHI     *float64 `json:"ahi,omitempty"`
	Rule    string   `json:"rule,omitempty"`
	ODI     *float64 `json:"odi,omitempty"`
	Drop    int16    `json:"odi_drop,omitempty"`
	Asleep  int16    `json:"minutes_asleep,omitempty"`
	By      string   `json:"by,omitempty"`
	InPlace bool     `json:"in_place"`
	Setting int      `json:"setting"`
}

func (r Record) notes() []jsonNote {
	out := []jsonNote{}
	for _, n := range r.Patient.Noted {
		out = append(out, jsonNote{n.At.Date.String(), n.At.Clock.String(), n.By, n.Op.String(), n.Reason, n.Text})
	}
	return out
}

func (r Record) tests() []jsonTest {
	out := []jsonTest{}
	tenths := func(v chart.Answer) *float64 {
		if !v.Known() {
			return nil
		}
		x := float64(v.N()) / 10
		return &x
	}
	for _, x := range r.Patient.Tests {
		out = append(out, jsonTest{x.On.String(), x.Kind, tenths(x.AHI10), x.Rule, tenths(x.ODI10), x.ODIDrop, x.Asleep, x.By, x.InPlace, int(x.Setting)})
	}
	return out
}
