package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"duskdawn/bot/basis"
	"duskdawn/bot/talktest"
)

// simulated runs the command and reads its JSON.
func simulated(t *testing.T, ctx context.Context, want int, args ...string) (rep cohortReport, errs string) {
	t.Helper()
	var out, errOut bytes.Buffer
	code := run(ctx, app{out: &out, err: &errOut}, append([]string{"simulate", "-format", "json"}, args...))
	if code != want {
		t.Fatalf("%v: code %d, want %d: %s", args, code, want, errOut.String())
	}
	if code != 2 {
		if err := json.Unmarshal(out.Bytes(), &rep); err != nil {
			t.Fatalf("%v: %v in %s", args, err, out.String())
		}
	}
	return rep, errOut.String()
}

func TestSimulate(t *testing.T) {
	picture := filepath.Join(t.TempDir(), "course.png")
	rep, _ := simulated(t, t.Context(), 0, "-patients", "40", "-nights", "40", "-seed", "9", "-plan",
		"../testdata/setup/quiet.toml", "-against", "../testdata/setup/timetable.toml", "-plot", picture)
	sum := rep.AtTarget + rep.AtCeiling + rep.AtPlateau + rep.AtComfort + rep.Dropped + rep.Waiting + rep.Underway + rep.NotEnrolled
	if rep.Patients != 40 || rep.Nights != 40 || rep.Seed != 9 || rep.Breaches != 0 || rep.Partial || sum < 0.999 ||
		sum > 1.001 || rep.Median == nil || !strings.Contains(rep.Note, "not for setting a patient's plan") {
		t.Errorf("%+v", rep)
	}
	if rep.Against == nil || rep.Against.Plan == rep.Plan || rep.Against.Patients != 40 ||
		reflect.DeepEqual(rep.Against.AtTarget, rep.AtTarget) && rep.Against.Forward == rep.Forward {
		t.Errorf("against: %+v", rep.Against)
	}
	for _, r := range []*cohortReport{&rep, rep.Against} { // every card has its reason, none is counted twice
		cards := 0.0
		for _, n := range r.Cards {
			cards += n
		}
		if math.Abs(cards-r.Escalations) > 1e-6 || len(r.Cards) < 5 {
			t.Errorf("%s: %.3f cards of %.3f by %d reasons", r.Plan, cards, r.Escalations, len(r.Cards))
		}
	}
	file, err := os.Open(picture)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	img, err := png.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	colours := map[any]bool{}
	for y := 0; y < img.Bounds().Dy(); y += 2 {
		for x := 0; x < img.Bounds().Dx(); x += 2 {
			colours[img.At(x, y)] = true
		}
	}
	if len(colours) < 20 {
		t.Errorf("%d colours: an empty picture", len(colours))
	}
}

// The hazard log states the rate of cards that this program has: the cohort that it names
// is played again, and each of its figures is in the log's sentence.
func TestTheLogStatesTheMeasuredRate(t *testing.T) {
	talktest.OnlyInSiege(t)
	log, err := basis.Hazards()
	if err != nil {
		t.Fatal(err)
	}
	stated := ""
	for _, h := range log {
		for _, c := range h.Controls {
			if slices.Contains(c.Tests, basis.Test{Package: "flows/cohort", Name: "TestAlarmRate"}) {
				stated = c.Words["en"]
			}
		}
	}
	rates := func(nights string) cohortReport {
		rep, _ := simulated(t, t.Context(), 0, "-patients", "1000", "-nights", nights, "-seed", "1")
		return rep
	}
	short, long := rates("90"), rates("180")
	for _, figure := range []string{
		fmt.Sprintf("%.1f cards per 100 patients and day over 90 nights", short.Escalations),
		fmt.Sprintf("%.1f over 180", long.Escalations),
		fmt.Sprintf("%.1f for sleepiness", short.Cards["sleepy.high"]),
		fmt.Sprintf("%.2f for headaches", short.Cards["headache.morning"]+short.Cards["headache.weeks"]),
		fmt.Sprintf("S %.2f, N %.2f, and E %.3f", short.FlagRate["S"], short.FlagRate["N"], short.FlagRate["E"]),
	} {
		if !strings.Contains(stated, figure) {
			t.Errorf("measured %s; the log says: %s", figure, stated)
		}
	}
}

// One core or many, the same seed gives the same report.
func TestSimulateSeed(t *testing.T) {
	args := []string{"-patients", "30", "-nights", "25", "-seed", "3"}
	many, _ := simulated(t, t.Context(), 0, args...)
	was := runtime.GOMAXPROCS(1)
	one, _ := simulated(t, t.Context(), 0, args...)
	runtime.GOMAXPROCS(was)
	if !reflect.DeepEqual(one, many) {
		t.Errorf("one core\n%+v\nmany\n%+v", one, many)
	}
	other, _ := simulated(t, t.Context(), 0, "-patients", "30", "-nights", "25", "-seed", "4")
	if other.Seed = 3; reflect.DeepEqual(one, other) {
		t.Error("seeds 3 and 4 give the same")
	}
}

// Stopped, it reports what was played and says that this is a part.
func TestSimulateStopped(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	rep, errs := simulated(t, ctx, 1, "-patients", "50", "-nights", "20")
	if !rep.Partial || rep.Wanted != 50 || rep.Patients >= 50 || !strings.Contains(errs, "of a part") {
		t.Errorf("%+v, %s", rep, errs)
	}
	var out, errOut bytes.Buffer
	if code := run(ctx, app{out: &out, err: &errOut}, []string{"simulate", "-patients", "50"}); code != 1 ||
		!strings.Contains(out.String(), "STOPPED: 0 of 50") || !strings.Contains(out.String(), "nobody did") ||
		strings.Contains(out.String(), "NaN") {
		t.Errorf("code %d: %s%s", code, out.String(), errOut.String())
	}
}

func TestSimulateUsage(t *testing.T) {
	for _, x := range []struct {
		args []string
		says string
		code int
	}{
		{[]string{"-patients", "0"}, "-patients is from 1", 2},
		{[]string{"-patients", "many"}, "invalid value", 2},
		{[]string{"-nights", "0"}, "-nights is from 1", 2},
		{[]string{"-nights", "400"}, "-nights is from 1", 2},
		{[]string{"-format", "xml"}, "table or json", 2},
		{[]string{"-seed", "-1"}, "invalid value", 2},
		{[]string{"extra"}, "unexpected", 2},
		{[]string{"-plan", "nowhere.toml"}, "nowhere.toml", 1},
		{[]string{"-plan", "../testdata/setup/practice.toml"}, "plan", 1},
		{[]string{"-patients", "1", "-plot", "/nowhere/at/all.png"}, "writing the picture", 1},
	} {
		var out, errOut bytes.Buffer
		code := run(t.Context(), app{out: &out, err: &errOut}, append([]string{"simulate"}, x.args...))
		if code != x.code || !strings.Contains(errOut.String(), x.says) || out.Len() > 0 {
			t.Errorf("%v: code %d, %q, %q", x.args, code, errOut.String(), out.String())
		}
	}
	var out bytes.Buffer
	if code := run(t.Context(), app{out: &out, err: &out}, []string{"simulate", "-sources"}); code != 0 ||
		!strings.Contains(out.String(), "doi 10.1378/chest.117.4.1065") || !strings.Contains(out.String(), "assumption") {
		t.Errorf("code %d: %s", code, out.String())
	}
}
