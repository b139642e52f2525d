package replay

import (
	"reflect"
	"testing"

	"duskdawn/flows"
	"duskdawn/flows/chart"
	"duskdawn/flows/civil"
	"duskdawn/flows/message"
	"duskdawn/flows/pacing"
	"duskdawn/flows/practice"
)

// What an advice can depend on of a practice goes with a course, and nothing else.
func TestSeenOf(t *testing.T) {
	pr := practice.Practice{Rev: 4, Name: "Quillmere", Phone: "555", Zone: "Europe/Madrid", Held: true, Epoch: 2,
		Released: 1, Rival: true, Langs: []string{"en"}, Group: -9,
		Staff: []practice.Staff{{ID: "s1", Label: "Ondine", Role: practice.Clinician, Chat: 7, Lang: "en", Removed: true}}, Codes: []practice.Code{{Hash: "x"}}}
	want := practice.Practice{Held: true, Epoch: 2, Released: 1, Rival: true, Langs: []string{"en"},
		Staff: []practice.Staff{{ID: "s1", Role: practice.Clinician, Removed: true}}}
	if got := SeenOf(&pr); !reflect.DeepEqual(got, want) {
		t.Errorf("%+v", got)
	}
}

// An advice that is not as it was given is told, whichever side has it.
func TestCheck(t *testing.T) {
	a := chart.Advice{Night: civil.DateOf(2026, 3, 2), Number: 3, Action: chart.Forward, To: 2, Rule: 18}
	c := Course{Patient: flows.Patient{Course: pacing.Course{Advice: a}}}
	for _, x := range []struct {
		given   []Given
		advised bool
		same    bool
	}{
		{nil, false, true},
		{[]Given{GivenOf(&a)}, true, true},
		{[]Given{{Number: 2, Action: "stay", To: 1, Rule: "P10"}, GivenOf(&a)}, true, true}, // replaced in the same event
		{[]Given{GivenOf(&a)}, false, false},
		{nil, true, false},
		{[]Given{{Number: 3, Action: "forward", To: 1, Rule: "P18"}}, true, false},
		{[]Given{{Number: 3, Action: "forward", To: 2, Rule: "P15"}}, true, false},
		{[]Given{{Number: 4, Action: "forward", To: 2, Rule: "P18"}}, true, false},
	} {
		err := c.Check(&Happened{Seq: 9, Given: x.given}, x.advised)
		if (err == nil) != x.same {
			t.Errorf("%+v, %t: %v", x.given, x.advised, err)
		}
	}
	logs := []flows.Log{{What: "advice", Args: []message.Arg{message.ArgN("number", 3), message.ArgS("action", "forward"),
		message.ArgN("to", 2), message.ArgS("rule", "P18")}}, {What: "paused"}}
	if got := GivenIn(logs); len(got) != 1 || got[0] != GivenOf(&a) {
		t.Errorf("%+v", got)
	}
}

// Settings of two appliances mean the same only where step, travel and sides are.
func TestSameAppliance(t *testing.T) {
	a := chart.Appliance{Step: 250, Travel: 20}
	for _, b := range []chart.Appliance{{Step: 200, Travel: 20}, {Step: 250, Travel: 19},
		{Step: 250, Travel: 20, TwoSided: true}, {Step: 250, Travel: 20, Offset: 1}} {
		if SameAppliance(&a, &b) == nil {
			t.Errorf("%+v is %+v", a, b)
		}
	}
	if b := (chart.Appliance{Step: 250, Travel: 20, Guide: true}); SameAppliance(&a, &b) != nil {
		t.Error("a bite guide does not change what a setting means")
	}
}
